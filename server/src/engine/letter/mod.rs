//! Advice as it is kept: one JSON body that says what to do, why, and on which readings it rests.

mod cover;
mod frost;
mod vent;
mod water;

use propstick_garden::advice::Air;
use propstick_garden::instant::to_rfc3339;
use propstick_wire::Millis;
use serde::{Deserialize, Serialize};
use serde_json::Value;

pub(super) use cover::{cover_body, cover_until, read_cover};
pub(super) use frost::{frost_body, frost_gist, frost_until, is_frost_news};
pub(super) use vent::{read_vent, vent_body, vent_until};
pub(super) use water::{water_body, water_gist};

/// The body, alike for all kinds.
#[derive(Default, Serialize, Deserialize)]
struct Body {
    say: String,
    because: String,
    verdict: String,
    aim: Option<String>,
    rule: String,
    by_rule: bool,
    moves: Vec<Value>,
    expect: Expect,
    rests_on: Vec<ReadingPart>,
    doubt: Option<String>,
    cautions: Vec<String>,
    #[serde(default)]
    also: Vec<String>,
    #[serde(default)]
    further: Option<String>,
    /// A gale is heard for the night: everything is shut and fastened by then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fasten_by: Option<String>,
}

/// What is to be expected.
#[derive(Default, Serialize, Deserialize)]
struct Expect {
    air_c: RangePart,
    rh_pct: RangePart,
    /// Lowest temperature of the night at the leaves, whole °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    low_c: Option<RangePart>,
}

/// A figure that is known only as a range.
#[derive(Serialize, Deserialize)]
struct RangePart {
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unknown: Option<String>,
    measured: f64,
}

impl Default for RangePart {
    fn default() -> RangePart {
        RangePart { value: None, low: None, high: None, unknown: Some("not-worked-out".to_owned()), measured: 0.0 }
    }
}

#[derive(Serialize, Deserialize)]
struct ReadingPart {
    spot: String,
    quantity: String,
    unit: String,
    t: String,
    value: f64,
}

fn range(found: Option<(f64, f64)>) -> RangePart {
    let round = |v: f64| (v * 10.0).round() / 10.0;
    found.map_or_else(RangePart::default, |(low, high)| RangePart {
        value: Some(round((low + high) / 2.0)),
        low: Some(round(low)),
        high: Some(round(high)),
        unknown: None,
        measured: 1.0,
    })
}

fn reading(spot: &str, (quantity, unit): (&str, &str), t: Millis, value: f64) -> ReadingPart {
    ReadingPart {
        spot: spot.to_owned(),
        quantity: quantity.to_owned(),
        unit: unit.to_owned(),
        t: to_rfc3339(t),
        value: (value * 100.0).round() / 100.0,
    }
}

/// The readings of the air at a spot that an advice rests on.
fn air_readings(spot: &str, air: Option<Air>) -> Vec<ReadingPart> {
    let Some(air) = air else { return Vec::new() };
    let temperature = reading(spot, ("air-temperature", "°C"), air.at, air.t_c);
    let humidity = air.rh_pct.map(|rh| reading(spot, ("air-humidity", "%RH"), air.at, rh));
    std::iter::once(temperature).chain(humidity).collect()
}

fn written(body: &Body) -> String {
    serde_json::to_string(body).unwrap_or_default()
}
