mod foreign;
mod properties;
mod report;

use super::mapping::Mapping;
use super::*;
use crate::took::{RawReading, Reject, Settled, Via};
use propstick_wire::Millis;

const BOARD: &str = "urn:dev:mac:02005efffe10a2b3";
const TOPIC: &str = "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/1050-1051";

/// The report of the contract (design, MQTT contract), samples 1050 and 1051.
const REPORT: &str = r#"[{"bn":"urn:dev:mac:02005efffe10a2b3_","bt":1772971200,"n":"air-temperature","u":"Cel","v":6.12},{"n":"air-humidity","u":"%RH","v":95.41},
 {"n":"soil-temperature-2","u":"Cel","v":7.06},{"n":"air-temperature","u":"Cel","v":6.08,"t":300},{"n":"air-humidity","u":"%RH","v":95.6,"t":300}]"#;

/// 2026-03-08T12:07:00Z.
const NOW: Millis = Millis(1_772_971_620_000);

fn message(topic: &str, payload: impl Into<Vec<u8>>) -> Envelope {
    Envelope {
        arrived: NOW,
        via: Via::Replay,
        topic: topic.to_owned(),
        payload: payload.into(),
        qos: 1,
        retain: false,
        dup: false,
    }
}

/// A report of one sample, number 7, with the given records behind its base name.
fn one_sample(records: &str) -> Envelope {
    message(
        "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/7-7",
        format!(r#"[{{"bn":"{BOARD}_","bt":1772971600}},{records}]"#),
    )
}

fn book(toml: &str) -> Book {
    let mapping: Mapping = toml::from_str(toml).unwrap();
    mapping.check().unwrap();
    Book { mappings: vec![mapping] }
}

/// Air of a tunnel with battery, as in troubles page 4; time in `ts`.
fn air() -> Book {
    book(
        r#"
        name = "sticks"
        topic = "tunnel/+"
        device = "topic:1"
        time = "/ts"
        field = [
            { at = "/t", quantity = "air-temperature", unit = "Cel" },
            { at = "/rh", quantity = "air-humidity", unit = "%RH" },
            { at = "/batt", quantity = "battery-voltage", unit = "V" },
            { at = "/soil", quantity = "soil-temperature", unit = "Cel" },
        ]"#,
    )
}

fn readings(took: &[Took]) -> Vec<&RawReading> {
    took.iter().filter_map(|took| if let Took::Reading(reading) = took { Some(reading) } else { None }).collect()
}

fn rejects(took: &[Took]) -> Vec<&Reject> {
    took.iter().filter_map(|took| if let Took::Reject(reject) = took { Some(reject) } else { None }).collect()
}

fn values(took: &[Took]) -> Vec<(&str, f64)> {
    readings(took).iter().map(|reading| (reading.series.channel.as_str(), reading.v)).collect()
}

fn only_reject(took: &[Took]) -> (Reason, &str) {
    let all = rejects(took);
    assert_eq!(all.len(), 1, "{took:?}");
    (all[0].reason, &all[0].detail)
}

fn settled(first: u64, last: u64) -> Took {
    Took::Settled(Settled { device: BOARD.to_owned(), queue: 0x3f9c_21a7, first, last, arrived: NOW })
}

#[test]
fn state_is_kept_as_sent_or_refused() {
    let topic = "propstick/v1/mac-02005efffe10a2b3/state";
    let text = r#"{"v":1,"online":true,"battery_v":nan}"#;
    let mut envelope = message(topic, text);
    envelope.retain = true;
    let kept = BoardState { device: BOARD.to_owned(), arrived: NOW, retained: true, payload: text.to_owned() };
    assert_eq!(read(&envelope, &Book::default()), [Took::Board(kept)]);
    for (payload, reason, detail) in [
        (
            b"{\"v\":2}".to_vec(),
            Reason::Malformed,
            "message: 'v': expected 1; allowed a state as JSON; in state of mac-",
        ),
        (b"".to_vec(), Reason::Malformed, "message: at byte 0: expected a value"),
        (b"\xff".to_vec(), Reason::Malformed, "message: at byte 0 it is no text"),
        (vec![b' '; 4097], Reason::Oversized, "message: 4097 bytes; allowed 4096; in state of"),
    ] {
        let took = read(&message(topic, payload), &Book::default());
        let (given, said) = only_reject(&took);
        assert_eq!((given, took.len()), (reason, 1));
        assert!(said.starts_with(detail), "{said}");
    }
}

#[test]
fn own_words_of_the_program_give_nothing() {
    for word in ["receipt", "settings"] {
        let topic = format!("propstick/v1/mac-02005efffe10a2b3/{word}");
        assert_eq!(read(&message(&topic, "{}"), &Book::default()), []);
    }
}

#[test]
fn topic_that_nobody_knows_is_refused() {
    let mut everything = air();
    everything.mappings[0].topic = "#".to_owned();
    for topic in
        ["elsewhere", "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/5-4", "propstick/v2/x", "$SYS/load", ""]
    {
        for book in [&air(), &everything] {
            let took = read(&message(topic, r#"{"t":5}"#), book);
            if topic == "elsewhere" && book.mappings[0].topic == "#" {
                continue;
            }
            assert_eq!(only_reject(&took).0, Reason::UnknownTopic, "{topic}");
            assert_eq!((took.len(), rejects(&took)[0].device.clone()), (1, None));
        }
    }
}
