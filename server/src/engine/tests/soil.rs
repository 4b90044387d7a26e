//! Probes in a bed: what they do to the advice that is kept.

use propstick_garden::record::{Event, EventKind, EventSource};

use super::*;

const GARDEN: &str = r#"
[garden]
name = "Hazel bank"
lat = 51.0
lon = -3.0
zone = "UTC"
[[structure]]
slug = "frame"
kind = "cold_frame"
name = "Frame"
[[structure.vent]]
slug = "lid"
name = "lid"
kind = "lid"
positions = { closed = "shut", full = "off" }
[[bed]]
slug = "salad"
structure = "frame"
name = "Salad"
soil = "sandy loam"
crop = "lettuce"
area_m2 = 2.0
[[spot]]
slug = "frame-air"
structure = "frame"
role = "air"
[[spot]]
slug = "frame-soil"
structure = "frame"
role = "soil"
bed = "salad"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b3"
channels = ["air-temperature", "air-humidity"]
spot = "frame-air"
from = "2026-01-01T00:00:00Z"
[[placement]]
device = "urn:dev:mac:02005efffe10a2b3"
channels = ["soil-temperature", "soil-moisture"]
spot = "frame-soil"
from = "2026-01-01T00:00:00Z"
"#;

fn took(channel: &str, t: Millis, v: f64) -> Took {
    let unit = match channel {
        "air-humidity" => "%RH",
        "soil-moisture" => "/",
        _ => "Cel",
    };
    let Took::Reading(one) = reading(t, v, unit) else { unreachable!() };
    Took::Reading(RawReading { series: SeriesKey { channel: channel.to_owned(), ..one.series }, ..one })
}

/// What is kept of the advice after four days of a probe that was soaked at their begin, holds `full` a day and a half later and `last` at the end, and
/// of soil of `soil_c`.
fn advised(full: f64, last: f64, soil_c: f64) -> Vec<(String, String)> {
    let dir = tempfile::tempdir().unwrap();
    let mut ledger = Ledger::open(&folder::readings_path(dir.path())).unwrap();
    let mut engine = Engine::open(dir.path(), Some(parse_garden(GARDEN).unwrap()), Pace::Live).unwrap();
    let mut all = Vec::new();
    for k in 0..=4 * 144 {
        let t = NOON.plus(k * 10 * MINUTE);
        all.push(took("air-temperature", t, 14.0 + 0.5 * (k % 9) as f64));
        all.push(took("air-humidity", t, 60.0 + (k % 7) as f64));
        all.push(took("soil-temperature", t, soil_c + 0.1 * (k % 3) as f64));
        all.push(took("soil-moisture", t, if k < 3 * 144 { full } else { last }));
    }
    let soaked = Event {
        id: 0,
        t: NOON,
        kind: EventKind::Water,
        target: "salad".to_owned(),
        what: Some("root".to_owned()),
        amount: Some(20.0),
        unit: Some("mm".to_owned()),
        source: EventSource::Tap,
        origin: 0,
        undone_at: None,
    };
    engine.step(Input::Command(Command::Told(Box::new(Told::Did(soaked, None, None)), NOON))).unwrap();
    engine.step(Input::Committed(ledger.commit(&all).unwrap())).unwrap();
    let db = GardenDb::open_reader(&folder::garden_path(dir.path())).unwrap();
    db.advice().standing("frame").unwrap().into_iter().map(|kept| (kept.kind, kept.body)).collect()
}

fn of<'a>(kept: &'a [(String, String)], kind: &str) -> &'a str {
    &kept.iter().find(|(k, _)| k == kind).unwrap().1
}

#[test]
fn probe_that_reads_dry_after_a_soaking_sends_a_finger_in_and_says_that_it_disagrees() {
    let disagrees = "The probe in the soil does not agree";
    // Sandy loam holds some 0.12 m3/m3 and lettuce takes 0.3 of it: refill near 0.28 of a field capacity of 0.32, less than 0.05 of doubt to 0.30.
    let dry = advised(0.32, 0.10, 12.0);
    assert!(of(&dry, "water").contains(disagrees), "{}", of(&dry, "water"));
    let full = advised(0.32, 0.30, 12.0);
    assert!(!of(&full, "water").contains(disagrees), "{}", of(&full, "water"));
}

#[test]
fn soil_too_hot_for_lettuce_is_said_from_the_probe_in_its_bed() {
    // Wetness sheet 4.5: lettuce seed sleeps above 25 °C.
    let says = |soil_c| of(&advised(0.32, 0.30, soil_c), "vent").contains("sow lettuce this evening");
    assert!(says(27.0) && !says(24.0));
}
