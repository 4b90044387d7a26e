//! The sun's geometry as FAO-56 has it: for evapotranspiration only, whose coefficients were calibrated with it. For people use the rest of
//! [`crate::sun`].

use super::constants as c;
use core::f64::consts::PI;
use libm::{acos, cos, sin, tan};

/// Radiation above the air on the level, MJ/m² in the day, on day of year `day_of_year` (1 to 366) at `lat_deg` (-90 to 90).
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 21 to 25, the sunset angle clamped in polar day and night. **Accuracy**: within 0.1 of
/// FAO-56 examples 8, 10 and 18; up to 5 % below pvlib in autumn, from the crude declination (climate sheet 3.4).
///
/// ```
/// use propstick_agronomy::sun::fao56::extraterrestrial_day_mj_m2;
/// // FAO-56 example 8: 32.2 MJ/m² at 20° S on 3 September, day 246.
/// assert!((extraterrestrial_day_mj_m2(-20.0, 246).unwrap() - 32.2).abs() < 0.05);
/// ```
pub fn extraterrestrial_day_mj_m2(lat_deg: f64, day_of_year: u32) -> Option<f64> {
    let day = Day::of(lat_deg, day_of_year)?;
    let (sines, cosines) = (sin(day.lat) * sin(day.declination), cos(day.lat) * cos(day.declination));
    let angles = day.sunset * sines + cosines * sin(day.sunset);
    Some(24.0 * 60.0 / PI * c::SOLAR_MJ_M2_MIN.value * day.distance * angles)
}

/// Radiation above the air on the level, MJ/m² in `length_h` hours (0 to 24) around `middle_h` (0 to 24, UTC hours of the day), at `lat_deg` (-90 to
/// 90) and `lon_deg` (-180 to 180) on day of year `day_of_year` (1 to 366) of the local date. 0 with the sun below the horizon; of a period that
/// holds sunrise or sunset only its day counts.
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 28 to 33, longitudes east positive, periods cut at the sunset angle as in ASCE-EWRI 2005 eq
/// 55 and 56. **Accuracy**: FAO-56 example 19, 3.543.
///
/// ```
/// use propstick_agronomy::sun::fao56::extraterrestrial_period_mj_m2;
/// // FAO-56 example 19: N'Diaye, 1 October, 14 to 15 h at 15° W (15:30 UTC): 3.543 MJ/m².
/// let mj = extraterrestrial_period_mj_m2(16.22, -16.25, 274, 15.5, 1.0).unwrap();
/// assert!((mj - 3.543).abs() < 0.005);
/// ```
pub fn extraterrestrial_period_mj_m2(
    lat_deg: f64,
    lon_deg: f64,
    day_of_year: u32,
    middle_h: f64,
    length_h: f64,
) -> Option<f64> {
    let day = Day::of(lat_deg, day_of_year)?;
    let meant =
        (-180.0..=180.0).contains(&lon_deg) && (0.0..=24.0).contains(&middle_h) && (0.0..=24.0).contains(&length_h);
    if !meant {
        return None;
    }
    let omega = hour_angle(lon_deg, day_of_year, middle_h);
    let half = PI * length_h / 24.0;
    let (sines, cosines) = (sin(day.lat) * sin(day.declination), cos(day.lat) * cos(day.declination));
    let mut angles = 0.0;
    // A period about midnight may reach into the daylight before it and after it.
    for turn in [-2.0 * PI, 0.0, 2.0 * PI] {
        let clip = |angle: f64| angle.clamp(-day.sunset, day.sunset);
        let (from, to) = (clip(omega + turn - half), clip(omega + turn + half));
        angles += (to - from) * sines + cosines * (sin(to) - sin(from));
    }
    Some((12.0 * 60.0 / PI * c::SOLAR_MJ_M2_MIN.value * day.distance * angles).max(0.0))
}

/// Elevation of the sun, radians, at `at_h` (0 to 24, UTC hours of the day) by the same geometry; for the cloudiness of nights in hourly
/// evapotranspiration.
///
/// **Errors**: `None` out of range. **Source**: ASCE-EWRI 2005 eq 62. **Accuracy**: some 0.5°.
///
/// ```
/// use propstick_agronomy::sun::fao56::elevation_rad;
/// // The sun stands in the zenith of the equator near noon of the equinox.
/// assert!(elevation_rad(0.0, 0.0, 80, 12.1).unwrap() > 1.54);
/// ```
pub fn elevation_rad(lat_deg: f64, lon_deg: f64, day_of_year: u32, at_h: f64) -> Option<f64> {
    let day = Day::of(lat_deg, day_of_year)?;
    let meant = (-180.0..=180.0).contains(&lon_deg) && (0.0..=24.0).contains(&at_h);
    let omega = hour_angle(lon_deg, day_of_year, at_h);
    let sine = sin(day.lat) * sin(day.declination) + cos(day.lat) * cos(day.declination) * cos(omega);
    meant.then(|| libm::asin(sine.clamp(-1.0, 1.0)))
}

/// Daylight hours N, 0 to 24, on day of year `day_of_year` (1 to 366) at `lat_deg` (-90 to 90).
///
/// **Errors**: `None` out of range. **Source**: FAO-56 eq 34. **Accuracy**: to the digit of FAO-56 examples 9, 10 and 18; up to 20 min short of
/// sunrise to sunset.
///
/// ```
/// use propstick_agronomy::sun::fao56::daylight_hours;
/// // FAO-56 example 9: 11.7 h at 20° S on 3 September.
/// assert!((daylight_hours(-20.0, 246).unwrap() - 11.7).abs() < 0.05);
/// ```
pub fn daylight_hours(lat_deg: f64, day_of_year: u32) -> Option<f64> {
    Day::of(lat_deg, day_of_year).map(|day| 24.0 * day.sunset / PI)
}

/// Eq 24, radians, from the angle of the year.
pub(crate) fn declination_rad(angle: f64) -> f64 {
    0.409 * sin(angle - 1.39)
}

/// A day at a latitude.
struct Day {
    lat: f64,
    /// Inverse relative distance of the earth, eq 23.
    distance: f64,
    /// Eq 24, radians.
    declination: f64,
    /// Sunset hour angle, eq 25, radians.
    sunset: f64,
}

impl Day {
    fn of(lat_deg: f64, day_of_year: u32) -> Option<Day> {
        if !(-90.0..=90.0).contains(&lat_deg) || !(1..=366).contains(&day_of_year) {
            return None;
        }
        let angle = 2.0 * PI * f64::from(day_of_year) / 365.0;
        let (lat, declination) = (lat_deg.to_radians(), declination_rad(angle));
        let sunset = acos((-tan(lat) * tan(declination)).clamp(-1.0, 1.0));
        Some(Day { lat, distance: 1.0 + 0.033 * cos(angle), declination, sunset })
    }
}

/// Solar hour angle, radians, -pi to pi: eq 31 to 33, with UTC for the clock and 0 for its meridian.
fn hour_angle(lon_deg: f64, day_of_year: u32, at_h: f64) -> f64 {
    let b = 2.0 * PI * (f64::from(day_of_year) - 81.0) / 364.0;
    let season_h = 0.1645 * sin(2.0 * b) - 0.1255 * cos(b) - 0.025 * sin(b);
    let omega = PI / 12.0 * (at_h + lon_deg / 15.0 + season_h - 12.0);
    omega - 2.0 * PI * libm::round(omega / (2.0 * PI))
}
