//! Where the sun stands, when it rises and sets, and what a clear sky gives.
//!
//! Low-precision solar coordinates after Meeus, Astronomical Algorithms (2nd ed., chapter 25), in the form NOAA uses for
//! its solar calculator: within 0.01° of the full theory between 1900 and 2100. Latitude is positive north, longitude
//! positive east, both in degrees; instants are UTC seconds since 1970. An observer at sea level with a free horizon.

use libm::{acos, asin, cos, exp, floor, fmod, round, sin, tan};

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;
/// Centre of the sun at sunrise and sunset, degrees: 34' of refraction and 16' of semi-diameter (climate sheet 3.2).
const SUNRISE_DEG: f64 = -0.833;
/// Centre of the sun at civil dawn and dusk, degrees.
const CIVIL_DEG: f64 = -6.0;

/// The sun's day at one place.
///
/// The day is that of the place's own mean solar time: noon is the culmination nearest to 12:00 of the date at the
/// longitude, so far from Greenwich the instants may fall on a neighbouring UTC date. An event that does not happen, in
/// polar day or night, is `None`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SunDay {
    /// Civil dawn, sun 6° below the horizon, UTC seconds.
    pub civil_dawn_s: Option<i64>,
    /// Sunrise, UTC seconds.
    pub sunrise_s: Option<i64>,
    /// Highest sun, UTC seconds.
    pub noon_s: i64,
    /// Sunset, UTC seconds.
    pub sunset_s: Option<i64>,
    /// Civil dusk, UTC seconds.
    pub civil_dusk_s: Option<i64>,
}

impl SunDay {
    /// The sun's day of `year`-`month`-`day` (1900 to 2100, proleptic Gregorian) at `lat_deg` (-90 to 90) and `lon_deg`
    /// (-180 to 180). `None` for a date that does not exist or a place that is none.
    ///
    /// Within 60 s of astral 3.2 and pvlib's SPA at 50 to 58° N (climate sheet 3.2).
    ///
    /// ```
    /// use propstick_agronomy::sun::SunDay;
    /// // Climate sheet 3.2: 52° N, 1° W on 21 December 2026, sunrise 08:10:08 UTC.
    /// let sunrise_s = SunDay::of_date(2026, 12, 21, 52.0, -1.0).unwrap().sunrise_s.unwrap();
    /// assert!((sunrise_s.rem_euclid(86_400) - (8 * 3600 + 10 * 60 + 8)).abs() <= 60);
    /// ```
    pub fn of_date(year: i32, month: u32, day: u32, lat_deg: f64, lon_deg: f64) -> Option<SunDay> {
        SunDay::of_day_number(days_since_1970(year, month, day)?, lat_deg, lon_deg)
    }

    /// As [`SunDay::of_date`], for the day that lies `day_number` days after 1970-01-01.
    pub fn of_day_number(day_number: i64, lat_deg: f64, lon_deg: f64) -> Option<SunDay> {
        // 1900-01-01 to 2100-12-31.
        let meant = (-25_567..=47_846).contains(&day_number) && is_place(lat_deg, lon_deg);
        if !meant {
            return None;
        }
        let mean_noon_s = (day_number as f64 + 0.5) * DAY_S - lon_deg * 240.0;
        let noon_s = culmination_s(mean_noon_s, lon_deg);
        let crossing = |altitude_deg, side| crossing_s(noon_s, altitude_deg, side, lat_deg).map(whole);
        Some(SunDay {
            civil_dawn_s: crossing(CIVIL_DEG, -1.0),
            sunrise_s: crossing(SUNRISE_DEG, -1.0),
            noon_s: whole(noon_s),
            sunset_s: crossing(SUNRISE_DEG, 1.0),
            civil_dusk_s: crossing(CIVIL_DEG, 1.0),
        })
    }
}

/// Elevation of the sun's centre above the horizon, degrees, without refraction, at `unix_s` UTC seconds (1900 to 2100).
/// Within 0.01° of pvlib's SPA. `None` for an instant or a place out of range.
pub fn elevation_deg(unix_s: f64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
    let meant = (-2.21e9..=4.14e9).contains(&unix_s) && is_place(lat_deg, lon_deg);
    meant.then(|| {
        let sun = Sun::at(unix_s);
        let hour_angle = radians(sun.hour_angle_deg(unix_s, lon_deg));
        let (lat, decl) = (radians(lat_deg), sun.declination);
        let sine = sin(lat) * sin(decl) + cos(lat) * cos(decl) * cos(hour_angle);
        degrees(asin(sine.clamp(-1.0, 1.0)))
    })
}

/// As [`elevation_deg`], lifted by the refraction of average air (NOAA's approximation).
pub fn apparent_elevation_deg(unix_s: f64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
    let elevation = elevation_deg(unix_s, lat_deg, lon_deg)?;
    Some(elevation + refraction_deg(elevation))
}

/// Short-wave radiation on the level under a clear sky, W/m², with the sun at `apparent_elevation_deg` degrees: Haurwitz,
/// climate sheet 3.4, `1098 cos z exp(-0.059 / cos z)`. 0 with the sun below the horizon; `None` beyond ±90°.
///
/// Daily totals within 1 % of pvlib's at 50 to 58° N.
pub fn clear_sky_w_m2(apparent_elevation_deg: f64) -> Option<f64> {
    if !(-90.0..=90.0).contains(&apparent_elevation_deg) {
        return None;
    }
    let cos_zenith = sin(radians(apparent_elevation_deg));
    Some(if cos_zenith > 0.0 { 1098.0 * cos_zenith * exp(-0.059 / cos_zenith) } else { 0.0 })
}

