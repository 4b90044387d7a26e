//! From what a device sent to what was measured at a spot: units, corrections, exclusions, and the figures of the air.

use propstick_agronomy::coverage::Sample;
use propstick_agronomy::psychrometrics::{self, Psychrometer};
use propstick_agronomy::quality::constants as marks;
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;

use super::{Figure, Why};
use crate::model::{Correction, Garden, Measure, Placement};

/// Readings of one placement as the ledger keeps them.
pub struct Ledgered<'a> {
    /// The placement they fall under.
    pub placement: &'a Placement,
    /// The unit they were sent in.
    pub unit_sent: &'a str,
    /// Instant and value as sent, ascending.
    pub points: &'a [(Millis, f64)],
}

/// What was measured at one spot of one quantity: placements cut to their time, values in the quantity's unit, corrected, exclusions left out.
///
/// Where one channel gave two values for one instant in two units, the unit that stands first in the alphabet counts: it must not matter which of
/// them was heard first, nor in which order `parts` come.
pub fn placed_samples(garden: &Garden, parts: &[Ledgered<'_>]) -> Vec<Sample> {
    let mut all = Vec::new();
    let mut parts: Vec<&Ledgered<'_>> = parts.iter().collect();
    parts.sort_by_key(|part| part.unit_sent);
    for part in parts {
        let p = part.placement;
        let corrections: Vec<_> =
            garden.corrections.iter().filter(|c| c.urn == p.urn && c.channel == p.channel).collect();
        let exclusions: Vec<_> =
            garden.exclusions.iter().filter(|x| x.urn == p.urn && x.channel == p.channel).collect();
        for &(t, sent) in part.points {
            if !p.holds(t) || exclusions.iter().any(|x| x.from <= t && x.to.is_none_or(|to| t < to)) {
                continue;
            }
            let Some(mut v) = p.quantity.to_base(sent, part.unit_sent) else { continue };
            if let Some(c) = corrections.iter().find(|c| c.from <= t && c.to.is_none_or(|to| t < to)) {
                v = corrected(p.quantity, v, c);
            }
            all.push(Sample { t_ms: t.0, v });
        }
    }
    all.sort_by_key(|s| s.t_ms);
    // Placements of one spot never overlap, so that only units are left to differ at one instant: the first stays.
    all.dedup_by_key(|s| s.t_ms);
    all
}

/// A value with its correction. What a sensor says when it does not measure is left as sent, so that its marks find it: beyond its hard range, the numbers of
/// a lost probe and of one that has just been switched on, and a humidity at the top, which cannot tell how damp it is. A corrected humidity stays within
/// 0 to 100 % (climate sheet 1.5: the range is that of the raw value).
fn corrected(quantity: Quantity, v: f64, correction: &Correction) -> f64 {
    let by = v * correction.scale + correction.offset;
    match quantity {
        Quantity::AirHumidity if !(marks::DRIEST_PCT.value..marks::SATURATED_PCT.value).contains(&v) => v,
        Quantity::AirHumidity => by.clamp(0.0, 100.0),
        _ if v == marks::LOST_C.value || v == marks::POWER_ON_C.value => v,
        _ => by,
    }
}

/// Samples of `measure` from air temperature (°C) and humidity (%RH) taken at the same instants; instants that have only one of them give none.
pub fn of_air(measure: Measure, temperature: &[Sample], humidity: &[Sample]) -> Vec<Sample> {
    let mut out = Vec::with_capacity(temperature.len().min(humidity.len()));
    let (mut i, mut j) = (0, 0);
    while i < temperature.len() && j < humidity.len() {
        let (t, h) = (temperature[i], humidity[j]);
        match t.t_ms.cmp(&h.t_ms) {
            std::cmp::Ordering::Less => i += 1,
            std::cmp::Ordering::Greater => j += 1,
            std::cmp::Ordering::Equal => {
                if let Some(v) = air_figure(measure, t.v, h.v) {
                    out.push(Sample { t_ms: t.t_ms, v });
                }
                i += 1;
                j += 1;
            }
        }
    }
    out
}

/// A figure of the air from temperature (°C) and humidity (%RH), each with its sensor's stated error either way; its range is that of the
/// four corners of both errors, humidity kept between 0 and 100 %.
pub fn air_figure_within(measure: Measure, (t_c, t_error_c): (f64, f64), (rh_pct, rh_error_pct): (f64, f64)) -> Figure {
    let corner = |t_side: f64, rh_side: f64| {
        air_figure(measure, t_c + t_side * t_error_c, (rh_pct + rh_side * rh_error_pct).clamp(0.0, 100.0))
    };
    let corners: Vec<f64> =
        [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)].into_iter().filter_map(|(t, rh)| corner(t, rh)).collect();
    match air_figure(measure, t_c, rh_pct) {
        Some(value) if corners.len() == 4 => Figure::known(
            value,
            corners.iter().copied().fold(f64::INFINITY, f64::min),
            corners.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            1.0,
        ),
        _ => Figure::unknown(Why::NoReading, 0.0),
    }
}

