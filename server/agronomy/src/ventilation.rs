//! Does opening a vent lower the humidity inside? The steady-state argument of climate sheet 6.4, and how fast air is
//! exchanged.

use crate::cover::constants::AIR_J_M3_K;
use crate::psychrometrics::{constants as air, saturation_vapour_pressure_kpa};
use libm::{exp, sqrt};

/// Heat held by a cubic metre of air, J/(m³ K): 1.2 kg/m³ of 1006 J/(kg K) (climate sheet 0).
pub const AIR_HEAT_J_M3_K: f64 = AIR_J_M3_K.value;

/// Relative growth of saturation vapour pressure with temperature, 1/°C, at `t_in_c`: beta of climate sheet 6.4, the
/// derivative of the logarithm of FAO-56 eq 11. 0.0728 at 0 °C, 0.0596 at 25 °C.
pub fn beta_per_c(t_in_c: f64) -> Option<f64> {
    saturation_vapour_pressure_kpa(t_in_c)?;
    let from_c = t_in_c + air::WATER_OFFSET_C.value;
    Some(air::WATER_SLOPE_C.value / (from_c * from_c))
}

/// How much drier than inside the outside air must be, as the share `1 - e_out / e_in`, before more ventilation lowers
/// relative humidity inside: `beta (T_in - T_out) f_v` of climate sheet 6.4.
///
/// `f_v`, 0 to 1, is the share of the heat loss that leaves with the air; see [`ventilation_share`].
pub fn drying_threshold(t_in_c: f64, t_out_c: f64, f_v: f64) -> Option<f64> {
    saturation_vapour_pressure_kpa(t_out_c)?;
    share(f_v).and_then(|f_v| Some(beta_per_c(t_in_c)? * (t_in_c - t_out_c) * f_v))
}

/// Whether relative humidity inside falls when ventilation grows. Climate sheet 6.4, exact for a space in steady state
/// with one vapour source and one heat source.
///
/// `e_in_kpa` above 0 and `e_out_kpa` 0 or more, both to 110 kPa; temperatures °C; `f_v` 0 to 1 as in [`drying_threshold`]. `None` where
/// an argument is out of range.
///
/// ```
/// use propstick_agronomy::ventilation::humidity_falls_with_ventilation;
/// // Climate sheet 6.4, case A: 12 °C and 98 % inside, 8 °C and 85 % outside.
/// assert_eq!(humidity_falls_with_ventilation(1.3745, 0.9119, 12.0, 8.0, 0.5), Some(true));
/// ```
pub fn humidity_falls_with_ventilation(
    e_in_kpa: f64,
    e_out_kpa: f64,
    t_in_c: f64,
    t_out_c: f64,
    f_v: f64,
) -> Option<bool> {
    Some(dryness_outside(e_in_kpa, e_out_kpa)? > drying_threshold(t_in_c, t_out_c, f_v)?)
}

/// Vapour pressures that air can have, kPa: to the boiling of water.
const VAPOUR_KPA: core::ops::RangeInclusive<f64> = 0.0..=110.0;

/// How much drier the outside air is, as a share of the vapour inside: `1 - e_out / e_in`; negative where it is wetter. Vapour pressures to 110 kPa,
/// that inside from 1e-6 on.
pub fn dryness_outside(e_in_kpa: f64, e_out_kpa: f64) -> Option<f64> {
    let meant = e_in_kpa >= 1e-6 && VAPOUR_KPA.contains(&e_in_kpa) && VAPOUR_KPA.contains(&e_out_kpa);
    meant.then(|| 1.0 - e_out_kpa / e_in_kpa)
}

/// Relative humidity inside, %, once all air has been exchanged and has taken the temperature `t_c`: the limit of climate
/// sheet 6.4 and wetness sheet 3.4. Above 100 means that water would condense.
pub fn flushed_humidity_pct(e_out_kpa: f64, t_c: f64) -> Option<f64> {
    let meant = VAPOUR_KPA.contains(&e_out_kpa);
    Some(100.0 * e_out_kpa / saturation_vapour_pressure_kpa(t_c)?).filter(|_| meant)
}

