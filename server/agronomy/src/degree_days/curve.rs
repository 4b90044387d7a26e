//! The course of a day drawn from its lowest and highest temperature: climate sheet 2.1.

use core::f64::consts::{FRAC_PI_2, PI};
use libm::{asin, cos};

/// What of a day lies above a temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Excess {
    /// Degree-days above it.
    pub degree_days: f64,
    /// Share of the day above it, 0 to 1.
    pub share: f64,
}

impl Excess {
    pub(super) const NONE: Excess = Excess { degree_days: 0.0, share: 0.0 };
}

/// The line from the lowest to the highest temperature and back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// Straight (Lindsey & Newman 1956).
    Triangle,
    /// A sine (Baskerville & Emin 1969).
    Sine,
}

impl Shape {
    /// What lies above `threshold_c` on a day from `min_c` to `max_c`.
    pub(super) fn excess(self, min_c: f64, max_c: f64, threshold_c: f64) -> Excess {
        let middle_c = 0.5 * (min_c + max_c);
        if max_c <= threshold_c {
            return Excess::NONE;
        }
        if min_c >= threshold_c {
            return Excess { degree_days: middle_c - threshold_c, share: 1.0 };
        }
        let above_c = max_c - threshold_c;
        match self {
            Shape::Triangle => {
                let share = above_c / (max_c - min_c);
                Excess { degree_days: 0.5 * above_c * share, share }
            }
            Shape::Sine => {
                let amplitude_c = 0.5 * (max_c - min_c);
                let theta = asin(((threshold_c - middle_c) / amplitude_c).clamp(-1.0, 1.0));
                let degree_days = ((middle_c - threshold_c) * (FRAC_PI_2 - theta) + amplitude_c * cos(theta)) / PI;
                Excess { degree_days, share: 0.5 - theta / PI }
            }
        }
    }
}
