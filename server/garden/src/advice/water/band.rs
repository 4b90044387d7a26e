//! A figure of the water sum with both ends of its doubt.

use serde::{Deserialize, Serialize};

/// Least, likely and most: `low <= likely <= high`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// The least it can be.
    pub low: f64,
    /// What it most likely is.
    pub likely: f64,
    /// The most it can be.
    pub high: f64,
}

impl Band {
    /// A figure without doubt.
    pub const fn exact(value: f64) -> Band {
        Band { low: value, likely: value, high: value }
    }

    /// `value` (0 or more) give or take `share` of it, never below 0.
    pub fn about(value: f64, share: f64) -> Band {
        Band { low: value * (1.0 - share).max(0.0), likely: value, high: value * (1.0 + share) }
    }

    /// All three multiplied by a number that is 0 or more.
    pub fn times(self, by: f64) -> Band {
        Band { low: self.low * by, likely: self.likely * by, high: self.high * by }
    }

    /// How far the ends lie apart.
    pub fn spread(self) -> f64 {
        self.high - self.low
    }

    /// All three through a function that never turns their order round.
    pub fn map(self, f: impl Fn(f64) -> f64) -> Band {
        Band { low: f(self.low), likely: f(self.likely), high: f(self.high) }
    }
}