/// How far two vapour pressures must differ, kPa, before the difference says anything: the root of the sum of squares of
/// what each humidity sensor's stated error, in points of %RH, makes at its own temperature.
///
/// Temperature errors are left out: vapour pressure from a chip that measures both is robust against them (climate sheet
/// 7). With 3 points on both it is 0.03 kPa at 0 °C, 0.05 at 8, 0.13 at 24. `None` for a negative error.
pub fn dead_band_kpa(t_in_c: f64, rh_error_in_pct: f64, t_out_c: f64, rh_error_out_pct: f64) -> Option<f64> {
    let part = |t_c, error_pct: f64| {
        let meant = (0.0..=100.0).contains(&error_pct);
        Some(saturation_vapour_pressure_kpa(t_c)? * error_pct / 100.0).filter(|_| meant)
    };
    let (inside, outside) = (part(t_in_c, rh_error_in_pct)?, part(t_out_c, rh_error_out_pct)?);
    Some(sqrt(inside * inside + outside * outside))
}

/// The share of the heat loss that leaves with the air, 0 to 1: `f_v` of climate sheet 6.4.
///
/// `flow_m_s` is the ventilation q in m³ of air per second and m² of floor; `cover_w_m2_k` the conductance of the cover
/// per m² of floor (U-value times cover area over floor area, about 11). `None` for a flow beyond 0 to 10 or a conductance beyond 0 (not itself) to 1,000.
pub fn ventilation_share(flow_m_s: f64, cover_w_m2_k: f64) -> Option<f64> {
    let meant = (0.0..=10.0).contains(&flow_m_s) && cover_w_m2_k > 0.0 && cover_w_m2_k <= 1_000.0;
    let carried = AIR_HEAT_J_M3_K * flow_m_s;
    meant.then(|| carried / (cover_w_m2_k + carried))
}

/// Water in the air inside, g/m³, `elapsed_s` seconds after the ventilation was set to `flow_m_s` (above 0; m³ per
/// second and m² of floor). Climate sheet 6.4, flushing.
///
/// `start_g_m3` and `outside_g_m3` are absolute humidities, `source_g_m2_s` what soil and crop give off per m² of floor,
/// `height_m` the volume over the floor area. Temperatures are taken as settled. `None` for what is negative, a flow or height of 0, humidities above
/// 1,000 g/m³, a source above 10 g/(m² s), a flow above 10 m/s, a height above 100 m or a time above a year.
pub fn flushed_g_m3(
    start_g_m3: f64,
    outside_g_m3: f64,
    source_g_m2_s: f64,
    flow_m_s: f64,
    height_m: f64,
    elapsed_s: f64,
) -> Option<f64> {
    let all = [start_g_m3, outside_g_m3, source_g_m2_s, flow_m_s, height_m, elapsed_s];
    let most = [1_000.0, 1_000.0, 10.0, 10.0, 100.0, 31_622_400.0];
    if !all.iter().zip(most).all(|(v, most)| (0.0..=most).contains(v)) || flow_m_s == 0.0 || height_m == 0.0 {
        return None;
    }
    let settled = outside_g_m3 + source_g_m2_s / flow_m_s;
    Some(settled + (start_g_m3 - settled) * exp(-flow_m_s * elapsed_s / height_m)).filter(|w| w.is_finite())
}

