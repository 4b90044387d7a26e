//! The film: how cold it gets under the sky, and how much water condenses on it. Climate sheet 6.3.

pub mod constants;

use crate::psychrometrics::{absolute_humidity_g_m3, vapour_pressure_kpa};
use constants as c;
use libm::{cbrt, pow, sqrt};

const KELVIN: f64 = 273.15;

/// How a square metre of cover exchanges heat, W/(m² K), and how much long-wave radiation it holds back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoverExchange {
    /// Air inside to cover, 3 to 5 in still air.
    pub inside: f64,
    /// Cover to air outside, `2.8 + 3.0 u` in wind u m/s.
    pub outside: f64,
    /// Radiation, 4 sigma T³: 4.6 at 0 °C, 5.1 at 10 °C.
    pub radiative: f64,
    /// Emissivity: 0.4 to 0.6 for dry polythene, 0.9 under a film of water.
    pub emissivity: f64,
}

impl CoverExchange {
    /// Polythene, dry or wet, in wind of `wind_m_s` (0 to 60): the middle of the sheet's ranges.
    pub fn polythene(wet: bool, wind_m_s: f64) -> Option<CoverExchange> {
        (0.0..=60.0).contains(&wind_m_s).then_some(CoverExchange {
            inside: c::INSIDE_W.value,
            outside: c::OUTSIDE_W.value + c::OUTSIDE_W_WIND.value * wind_m_s,
            radiative: c::RADIATIVE_W.value,
            emissivity: if wet { c::EMISSIVITY_WET.value } else { c::EMISSIVITY_DRY.value },
        })
    }

    /// Temperature of the cover, °C, between air and surfaces inside, air outside and the sky (all -100 to 100 °C).
    ///
    /// **Errors**: `None` out of range.
    pub fn temperature_c(&self, air_c: f64, surface_c: f64, outside_c: f64, sky_c: f64) -> Option<f64> {
        let radiation = self.emissivity * self.radiative;
        let total = self.inside + self.outside + 2.0 * radiation;
        let heat = self.inside * air_c + radiation * surface_c + self.outside * outside_c + radiation * sky_c;
        let meant = [air_c, surface_c, outside_c, sky_c].iter().all(|t_c| (-100.0..=100.0).contains(t_c));
        Some(heat / total).filter(|t| meant && total > 0.0 && t.is_finite())
    }
}

/// Temperature of a clear sky, °C, from the air temperature alone, -60 to 60 °C: Swinbank 1963.
pub fn clear_sky_swinbank_c(t_c: f64) -> Option<f64> {
    let t_k = kelvin(t_c)?;
    Some(c::SWINBANK.value * t_k * sqrt(t_k) - KELVIN)
}

/// Temperature of a clear sky, °C, from air temperature, -60 to 60 °C, and humidity, %: Brutsaert 1975.
pub fn clear_sky_brutsaert_c(t_c: f64, rh_pct: f64) -> Option<f64> {
    let t_k = kelvin(t_c)?;
    let e_hpa = 10.0 * vapour_pressure_kpa(t_c, rh_pct)?;
    let emissivity = c::BRUTSAERT.value * pow(e_hpa / t_k, 1.0 / 7.0);
    Some(pow(emissivity, 0.25) * t_k - KELVIN)
}

/// What a black surface at air temperature loses to a sky of `sky_c`, W/m²; negative where the sky is the warmer one.
pub fn black_loss_w_m2(t_c: f64, sky_c: f64) -> Option<f64> {
    let fourth = |k: f64| k * k * k * k;
    let sky_k = (-KELVIN..=60.0).contains(&sky_c).then_some(sky_c + KELVIN)?;
    Some(c::STEFAN_W.value * (fourth(kelvin(t_c)?) - fourth(sky_k)))
}

/// Water that condenses on the cover, g per s and m² of cover: 0 where the cover is above the inside dew point.
/// `inside_g_m3` is the absolute humidity of the air at `air_c`, 0 to 1,000. Stanghellini & de Jong 1995, as climate sheet 6.3.
///
/// Good to 15 %: other published transfer rules differ by that much.
pub fn condensation_g_m2_s(air_c: f64, inside_g_m3: f64, cover_c: f64) -> Option<f64> {
    let excess = inside_g_m3 - absolute_humidity_g_m3(cover_c, 100.0)?;
    let flux = transfer_m_s(kelvin(air_c)? - KELVIN - cover_c) * excess.max(0.0);
    ((0.0..=1_000.0).contains(&inside_g_m3) && flux.is_finite()).then_some(flux)
}

