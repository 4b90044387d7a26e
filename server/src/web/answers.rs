//! Shapes that several answers share.

use std::borrow::Cow;

use propstick_garden::fold::Figure;
use propstick_garden::instant::from_rfc3339;
pub use propstick_garden::instant::to_rfc3339 as instant;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::problem::Problem;

/// A figure with its doubt.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
pub struct F {
    /// The value, or null where unknown.
    pub value: Option<f64>,
    /// Lowest it may be by the sensor's stated error.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<f64>,
    /// Highest it may be by the sensor's stated error.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<f64>,
    /// Why it is unknown.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unknown: Option<Cow<'static, str>>,
    /// Share of the period that was measured, 0 to 1.
    pub measured: f64,
}

impl From<Figure> for F {
    fn from(f: Figure) -> F {
        F {
            value: f.value.map(round),
            low: f.low.map(round),
            high: f.high.map(round),
            unknown: f.unknown.map(|w| Cow::Borrowed(w.word())),
            measured: (f.measured * 1_000.0).round() / 1_000.0,
        }
    }
}

/// Rounds to a ten-thousandth: finer than any sensor, coarse enough to read.
pub fn round(v: f64) -> f64 {
    (v * 10_000.0).round() / 10_000.0
}

/// A stretch as it is asked for: for ever at an end that is left out.
pub fn parse_stretch(from: Option<&str>, to: Option<&str>) -> Result<(Millis, Millis), Problem> {
    let start = from.map(|text| parse_instant("from", text)).transpose()?.unwrap_or(Millis(i64::MIN));
    let end = to.map(|text| parse_instant("to", text)).transpose()?.unwrap_or(Millis(i64::MAX));
    if end <= start {
        let asked = format!("{} to {}", from.unwrap_or("ever"), to.unwrap_or("ever"));
        return Err(Problem::bad("from, to", &asked, "`to` after `from`"));
    }
    Ok((start, end))
}

/// An instant as it is asked for.
pub fn parse_instant(place: &str, text: &str) -> Result<Millis, Problem> {
    from_rfc3339(text).ok_or_else(|| Problem::bad(place, text, "an instant like 2026-03-01T08:00:00Z"))
}
