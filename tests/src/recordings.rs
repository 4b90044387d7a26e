//! Messages of an invented garden: two boards of ours and other makers' devices, as lines of a recording and as envelopes.

use std::fmt::Write as _;

use propstick_wire::{BoardUrn, Millis, QueueId};

/// A garden with a tunnel, a frame and a screen outdoors. Sunrise and sunset are those of 51° N 3° W.
pub const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "Europe/Dublin"

[[structure]]
slug = "outdoors"
kind = "outdoors"
name = "Outdoors"

[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Long tunnel"
[[structure.vent]]
slug = "yard-door"
name = "yard door"
kind = "door"
faces = "S"
positions = { closed = "shut", crack = "a hand's width", half = "half way", full = "wide" }
[[structure.vent]]
slug = "field-door"
name = "field door"
kind = "door"
faces = "N"
positions = { closed = "shut", crack = "a hand's width", half = "half way", full = "wide" }

[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Brick frame"
[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "on", crack = "on the first notch", full = "off" }

[[spot]]
slug = "tunnel-air"
structure = "tunnel"
role = "air"
[[spot]]
slug = "tunnel-soil"
structure = "tunnel"
role = "soil"
[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
[[spot]]
slug = "screen"
structure = "outdoors"
role = "outside"

[[placement]]
device = "urn:dev:mac:02005efffe000001"
channels = ["air-temperature", "air-humidity"]
spot = "tunnel-air"
from = "2020-01-01T00:00:00Z"
[[placement]]
device = "urn:dev:mac:02005efffe000001"
channels = ["soil-temperature-2"]
spot = "tunnel-soil"
from = "2020-01-01T00:00:00Z"
[[placement]]
device = "urn:dev:mac:02005efffe000002"
channels = ["air-temperature", "air-humidity"]
spot = "screen"
from = "2020-01-01T00:00:00Z"
[[placement]]
device = "urn:propstick:sticks:3"
channels = ["air-temperature", "air-humidity"]
spot = "frame-air"
from = "2020-01-01T00:00:00Z"
"#;

/// The configuration's table for the other makers' devices of that garden.
pub const MAPPING: &str = r#"
[[mapping]]
name = "sticks"
topic = "site/+/air"
device = "topic:1"
time = "/ts"
[[mapping.field]]
at = "/t"
quantity = "air-temperature"
unit = "Cel"
[[mapping.field]]
at = "/rh"
quantity = "air-humidity"
unit = "%RH"
"#;

/// Name of the board in the tunnel of [`GARDEN`].
pub const TUNNEL: &str = "urn:dev:mac:02005efffe000001";
/// Name of the board outdoors.
pub const OUTDOORS: &str = "urn:dev:mac:02005efffe000002";

/// A message and when it was received.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message {
    /// When it was received.
    pub recv: Millis,
    /// Its topic.
    pub topic: String,
    /// Its payload.
    pub payload: String,
    /// Whether it was delivered as retained.
    pub retain: bool,
}

impl Message {
    /// A message that is not retained.
    pub fn new(recv: Millis, topic: impl Into<String>, payload: impl Into<String>) -> Message {
        Message { recv, topic: topic.into(), payload: payload.into(), retain: false }
    }

    /// Its line in a recording.
    pub fn line(&self) -> String {
        let recv = self.recv.0 as f64 / 1_000.0;
        let line =
            serde_json::json!({"recv": recv, "topic": self.topic, "payload": self.payload, "retain": self.retain});
        line.to_string()
    }
}

/// A recording of these messages.
pub fn recording(messages: &[Message]) -> String {
    messages.iter().map(|m| m.line() + "\n").collect()
}

/// One record of a sample: channel, unit, and its value as JSON.
pub type Part<'a> = (&'a str, &'a str, String);

/// A pack of a board: samples numbered from `first`, each with its time in seconds, which count from `base_s`; without one they count back
/// from sending.
pub fn pack(board: &str, base_s: Option<i64>, samples: &[(i64, Vec<Part<'_>>)]) -> String {
    let mut text = format!("[{{\"bn\":\"{board}_\"");
    if let Some(base) = base_s {
        let _ = write!(text, ",\"bt\":{base}");
    }
    text.push('}');
    for (t, parts) in samples {
        for (channel, unit, value) in parts {
            let _ = write!(text, ",{{\"n\":\"{channel}\",\"u\":\"{unit}\",\"v\":{value},\"t\":{t}}}");
        }
    }
    text.push(']');
    text
}

/// Topic of samples `first` to `last` of a board's queue.
///
/// # Panics
/// Where `board` is no board's name.
#[allow(clippy::expect_used)] // a test's helpers are part of the test
pub fn report_topic(board: &str, queue: u32, first: u64, last: u64) -> String {
    BoardUrn::parse(board).expect("a board's name").report_topic(QueueId(queue), first, last).to_string()
}

/// Temperature in °C and humidity in %RH as the parts of a sample.
pub fn air(t_c: f64, rh_pct: f64) -> Vec<Part<'static>> {
    vec![("air-temperature", "Cel", t_c.to_string()), ("air-humidity", "%RH", rh_pct.to_string())]
}

/// A board that takes samples and reports them in packs.
pub struct Reporter {
    board: String,
    queue: u32,
    next: u64,
    waiting: Vec<(i64, Vec<Part<'static>>)>,
    a_pack: usize,
}

impl Reporter {
    /// A board that reports after every `a_pack` samples.
    pub fn new(board: &str, queue: u32, a_pack: usize) -> Reporter {
        Reporter { board: board.to_owned(), queue, next: 1, waiting: Vec::new(), a_pack }
    }

    /// Takes a sample; gives the report if one is due.
    pub fn sample(&mut self, at_s: i64, parts: Vec<Part<'static>>) -> Option<Message> {
        self.waiting.push((at_s, parts));
        if self.waiting.len() < self.a_pack { None } else { self.report() }
    }

    /// Reports what waits, two seconds after the last sample.
    pub fn report(&mut self) -> Option<Message> {
        let (base, last) = (self.waiting.first()?.0, self.waiting.last()?.0);
        let samples: Vec<_> = self.waiting.drain(..).map(|(t, parts)| (t - base, parts)).collect();
        let first = self.next;
        self.next += samples.len() as u64;
        let topic = report_topic(&self.board, self.queue, first, self.next - 1);
        Some(Message::new(Millis((last + 2) * 1_000), topic, pack(&self.board, Some(base), &samples)))
    }
}

/// Seconds since 1970 of an instant such as `2026-03-10T12:00:00Z`.
///
/// # Panics
/// Where it is none.
#[allow(clippy::expect_used)] // a test's helpers are part of the test
pub fn seconds(instant: &str) -> i64 {
    chrono::DateTime::parse_from_rfc3339(instant).expect("an instant").timestamp()
}
