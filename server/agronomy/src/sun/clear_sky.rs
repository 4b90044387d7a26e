//! What a clear sky gives.

use super::position::apparent_elevation_deg;
use super::{DAY_NUMBERS, DAY_S, constants as c, is_place};
use libm::{exp, sin};

/// Short-wave radiation on the level under a clear sky, W/m², with the sun at `apparent_elevation_deg` degrees (-90 to 90); 0 with the sun below the
/// horizon.
///
/// **Errors**: `None` beyond ±90°. **Source**: Haurwitz 1945, climate sheet 3.4: `1098 cos z exp(-0.059 / cos z)`. **Accuracy**: daily totals within
/// 0.07 % of pvlib 0.16.1 at 50 to 58° N all year; a real clear winter day may be 15 to 25 % below (Ineichen, climate sheet 3.4).
///
/// ```
/// use propstick_agronomy::sun::clear_sky_w_m2;
/// assert_eq!(clear_sky_w_m2(-0.1), Some(0.0));
/// assert!((clear_sky_w_m2(90.0).unwrap() - 1098.0 * (-0.059_f64).exp()).abs() < 1e-9);
/// ```
pub fn clear_sky_w_m2(apparent_elevation_deg: f64) -> Option<f64> {
    if !(-90.0..=90.0).contains(&apparent_elevation_deg) {
        return None;
    }
    let cos_zenith = sin(apparent_elevation_deg.to_radians());
    let clear = || c::HAURWITZ_W_M2.value * cos_zenith * exp(-c::HAURWITZ_AIR.value / cos_zenith);
    Some(if cos_zenith > 0.0 { clear() } else { 0.0 })
}

/// Short-wave radiation of a whole clear day on the level, MJ/m², at `lat_deg` (-90 to 90) and `lon_deg` (-180 to 180): the day that lies
/// `day_number` days after 1970-01-01 (-25,567 to 47,846), from midnight to midnight of its mean solar time, in 144 steps of ten minutes.
///
/// **Errors**: `None` out of range. **Source** and **accuracy**: as [`clear_sky_w_m2`].
///
/// ```
/// use propstick_agronomy::sun::clear_sky_day_mj_m2;
/// // Climate sheet 3.4: 3.57 MJ/m² on 21 December at 52° N.
/// assert!((clear_sky_day_mj_m2(20_808, 52.0, 0.0).unwrap() - 3.57).abs() < 0.01 * 3.57);
/// ```
pub fn clear_sky_day_mj_m2(day_number: i64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
    if !DAY_NUMBERS.contains(&day_number) || !is_place(lat_deg, lon_deg) {
        return None;
    }
    let midnight_s = day_number as f64 * DAY_S - lon_deg * 240.0;
    let mut sum_w = 0.0;
    for step in 0..144 {
        let at_s = midnight_s + 600.0 * (f64::from(step) + 0.5);
        sum_w += clear_sky_w_m2(apparent_elevation_deg(at_s, lat_deg, lon_deg)?)?;
    }
    Some(sum_w * 600.0 / 1e6)
}
