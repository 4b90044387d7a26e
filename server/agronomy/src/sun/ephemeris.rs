//! The sun's coordinates of low precision: Meeus, Astronomical Algorithms (2nd ed., chapter 25), in the form NOAA uses for its solar calculator.

use libm::{asin, atan2, cos, fmod, round, sin, tan};

const DAY_S: f64 = 86_400.0;

/// The sun's place among the stars.
pub(super) struct Sun {
    /// Declination, radians.
    pub(super) declination: f64,
    /// Right ascension, degrees.
    right_ascension_deg: f64,
    /// Right ascension of the meridian of Greenwich, degrees.
    sidereal_deg: f64,
}

impl Sun {
    pub(super) fn at(unix_s: f64) -> Sun {
        // Julian days and centuries since 2000-01-01 12:00. Terrestrial time runs about a minute ahead: 0.0007° of sun.
        let days = (unix_s - 946_728_000.0) / DAY_S;
        let t = days / 36_525.0;
        // Meeus eq 25.2 to 25.8.
        let mean_longitude = radians(fmod(280.466_46 + t * (36_000.769_83 + t * 0.000_303_2), 360.0));
        let mean_anomaly = radians(fmod(357.529_11 + t * (35_999.050_29 - t * 0.000_153_7), 360.0));
        let centre = radians(
            sin(mean_anomaly) * (1.914_602 - t * (0.004_817 + t * 0.000_014))
                + sin(2.0 * mean_anomaly) * (0.019_993 - t * 0.000_101)
                + sin(3.0 * mean_anomaly) * 0.000_289,
        );
        let node = radians(125.04 - 1_934.136 * t);
        let apparent_longitude = mean_longitude + centre - radians(0.005_69 + 0.004_78 * sin(node));
        let obliquity_deg = 23.439_291 - t * (0.013_004_2 + t * (0.000_000_16 - t * 0.000_000_504));
        let obliquity = radians(obliquity_deg + 0.002_56 * cos(node));
        // Meeus eq 12.4, and the nutation of the equinox, whose greatest term is the -0.00478 of the longitude.
        let sidereal_deg =
            280.460_618_37 + 360.985_647_366_29 * days + t * t * 0.000_387_933 - 0.004_78 * sin(node) * cos(obliquity);
        let (sine, cosine) = (sin(apparent_longitude), cos(apparent_longitude));
        Sun {
            declination: asin(sin(obliquity) * sine),
            right_ascension_deg: degrees(atan2(cos(obliquity) * sine, cosine)),
            sidereal_deg: fmod(sidereal_deg, 360.0),
        }
    }

    /// Degrees since the sun's highest stand, -180 to 180.
    pub(super) fn hour_angle_deg(&self, lon_deg: f64) -> f64 {
        wrapped(self.sidereal_deg + lon_deg - self.right_ascension_deg)
    }
}

/// The same direction between -180 and 180 degrees.
pub(super) fn wrapped(degrees: f64) -> f64 {
    degrees - 360.0 * round(degrees / 360.0)
}

/// How far average air lifts the sun, degrees, at `elevation_deg` without air (NOAA's approximation).
pub(super) fn refraction_deg(elevation_deg: f64) -> f64 {
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

fn radians(degrees: f64) -> f64 {
    degrees.to_radians()
}

fn degrees(radians: f64) -> f64 {
    radians.to_degrees()
}
