//! Messages of other makers' devices.

use super::*;
use crate::decode::mapping::URN_PREFIX;
use crate::took::{DeviceKind, Facts, SeriesKind};

#[test]
fn foreign_nan_in_json_keeps_the_other_fields() {
    // Troubles page 4.
    let took = read(&message("tunnel/air", r#"{"t":7.4,"rh":nan,"batt":3.9}"#), &air());
    assert_eq!(values(&took), [("air-temperature", 7.4), ("battery-voltage", 3.9)]);
    assert_eq!(
        only_reject(&took),
        (Reason::NotANumber, "air-humidity: nan; allowed 0 to 105 %RH; in tunnel/air, mapping sticks")
    );
    let series = &readings(&took)[0].series;
    assert_eq!((series.device.as_str(), series.device_kind), ("urn:propstick:sticks:air", DeviceKind::Foreign));
    assert_eq!((series.mapping.as_deref(), series.unit_sent.as_str()), (Some("sticks"), "Cel"));
    assert_eq!((readings(&took)[0].t, readings(&took)[0].facts), (NOW, Facts::TIME_RECEIPT));
    assert_eq!(readings(&took)[0].sample, None);
    assert_eq!(rejects(&took)[0].device.as_deref(), Some("urn:propstick:sticks:air"));
    for word in ["NaN", "-nan", "inf", "-Infinity"] {
        let took = read(&message("tunnel/air", format!(r#"{{"rh":{word},"t":7.4}}"#)), &air());
        assert_eq!(values(&took), [("air-temperature", 7.4)], "{word}");
    }
}

#[test]
fn foreign_plain_payload_is_one_number_or_none() {
    let plain = book(
        r#"name = "plain"
        topic = "tunnel/air/t"
        field = [{ at = "", quantity = "air-temperature", unit = "degF" }]"#,
    );
    let took = read(&message("tunnel/air/t", " 46.4\n"), &plain);
    // The number as sent, in the unit sent: 8.0 degrees Celsius only on reading (troubles page 15).
    assert_eq!(values(&took), [("air-temperature", 46.4)]);
    let series = &readings(&took)[0].series;
    assert_eq!((series.unit_sent.as_str(), series.device.as_str()), ("degF", "urn:propstick:plain"));
    // Troubles page 4.
    assert_eq!(only_reject(&read(&message("tunnel/air/t", "nan"), &plain)).0, Reason::NotANumber);
    assert_eq!(only_reject(&read(&message("tunnel/air/t", "\"46.4\""), &plain)).0, Reason::NotANumber);
    // Troubles page 3.
    assert_eq!(
        only_reject(&read(&message("tunnel/air/t", "-196.6"), &plain)),
        (Reason::OutOfRange, "air-temperature: -196.6 degF; allowed -40 to 80 Cel; in tunnel/air/t, mapping plain")
    );
    for payload in ["4,5", "21.5 C", "+21", "", "\u{feff}"] {
        assert_eq!(only_reject(&read(&message("tunnel/air/t", payload), &plain)).0, Reason::Malformed, "{payload}");
    }
}

#[test]
fn foreign_disconnected_probe_is_no_reading_and_the_rest_counts() {
    // Troubles page 3.
    let took = read(&message("tunnel/air", r#"{"soil":-127.0,"t":8.2}"#), &air());
    assert_eq!(values(&took), [("air-temperature", 8.2)]);
    assert_eq!(
        only_reject(&took),
        (Reason::OutOfRange, "soil-temperature: -127 Cel; allowed -40 to 100 Cel; in tunnel/air, mapping sticks")
    );
}

#[test]
fn foreign_seconds_and_milliseconds_are_the_same_instant() {
    // Troubles page 11.
    for ts in ["1772971620000", "1772971620"] {
        let took = read(&message("tunnel/air", format!(r#"{{"ts":{ts},"t":8.2}}"#)), &air());
        assert_eq!((readings(&took)[0].t, readings(&took)[0].facts), (NOW, Facts::TIME_OWN), "{ts}");
    }
    // In January 1970, in the year 58,000, far ahead, or no time at all: arrival, and marked so.
    for ts in ["1772971", "1772971620000000", "1772975220", "nan", "\"soon\"", "true"] {
        let took = read(&message("tunnel/air", format!(r#"{{"ts":{ts},"t":8.2}}"#)), &air());
        assert_eq!((readings(&took)[0].t, readings(&took)[0].facts), (NOW, Facts::TIME_REPLACED), "{ts}");
    }
}

#[test]
fn foreign_delivered_as_retained_counts_with_its_own_time_only() {
    let mut envelope = message("tunnel/air", r#"{"ts":1772971000,"t":8.2}"#);
    envelope.retain = true;
    let took = read(&envelope, &air());
    assert_eq!(readings(&took)[0].t, Millis(1_772_971_000_000));
    assert_eq!(readings(&took)[0].facts, Facts::RETAINED);
    for payload in [r#"{"t":8.2}"#, r#"{"ts":5,"t":8.2}"#, r#"{"ts":null,"t":8.2,"rh":nan}"#] {
        envelope.payload = payload.into();
        let took = read(&envelope, &air());
        assert_eq!(only_reject(&took).0, Reason::NoTime, "{payload}");
        assert_eq!(took.len(), 1);
    }
}

#[test]
fn foreign_field_that_is_absent_or_null_is_no_fault_but_a_message_without_any_is() {
    assert_eq!(read(&message("tunnel/air", r#"{"t":8.2,"rh":null}"#), &air()).len(), 1);
    assert_eq!(read(&message("tunnel/air", r#"{"rh":null}"#), &air()), []);
    let took = read(&message("tunnel/air", r#"{"temp":8.2}"#), &air());
    assert_eq!(
        only_reject(&took),
        (
            Reason::Malformed,
            r#"fields: none is there; allowed "/t", "/rh", "/batt", "/soil"; in tunnel/air, mapping sticks"#
        )
    );
}

#[test]
fn foreign_name_given_twice_is_not_guessed() {
    let took = read(&message("tunnel/air", r#"{"t":8.2,"t":9.9,"rh":80}"#), &air());
    assert_eq!(values(&took), [("air-humidity", 80.0)]);
    assert_eq!(only_reject(&took).0, Reason::Malformed);
}

#[test]
fn foreign_message_not_to_be_read_says_where() {
    for (payload, reason, detail) in [
        (
            b"{\"t\":8.2".to_vec(),
            Reason::Malformed,
            "message: at byte 8: expected ',' or '}'; allowed JSON or one number; in tunnel/air",
        ),
        (b"{\"t\":8.2} x".to_vec(), Reason::Malformed, "message: at byte 10: expected the end"),
        (b"{\"t\":\xff}".to_vec(), Reason::Malformed, "message: at byte 5 it is no text; allowed UTF-8; in tunnel/air"),
        (vec![b' '; 16_385], Reason::Oversized, "message: 16385 bytes; allowed 16384; in tunnel/air"),
    ] {
        let took = read(&message("tunnel/air", payload), &air());
        let (given, said) = only_reject(&took);
        assert_eq!((given, took.len()), (reason, 1));
        assert!(said.starts_with(detail), "{said}");
        assert!(rejects(&took)[0].payload.len() <= 4096);
    }
    let padded = format!("{}{}", r#"{"t":8.2}"#, " ".repeat(16_384 - 9));
    assert_eq!(values(&read(&message("tunnel/air", padded), &air())), [("air-temperature", 8.2)]);
}

#[test]
fn foreign_device_is_named_by_topic_or_message() {
    let by_id = book(
        r#"name = "radio"
        topic = "gateway/#"
        device = "/from/id"
        field = [{ at = "/t", quantity = "air-temperature", unit = "Cel" }]"#,
    );
    let device = |book: &Book, topic: &str, payload: &str| {
        let took = read(&message(topic, payload), book);
        readings(&took)
            .first()
            .map(|reading| reading.series.device.clone())
            .ok_or_else(|| rejects(&took)[0].detail.clone())
    };
    let named = |own: &str| Ok(format!("{URN_PREFIX}radio:{own}"));
    assert_eq!(device(&by_id, "gateway/x", r#"{"from":{"id":"a1-B2"},"t":5}"#), named("a1-B2"));
    assert_eq!(device(&by_id, "gateway", r#"{"from":{"id":17},"t":5}"#), named("17"));
    assert_eq!(device(&by_id, "gateway/x", r#"{"from":{"id":"a:b/c %"},"t":5}"#), named("a%3Ab%2Fc%20%25"));
    assert_eq!(device(&by_id, "gateway/x", r#"{"from":{"id":"bôte"},"t":5}"#), named("b%C3%B4te"));
    for (payload, detail) in [
        (r#"{"t":5}"#, "device: nothing at /from/id"),
        (r#"{"from":{"id":nan},"t":5}"#, "device: nan at /from/id"),
        (r#"{"from":{"id":""},"t":5}"#, "device: \"\"; allowed 1 to 64 bytes"),
        (r#"{"from":{"id":"a\nb"},"t":5}"#, "device: \"a\\nb\"; allowed 1 to 64 bytes"),
    ] {
        assert!(device(&by_id, "gateway/x", payload).unwrap_err().starts_with(detail), "{payload}");
    }
    let long = |len: usize| format!(r#"{{"from":{{"id":"{}"}},"t":5}}"#, "a".repeat(len));
    assert_eq!(device(&by_id, "gateway/x", &long(64)), named(&"a".repeat(64)));
    assert!(device(&by_id, "gateway/x", &long(65)).is_err());
    let by_level = book(
        r#"name = "levels"
        topic = "site/#"
        device = "topic:2"
        field = [{ at = "/t", quantity = "air-temperature", unit = "Cel" }]"#,
    );
    assert_eq!(device(&by_level, "site/3/air", r#"{"t":5}"#), Ok("urn:propstick:levels:air".to_owned()));
    assert!(device(&by_level, "site/3", r#"{"t":5}"#).unwrap_err().starts_with("device: the topic has no level 2"));
}

#[test]
fn foreign_rain_is_a_sum_over_its_interval_and_a_contact_is_true_or_false() {
    let both = book(
        r#"name = "out"
        topic = "out"
        field = [
            { at = "/rain", quantity = "rain", unit = "mm", span_s = 600 },
            { at = "/door", quantity = "vent-open", unit = "/" },
        ]"#,
    );
    let took = read(&message("out", r#"{"rain":0.4,"door":true}"#), &both);
    assert_eq!(values(&took), [("rain", 0.4), ("vent-open", 1.0)]);
    let series = &readings(&took)[0].series;
    assert_eq!((series.kind, series.span_s, series.stamp_end), (SeriesKind::Sum, 600, true));
    let series = &readings(&took)[1].series;
    assert_eq!((series.kind, series.span_s, series.stamp_end), (SeriesKind::Instant, 0, false));
    assert_eq!(only_reject(&read(&message("out", r#"{"rain":true,"door":false}"#), &both)).0, Reason::NotANumber);
}

#[test]
fn foreign_mean_keeps_its_interval_and_which_end_is_named() {
    let means = book(
        r#"name = "means"
        topic = "out"
        field = [
            { at = "/t", quantity = "air-temperature", unit = "Cel", kind = "mean", span_s = 600 },
            { at = "/low", quantity = "air-temperature", unit = "Cel", kind = "min", span_s = 86400, stamp = "start" },
        ]"#,
    );
    let took = read(&message("out", r#"{"t":8.2,"low":-1.5}"#), &means);
    let meaning: Vec<(SeriesKind, i64, bool)> =
        readings(&took).iter().map(|r| (r.series.kind, r.series.span_s, r.series.stamp_end)).collect();
    assert_eq!(meaning, [(SeriesKind::Mean, 600, true), (SeriesKind::Min, 86_400, false)]);
}

#[test]
fn foreign_message_of_two_mappings_is_read_by_each() {
    let mut two = air();
    let mut second = two.mappings[0].clone();
    second.name = "again".to_owned();
    two.mappings.push(second);
    let took = read(&message("tunnel/air", r#"{"t":8.2}"#), &two);
    let devices: Vec<&str> = readings(&took).iter().map(|reading| reading.series.device.as_str()).collect();
    assert_eq!(devices, ["urn:propstick:sticks:air", "urn:propstick:again:air"]);
}
