//! What of the sun's radiation a crop keeps.

use super::constants as c;
use super::{DayAir, SUN_MJ_M2};
use crate::sun::fao56::{daylight_hours, extraterrestrial_day_mj_m2};
use libm::sqrt;

/// Short-wave radiation, MJ/m² in the day, from `sunshine_h` hours of sunshine (0 to 24) on day of year `day_of_year` (1 to 366) at `lat_deg`.
///
/// **Errors**: `None` out of range or for more sunshine than daylight by more than an hour. **Source**: FAO-56 eq 35 with 0.25 and 0.50.
/// **Accuracy**: FAO-56 example 10 to its digit.
///
/// ```
/// use propstick_agronomy::evapotranspiration::sun_of_sunshine_mj_m2;
/// // FAO-56 example 10: 22.9° S, 15 May, 7.1 h: 14.5 MJ/m².
/// assert!((sun_of_sunshine_mj_m2(-22.9, 135, 7.1).unwrap() - 14.5).abs() < 0.05);
/// ```
pub fn sun_of_sunshine_mj_m2(lat_deg: f64, day_of_year: u32, sunshine_h: f64) -> Option<f64> {
    let (above, day_h) = (extraterrestrial_day_mj_m2(lat_deg, day_of_year)?, daylight_hours(lat_deg, day_of_year)?);
    let meant = (0.0..=day_h + 1.0).contains(&sunshine_h);
    let share = if day_h > 0.0 { (sunshine_h / day_h).min(1.0) } else { 0.0 };
    meant.then_some((c::OVERCAST.value + c::SUNSHINE.value * share) * above)
}

/// Clear-sky short-wave radiation, MJ/m², of which `above_mj_m2` arrive above the air, at `altitude_m`, -430 to 5,000. For net radiation only: by
/// winter at 50 to 58° N it is 28 to 60 % too bright (climate sheet 3.4); for light use [`crate::sun::clear_sky_day_mj_m2`].
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 37. **Accuracy**: exact to the equation.
///
/// ```
/// use propstick_agronomy::evapotranspiration::clear_day_mj_m2;
/// // FAO-56 example 18: 41.09 above the air, 100 m: 30.90.
/// assert!((clear_day_mj_m2(41.09, 100.0).unwrap() - 30.90).abs() < 0.005);
/// ```
pub fn clear_day_mj_m2(above_mj_m2: f64, altitude_m: f64) -> Option<f64> {
    let meant = SUN_MJ_M2.contains(&above_mj_m2) && (-430.0..=5_000.0).contains(&altitude_m);
    meant.then_some((c::CLEAR.value + c::CLEAR_PER_M.value * altitude_m) * above_mj_m2)
}

/// Net long-wave radiation that leaves, MJ/m² in the day, under `sun_mj_m2` of short-wave radiation where a clear sky would give `clear_mj_m2`.
///
/// Their ratio is used within 0.3 to 1, and as 1 where there is no sun. **Errors**: `None` out of range. **Source**: FAO-56 eq 39, limits of
/// ASCE-EWRI 2005. **Accuracy**: FAO-56 examples 11, 17 and 18 to their digit.
///
/// ```
/// use propstick_agronomy::evapotranspiration::{DayAir, net_long_wave_mj_m2};
/// // FAO-56 example 11: 19.1 to 25.1 °C, 2.1 kPa, 14.5 of 18.8 MJ: 3.5.
/// let day = DayAir::new(19.1, 25.1, 2.1).unwrap();
/// assert!((net_long_wave_mj_m2(&day, 14.5, 18.8).unwrap() - 3.5).abs() < 0.05);
/// ```
pub fn net_long_wave_mj_m2(air: &DayAir, sun_mj_m2: f64, clear_mj_m2: f64) -> Option<f64> {
    let fourth = |t_c: f64| {
        let k = t_c + 273.16;
        k * k * k * k
    };
    let meant = SUN_MJ_M2.contains(&sun_mj_m2) && SUN_MJ_M2.contains(&clear_mj_m2);
    let clearness = if clear_mj_m2 > 0.0 { sun_mj_m2 / clear_mj_m2 } else { 1.0 };
    let surface = c::STEFAN_DAY.value * 0.5 * (fourth(air.max_c) + fourth(air.min_c));
    meant.then(|| surface * humid(air.vapour_kpa) * cloudy(clearness))
}

/// Net radiation of grass, MJ/m² in the day: what it keeps of the sun less the long-wave loss.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 38 to 40. **Accuracy**: FAO-56 examples 17 and 18 to their digit.
///
/// ```
/// use propstick_agronomy::evapotranspiration::{DayAir, net_radiation_mj_m2};
/// // FAO-56 example 18: 12.3 to 21.5 °C, 1.409 kPa, 22.07 of 30.90 MJ: 13.28.
/// let day = DayAir::new(12.3, 21.5, 1.409).unwrap();
/// assert!((net_radiation_mj_m2(&day, 22.07, 30.90).unwrap() - 13.28).abs() < 0.01);
/// ```
pub fn net_radiation_mj_m2(air: &DayAir, sun_mj_m2: f64, clear_mj_m2: f64) -> Option<f64> {
    Some(c::KEPT.value * sun_mj_m2 - net_long_wave_mj_m2(air, sun_mj_m2, clear_mj_m2)?)
}

/// How much of its long-wave radiation a surface loses under air of that vapour pressure, as a share of a black one.
pub(super) fn humid(vapour_kpa: f64) -> f64 {
    0.34 - 0.14 * sqrt(vapour_kpa)
}

/// What clouds leave of that loss.
pub(super) fn cloudy(clearness: f64) -> f64 {
    1.35 * clearness.clamp(c::LEAST_CLEARNESS.value, 1.0) - 0.35
}
