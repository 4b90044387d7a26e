//! A figure with its doubt.

/// Stated error of a thermometer that nobody has stated, °C. Makers of the usual chips state 0.2 to 0.4.
pub const T_ERROR_C: f64 = 0.3;

/// Why a figure is unknown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// Nothing is placed that would measure it.
    NotMeasured,
    /// Nothing has been heard yet.
    NoReading,
    /// What was heard is too old.
    Stale,
    /// Too little of the period was measured.
    NotEnough,
}

impl Why {
    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            Why::NotMeasured => "not-measured",
            Why::NoReading => "no-reading",
            Why::Stale => "stale",
            Why::NotEnough => "not-enough",
        }
    }
}

/// A number that leaves the core: its value with the range the sensor's stated error leaves, and how much of the period was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The value; none where unknown.
    pub value: Option<f64>,
    /// Lowest it may be by the sensor's stated error.
    pub low: Option<f64>,
    /// Highest it may be by the sensor's stated error.
    pub high: Option<f64>,
    /// Share of the period that was measured, 0 to 1.
    pub measured: f64,
    /// Why it is unknown, where it is.
    pub unknown: Option<Why>,
}

impl Figure {
    /// A known figure.
    pub fn known(value: f64, low: f64, high: f64, measured: f64) -> Figure {
        Figure { value: Some(value), low: Some(low), high: Some(high), measured, unknown: None }
    }

    /// A known figure whose error is `error` either way.
    pub fn within(value: f64, error: f64, measured: f64) -> Figure {
        Figure::known(value, value - error, value + error, measured)
    }

    /// An unknown figure.
    pub fn unknown(why: Why, measured: f64) -> Figure {
        Figure { value: None, low: None, high: None, measured, unknown: Some(why) }
    }
}
