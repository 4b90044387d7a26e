//! The sun's place in the sky.

use super::ephemeris::{Sun, refraction_deg};
use super::is_place;
use libm::{asin, atan2, cos, sin};

/// Where the sun stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Its centre above the horizon without refraction, degrees, -90 to 90.
    pub elevation_deg: f64,
    /// From north through east, degrees, 0 up to 360.
    pub azimuth_deg: f64,
}

/// Where the sun stands at `unix_s` UTC seconds since 1970 (1900 to 2100) over `lat_deg` (-90 to 90) and `lon_deg` (-180 to 180).
///
/// **Errors**: `None` for an instant or a place out of range. **Source**: Meeus, chapters 13 and 25. **Accuracy**: within 0.009° of pvlib 0.16.1
/// (SPA) over all of 2026 at five places.
///
/// ```
/// use propstick_agronomy::sun::position;
/// // The reference case of the SPA report (Reda & Andreas 2004): 2003-10-17 12:30:30 at UTC-7, azimuth 194.340°.
/// let sun = position(1_066_419_030.0, 39.742476, -105.1786).unwrap();
/// assert!((sun.azimuth_deg - 194.340).abs() < 0.01 && (sun.elevation_deg - 39.872).abs() < 0.01);
/// ```
pub fn position(unix_s: f64, lat_deg: f64, lon_deg: f64) -> Option<Position> {
    let meant = (-2.21e9..=4.14e9).contains(&unix_s) && is_place(lat_deg, lon_deg);
    meant.then(|| {
        let sun = Sun::at(unix_s);
        let hour_angle = sun.hour_angle_deg(lon_deg).to_radians();
        let (lat, decl) = (lat_deg.to_radians(), sun.declination);
        let sine = sin(lat) * sin(decl) + cos(lat) * cos(decl) * cos(hour_angle);
        // Meeus eq 13.5, turned from south to north.
        let east = -cos(decl) * sin(hour_angle);
        let north = cos(lat) * sin(decl) - sin(lat) * cos(decl) * cos(hour_angle);
        let azimuth_deg = atan2(east, north).to_degrees();
        Position {
            elevation_deg: asin(sine.clamp(-1.0, 1.0)).to_degrees(),
            azimuth_deg: if azimuth_deg < 0.0 { azimuth_deg + 360.0 } else { azimuth_deg },
        }
    })
}

/// Elevation of the sun's centre above the horizon, degrees, without refraction: [`position`] without the azimuth.
///
/// **Errors**, **source** and **accuracy**: as [`position`].
///
/// ```
/// use propstick_agronomy::sun::elevation_deg;
/// // Climate sheet 3.2: 14.56° at noon (12:01:49) of 21 December 2026 at 52° N, 1° W.
/// assert!((elevation_deg(1_797_854_509.0, 52.0, -1.0).unwrap() - 14.56).abs() < 0.01);
/// ```
pub fn elevation_deg(unix_s: f64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
    position(unix_s, lat_deg, lon_deg).map(|sun| sun.elevation_deg)
}

/// As [`elevation_deg`], lifted by the refraction of average air at sea level (NOAA's approximation).
///
/// **Errors**: as [`position`]. **Accuracy**: within 0.007° of pvlib 0.16.1 above the horizon; refraction itself varies by more there.
///
/// ```
/// use propstick_agronomy::sun::{apparent_elevation_deg, elevation_deg};
/// // Climate sheet 3.2: 0.06 to 0.10° of lift at a winter noon.
/// let at = |f: fn(f64, f64, f64) -> Option<f64>| f(1_797_854_509.0, 52.0, -1.0).unwrap();
/// assert!((0.055..0.105).contains(&(at(apparent_elevation_deg) - at(elevation_deg))));
/// ```
pub fn apparent_elevation_deg(unix_s: f64, lat_deg: f64, lon_deg: f64) -> Option<f64> {
    let elevation = elevation_deg(unix_s, lat_deg, lon_deg)?;
    Some(elevation + refraction_deg(elevation))
}