/// What a fanned wet bulb would show at `altitude_m`, °C, from temperature and humidity with their errors, as [`air_figure_within`]: it grows with both.
pub fn wet_bulb_within(altitude_m: f64, (t_c, t_error_c): (f64, f64), (rh_pct, rh_error_pct): (f64, f64)) -> Figure {
    let at = |side: f64| {
        let pressure_kpa = psychrometrics::pressure_at_altitude_kpa(altitude_m)?;
        let rh_pct = (rh_pct + side * rh_error_pct).clamp(0.0, 100.0);
        psychrometrics::wet_bulb_c(t_c + side * t_error_c, rh_pct, pressure_kpa, Psychrometer::Aspirated)
    };
    match (at(0.0), at(-1.0), at(1.0)) {
        (Some(value), Some(low), Some(high)) => Figure::known(value, low, high, 1.0),
        _ => Figure::unknown(Why::NoReading, 0.0),
    }
}

/// A figure of the air from temperature (°C) and humidity (%RH); none for what is not a figure of the air.
pub fn air_figure(measure: Measure, t_c: f64, rh_pct: f64) -> Option<f64> {
    match measure {
        Measure::DewPoint => psychrometrics::dew_point_c(t_c, rh_pct),
        Measure::VapourPressure => psychrometrics::vapour_pressure_kpa(t_c, rh_pct),
        Measure::VapourPressureDeficit => psychrometrics::vpd_kpa(t_c, rh_pct),
        Measure::AbsoluteHumidity => psychrometrics::absolute_humidity_g_m3(t_c, rh_pct),
        Measure::Direct(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figure_of_the_air_carries_what_the_humidity_sensor_leaves_open() {
        // Climate sheet 1.3, error budget: at 5 °C and 93, 95, 97 % the dew point is 3.965, 4.267, 4.564 °C.
        let dew = air_figure_within(Measure::DewPoint, (5.0, 0.0), (95.0, 2.0));
        for (found, expected) in [(dew.low, 3.965), (dew.value, 4.267), (dew.high, 4.564)] {
            assert!((found.unwrap() - expected).abs() < 5e-4, "{dew:?}");
        }
    }

    #[test]
    fn correction_keeps_fog_in_range_and_what_is_no_measurement_as_sent() {
        let with = |quantity, v, offset| {
            let (urn, channel, why) = (String::new(), String::new(), String::new());
            corrected(quantity, v, &Correction { urn, channel, from: Millis(0), to: None, scale: 1.0, offset, why })
        };
        let humidity = |v, offset| with(Quantity::AirHumidity, v, offset);
        // Climate sheet 1.5: clamp above 100, reject above 105 are about the raw value. A jar at 75 % gave +6, fog says 97 and 99.6.
        assert_eq!((humidity(75.0, 6.0), humidity(97.0, 6.0), humidity(99.6, 6.0)), (81.0, 100.0, 99.6));
        // At the top nobody can tell how much of it is the sensor: it stays saturated, so that two days of it are doubted.
        assert_eq!((humidity(100.0, -5.0), humidity(99.4, -5.0)), (100.0, 94.4));
        // Out of range stays out of range: 105.4 - 5, 1 + 8.
        assert_eq!((humidity(105.4, -5.0), humidity(1.0, 8.0), humidity(0.0, 8.0)), (105.4, 1.0, 0.0));
        let air = |v| with(Quantity::AirTemperature, v, 0.5);
        assert_eq!((air(8.0), air(-127.0), air(85.0)), (8.5, -127.0, 85.0));
    }

    #[test]
    fn wet_bulb_lies_between_its_ends() {
        // Climate sheet 1.4: 9.167 °C at 10 °C and 90 %, near sea level.
        let wet = wet_bulb_within(0.0, (10.0, 0.3), (90.0, 3.0));
        assert!((wet.value.unwrap() - 9.167).abs() < 0.02, "{wet:?}");
        assert!(wet.low < wet.value && wet.value < wet.high && wet.high.unwrap() < 10.3, "{wet:?}");
        assert_eq!(wet_bulb_within(0.0, (f64::NAN, 0.3), (90.0, 3.0)).value, None);
    }

    #[test]
    fn humidity_near_saturation_leaves_a_deficit_of_nothing_but_never_less() {
        let vpd = air_figure_within(Measure::VapourPressureDeficit, (8.0, 0.3), (99.0, 3.0));
        assert_eq!(vpd.low, Some(0.0));
        let nothing = air_figure_within(Measure::DewPoint, (f64::NAN, 0.3), (99.0, 3.0));
        assert_eq!((nothing.value, nothing.unknown), (None, Some(Why::NoReading)));
    }
}