fn share(f_v: f64) -> Option<f64> {
    (0.0..=1.0).contains(&f_v).then_some(f_v)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::psychrometrics::{dew_point_c, vapour_pressure_kpa};
    use proptest::prelude::*;

    #[track_caller]
    fn close(got: Option<f64>, want: f64, within: f64) {
        let got = got.expect("a value");
        assert!((got - want).abs() <= within, "got {got}, want {want} within {within}");
    }

    #[test]
    fn beta_is_the_numeric_derivative_of_the_logarithm() {
        for half in -80..=100 {
            let t_c = f64::from(half) * 0.5;
            let log = |t_c: f64| libm::log(saturation_vapour_pressure_kpa(t_c).unwrap());
            let numeric = (log(t_c + 1e-4) - log(t_c - 1e-4)) / 2e-4;
            // FAO-56 prints 4098 for 17.27 times 237.3, which is 4098.17.
            close(beta_per_c(t_c), numeric, 5e-5 * numeric);
        }
    }

    #[test]
    fn beta_of_6_4_is_reproduced() {
        let table = [(0.0, 0.0728), (5.0, 0.0698), (10.0, 0.0670), (15.0, 0.0644), (20.0, 0.0619), (25.0, 0.0596)];
        for (t_c, beta) in table {
            close(beta_per_c(t_c), beta, 0.00005);
        }
    }

    #[test]
    fn cases_a_to_f_of_6_4_are_reproduced() {
        // Climate sheet 6.4 [arithmetic]: T_in, RH_in, T_out, RH_out, e_in, e_out (±0.0005), 1 - e_o/e_i, threshold at
        // f_v 0.5, RH_eq (±0.1), and whether RH falls by the inequality.
        let cases = [
            (12.0, 98.0, 8.0, 85.0, 1.3745, 0.9119, 0.337, 0.132, 65.0, true),
            (6.0, 97.0, 6.0, 100.0, 0.9071, 0.9351, -0.031, 0.0, 100.0, false),
            (5.0, 99.0, 8.0, 95.0, 0.8636, 1.0191, -0.180, -0.105, 116.8, false),
            (22.0, 60.0, 6.0, 80.0, 1.5864, 0.7481, 0.528, 0.487, 28.3, true),
            (3.0, 98.0, -1.0, 90.0, 0.7426, 0.5110, 0.312, 0.142, 67.4, true),
            (18.0, 85.0, 17.0, 95.0, 1.7544, 1.8408, -0.049, 0.031, 89.2, false),
        ];
        for (t_in, rh_in, t_out, rh_out, e_in, e_out, dryness, threshold, flushed, falls) in cases {
            let (inside, outside) = (vapour_pressure_kpa(t_in, rh_in), vapour_pressure_kpa(t_out, rh_out));
            close(inside, e_in, 0.0005);
            close(outside, e_out, 0.0005);
            let (inside, outside) = (inside.unwrap(), outside.unwrap());
            close(dryness_outside(inside, outside), dryness, 0.0005);
            close(drying_threshold(t_in, t_out, 0.5), threshold, 0.001);
            close(flushed_humidity_pct(outside, t_in), flushed, 0.1);
            assert_eq!(humidity_falls_with_ventilation(inside, outside, t_in, t_out, 0.5), Some(falls));
        }
        // Case C: the outside dew point is above the leaf.
        close(dew_point_c(8.0, 95.0), 7.25, 0.005);
    }

    #[test]
    fn expected_humidity_of_wetness_sheet_3_4_is_reproduced() {
        // Wetness sheet 3.4 [derived].
        close(flushed_humidity_pct(vapour_pressure_kpa(6.0, 92.0).unwrap(), 8.0), 80.2, 0.05);
        close(flushed_humidity_pct(vapour_pressure_kpa(9.0, 93.0).unwrap(), 10.0), 86.9, 0.05);
    }

    #[test]
    fn dead_band_of_two_three_point_sensors_is_that_of_the_advice_page() {
        close(dead_band_kpa(0.0, 3.0, 0.0, 3.0), 0.03, 0.005);
        close(dead_band_kpa(8.0, 3.0, 8.0, 3.0), 0.05, 0.005);
        close(dead_band_kpa(24.0, 3.0, 24.0, 3.0), 0.13, 0.005);
        // One perfect sensor leaves the other's error alone: 3 % of e_w(8) = 1.0727.
        close(dead_band_kpa(8.0, 3.0, 8.0, 0.0), 0.03218, 0.00005);
        // 24 °C inside, 8 outside: the root of 0.08953² + 0.03218².
        close(dead_band_kpa(24.0, 3.0, 8.0, 3.0), 0.09514, 0.00005);
        assert_eq!(dead_band_kpa(8.0, -1.0, 8.0, 3.0), None);
    }

    #[test]
    fn flushing_of_6_4_is_reproduced() {
        // Climate sheet 6.4: h 2 m, q 0.002, M 0.003, w_out 7, w0 10: steady 8.5, after 600 s 9.3232 g/m³ ±1e-3.
        close(flushed_g_m3(10.0, 7.0, 0.003, 0.002, 2.0, 600.0), 9.3232, 1e-3);
        close(flushed_g_m3(10.0, 7.0, 0.003, 0.002, 2.0, 1e7), 8.5, 1e-9);
        close(flushed_g_m3(10.0, 7.0, 0.003, 0.002, 2.0, 0.0), 10.0, 1e-12);
        assert_eq!(flushed_g_m3(10.0, 7.0, 0.003, 0.0, 2.0, 600.0), None);
    }

    #[test]
    fn heat_carried_by_air_is_that_of_section_6() {
        // Climate sheet 6: N 20 per hour at h 2 m is q 20*2/3600 and 13.4 W/(m² K); against U w_c 11.2 that is 0.545.
        close(ventilation_share(20.0 * 2.0 / 3600.0, 11.2), 13.41 / (11.2 + 13.41), 0.0005);
        assert_eq!(ventilation_share(0.0, 11.2), Some(0.0));
    }

    #[test]
    fn what_is_no_number_gives_none() {
        for bad in [f64::NAN, f64::INFINITY, -1e9] {
            assert_eq!(beta_per_c(bad), None);
            assert_eq!(drying_threshold(10.0, 5.0, bad), None);
            assert_eq!(humidity_falls_with_ventilation(bad, 0.5, 10.0, 5.0, 0.5), None);
            assert_eq!(humidity_falls_with_ventilation(1.0, bad, 10.0, 5.0, 0.5), None);
            assert_eq!(humidity_falls_with_ventilation(1.0, 0.5, bad, 5.0, 0.5), None);
            assert_eq!(humidity_falls_with_ventilation(1.0, 0.5, 10.0, bad, 0.5), None);
            assert_eq!(flushed_humidity_pct(bad, 10.0), None);
            assert_eq!(dead_band_kpa(10.0, bad, 5.0, 3.0), None);
            assert_eq!(ventilation_share(bad, 11.2), None);
            assert_eq!(flushed_g_m3(10.0, 7.0, 0.003, 0.002, 2.0, bad), None);
        }
        assert_eq!(drying_threshold(10.0, 5.0, 1.1), None);
        assert_eq!(dryness_outside(0.0, 0.5), None);
    }

    proptest! {
        // The space that 6.4 reasons about: e_in = e_out + m/q, T_in = T_out + S/(K + rho cp q).
        #[test]
        fn prop_inequality_has_the_sign_of_the_change_it_predicts(
            t_out in -5.0..25.0, rh_out in 30.0..100.0, m in 1e-5..2e-3, s in -30.0..400.0, q in 5e-4..0.05,
        ) {
            let e_out = vapour_pressure_kpa(t_out, rh_out).unwrap();
            let at = |q: f64| {
                let t_in = t_out + s / (11.2 + AIR_HEAT_J_M3_K * q);
                (e_out + m / q, t_in)
            };
            let rh = |(e, t): (f64, f64)| e / saturation_vapour_pressure_kpa(t).unwrap();
            let (e_in, t_in) = at(q);
            let step = 1e-5 * q;
            let slope = (rh(at(q + step)) - rh(at(q - step))) / rh(at(q)) / (2e-5);
            prop_assume!(slope.abs() > 1e-6);
            let f_v = ventilation_share(q, 11.2).unwrap();
            let falls = humidity_falls_with_ventilation(e_in, e_out, t_in, t_out, f_v).unwrap();
            prop_assert_eq!(falls, slope < 0.0);
        }
    }
}