/// Days from 1970-01-01 to the date, in the proleptic Gregorian calendar; `None` for a date that does not exist.
fn days_since_1970(year: i32, month: u32, day: u32) -> Option<i64> {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let length = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1900..=2100).contains(&year) || !(1..=length).contains(&day) {
        return None;
    }
    // Years counted from March, so that the leap day is the last of its year.
    let years = i64::from(year) - i64::from(month <= 2);
    let months = i64::from((month + 9) % 12);
    let day_of_year = (153 * months + 2) / 5 + i64::from(day) - 1;
    // 719,468 days lie between 0000-03-01 and 1970-01-01.
    Some(365 * years + years / 4 - years / 100 + years / 400 + day_of_year - 719_468)
}

/// The sun's place in the sky, as far as the time of day does not matter.
struct Sun {
    /// Declination, radians.
    declination: f64,
    /// Apparent minus mean solar time, minutes.
    equation_of_time_min: f64,
}

impl Sun {
    fn at(unix_s: f64) -> Sun {
        // Julian centuries since 2000-01-01 12:00. Terrestrial time runs about a minute ahead: 0.00004° of sun.
        let t = (unix_s - 946_728_000.0) / (36_525.0 * DAY_S);
        // Meeus eq 25.2 to 25.8.
        let mean_longitude = radians(fmod(280.466_46 + t * (36_000.769_83 + t * 0.000_303_2), 360.0));
        let mean_anomaly = radians(fmod(357.529_11 + t * (35_999.050_29 - t * 0.000_153_7), 360.0));
        let eccentricity = 0.016_708_634 - t * (0.000_042_037 + t * 0.000_000_126_7);
        let centre = radians(
            sin(mean_anomaly) * (1.914_602 - t * (0.004_817 + t * 0.000_014))
                + sin(2.0 * mean_anomaly) * (0.019_993 - t * 0.000_101)
                + sin(3.0 * mean_anomaly) * 0.000_289,
        );
        let node = radians(125.04 - 1_934.136 * t);
        let apparent_longitude = mean_longitude + centre - radians(0.005_69 + 0.004_78 * sin(node));
        let obliquity_deg = 23.439_291 - t * (0.013_004_2 + t * (0.000_000_16 - t * 0.000_000_504));
        let obliquity = radians(obliquity_deg + 0.002_56 * cos(node));
        // Meeus eq 28.3 (Smart).
        let y = tan(obliquity / 2.0) * tan(obliquity / 2.0);
        let (e, l, m) = (eccentricity, mean_longitude, mean_anomaly);
        let equation_of_time = y * sin(2.0 * l) - 2.0 * e * sin(m) + 4.0 * e * y * sin(m) * cos(2.0 * l)
            - 0.5 * y * y * sin(4.0 * l)
            - 1.25 * e * e * sin(2.0 * m);
        Sun {
            declination: asin(sin(obliquity) * sin(apparent_longitude)),
            equation_of_time_min: 4.0 * degrees(equation_of_time),
        }
    }

    /// Degrees since the sun's highest stand, -180 to 180.
    fn hour_angle_deg(&self, unix_s: f64, lon_deg: f64) -> f64 {
        let solar_s = unix_s + lon_deg * 240.0 + self.equation_of_time_min * 60.0;
        let in_day = solar_s / DAY_S - floor(solar_s / DAY_S);
        in_day * 360.0 - 180.0
    }
}

/// The sun's highest stand nearest to `mean_noon_s`.
fn culmination_s(mean_noon_s: f64, lon_deg: f64) -> f64 {
    let mut noon_s = mean_noon_s;
    for _ in 0..3 {
        noon_s -= Sun::at(noon_s).hour_angle_deg(noon_s, lon_deg) * 240.0;
    }
    noon_s
}

/// When the sun's centre crosses `altitude_deg` before (`side` -1) or after (`side` 1) `noon_s`.
fn crossing_s(noon_s: f64, altitude_deg: f64, side: f64, lat_deg: f64) -> Option<f64> {
    let lat = radians(lat_deg);
    let mut at_s = noon_s;
    // The declination moves by up to 0.4° a day: each round brings the crossing a hundred times nearer.
    for _ in 0..5 {
        let sun = Sun::at(at_s);
        let cos_hour_angle =
            (sin(radians(altitude_deg)) - sin(lat) * sin(sun.declination)) / (cos(lat) * cos(sun.declination));
        if !(-1.0..=1.0).contains(&cos_hour_angle) {
            return None;
        }
        let wanted_deg = side * degrees(acos(cos_hour_angle));
        // Apparent noon at this instant's equation of time, then the hour angle.
        let drift_s = (Sun::at(noon_s).equation_of_time_min - sun.equation_of_time_min) * 60.0;
        at_s = noon_s + drift_s + wanted_deg * 240.0;
    }
    Some(at_s)
}

fn refraction_deg(elevation_deg: f64) -> f64 {
    let h = elevation_deg;
    let tangent = tan(radians(h));
    let arc_seconds = if h > 85.0 {
        0.0
    } else if h > 5.0 {
        58.1 / tangent - 0.07 / (tangent * tangent * tangent) + 0.000_086 / libm::pow(tangent, 5.0)
    } else if h > -0.575 {
        1_735.0 + h * (-518.2 + h * (103.4 + h * (-12.79 + h * 0.711)))
    } else {
        -20.774 / tangent
    };
    arc_seconds / 3_600.0
}

fn is_place(lat_deg: f64, lon_deg: f64) -> bool {
    (-90.0..=90.0).contains(&lat_deg) && (-180.0..=180.0).contains(&lon_deg)
}

fn whole(seconds: f64) -> i64 {
    round(seconds) as i64
}

fn radians(degrees: f64) -> f64 {
    degrees.to_radians()
}

fn degrees(radians: f64) -> f64 {
    radians.to_degrees()
}

#[cfg(test)]
mod tests;