/// Mass transfer to a cover `colder_k` colder than the air, m/s: 1.64e-3 times its cube root; still air carries nothing
/// to a warmer cover.
pub(crate) fn transfer_m_s(colder_k: f64) -> f64 {
    c::TRANSFER_M_S.value * cbrt(colder_k.max(0.0))
}

fn kelvin(t_c: f64) -> Option<f64> {
    (-60.0..=60.0).contains(&t_c).then_some(t_c + KELVIN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::psychrometrics::dew_point_c;

    #[track_caller]
    fn close(got: Option<f64>, want: f64, within: f64) {
        let got = got.expect("a value");
        assert!((got - want).abs() <= within, "got {got}, want {want} within {within}");
    }

    #[test]
    fn clear_skies_of_6_3_are_reproduced() {
        // Climate sheet 6.3 [arithmetic]: Swinbank; Brutsaert and the loss of a black surface (±0.1 W/m²).
        for (t_c, sky_c) in [(0.0, -23.95), (5.0, -17.08), (10.0, -10.15)] {
            close(clear_sky_swinbank_c(t_c), sky_c, 0.006);
        }
        for (t_c, rh_pct, sky_c, loss) in
            [(0.0, 90.0, -22.44, 91.6), (5.0, 90.0, -14.75, 86.6), (10.0, 80.0, -8.15, 84.9)]
        {
            let got = clear_sky_brutsaert_c(t_c, rh_pct);
            close(got, sky_c, 0.006);
            close(black_loss_w_m2(t_c, got.unwrap()), loss, 0.1);
        }
    }

    #[test]
    fn cover_temperatures_of_6_3_are_reproduced() {
        // Climate sheet 6.3 [arithmetic]: h_ci 4, h_co 7, h_r 4.6, eps 0.6; T_in 8, T_surf 9, T_out 3.
        let cover = CoverExchange { inside: 4.0, outside: 7.0, radiative: 4.6, emissivity: 0.6 };
        let (clear, overcast) = (cover.temperature_c(8.0, 9.0, 3.0, -15.0), cover.temperature_c(8.0, 9.0, 3.0, 2.0));
        close(clear, 2.21, 0.006);
        close(overcast, 5.05, 0.006);
        // Dew point at 8 °C and 90 % is 6.46, so both are wet.
        close(dew_point_c(8.0, 90.0), 6.46, 0.006);
        assert!(overcast < dew_point_c(8.0, 90.0));
    }

    #[test]
    fn condensation_of_6_3_is_reproduced() {
        // Climate sheet 6.3: 8 °C and 97 %, cover 2.21 °C: 25.3 g/(m² h).
        let inside = absolute_humidity_g_m3(8.0, 97.0).unwrap();
        close(condensation_g_m2_s(8.0, inside, 2.21).map(|g| g * 3_600.0), 25.3, 0.05);
        assert_eq!(condensation_g_m2_s(8.0, inside, 8.0), Some(0.0));
        assert_eq!(condensation_g_m2_s(8.0, 1.0, 2.21), Some(0.0));
    }

    #[test]
    fn what_is_no_number_gives_none() {
        let cover = CoverExchange::polythene(true, 1.0).unwrap();
        for bad in [f64::NAN, f64::INFINITY, -1e4] {
            assert_eq!(clear_sky_swinbank_c(bad), None);
            assert_eq!(clear_sky_brutsaert_c(bad, 90.0), None);
            assert_eq!(clear_sky_brutsaert_c(5.0, bad), None);
            assert_eq!(black_loss_w_m2(5.0, bad), None);
            assert_eq!(condensation_g_m2_s(bad, 8.0, 2.0), None);
            assert_eq!(condensation_g_m2_s(8.0, bad, 2.0), None);
            assert_eq!(CoverExchange::polythene(false, bad), None);
        }
        assert_eq!(cover.temperature_c(f64::NAN, 9.0, 3.0, 2.0), None);
    }
}
