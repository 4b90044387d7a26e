//! Reports of our boards.

use super::*;
use crate::took::{DeviceKind, Facts, Sample, SeriesKind};

#[test]
fn report_of_the_contract_gives_its_readings_and_settles() {
    let took = read(&message(TOPIC, REPORT), &Book::default());
    let first = (Millis(1_772_971_200_000), 1050);
    let second = (Millis(1_772_971_500_000), 1051);
    let expected = [
        ("air-temperature", "Cel", 6.12, first),
        ("air-humidity", "%RH", 95.41, first),
        ("soil-temperature-2", "Cel", 7.06, first),
        ("air-temperature", "Cel", 6.08, second),
        ("air-humidity", "%RH", 95.6, second),
    ];
    for (reading, (channel, unit, v, (t, n))) in readings(&took).iter().zip(expected) {
        assert_eq!((reading.series.device.as_str(), reading.series.device_kind), (BOARD, DeviceKind::Board));
        assert_eq!((reading.series.channel.as_str(), reading.series.unit_sent.as_str()), (channel, unit));
        assert_eq!(
            (reading.series.kind, reading.series.span_s, &reading.series.mapping),
            (SeriesKind::Instant, 0, &None)
        );
        assert_eq!((reading.v, reading.t, reading.arrived, reading.facts), (v, t, NOW, Facts::TIME_OWN));
        assert_eq!(reading.sample, Some(Sample { queue: 0x3f9c_21a7, n }));
    }
    assert_eq!(took.len(), 6);
    assert_eq!(took[5], settled(1050, 1051));
}

#[test]
fn report_without_clock_counts_back_from_arrival() {
    let text = REPORT.replace("\"bt\":1772971200,", "").replace("\"v\":6.12}", "\"v\":6.12,\"t\":-300}");
    let text =
        text.replace("95.41}", "95.41,\"t\":-300}").replace("7.06}", "7.06,\"t\":-300}").replace(",\"t\":300", "");
    let took = read(&message(TOPIC, text), &Book::default());
    let times: Vec<(Millis, Facts, u64)> =
        readings(&took).iter().map(|r| (r.t, r.facts, r.sample.unwrap().n)).collect();
    let (early, late) = ((NOW.plus(-300_000), Facts::TIME_RELATIVE, 1050), (NOW, Facts::TIME_RELATIVE, 1051));
    assert_eq!(times, [early, early, early, late, late]);
}

#[test]
fn report_with_a_time_that_cannot_be_takes_arrival_and_keeps_its_samples_apart() {
    // 2001, one hour ahead, and a board that sends its uptime as base time, long and short.
    for base in ["1000000000", "1772975220", "1234", "60"] {
        let text = REPORT.replace("1772971200", base);
        let took = read(&message(TOPIC, text), &Book::default());
        let times: Vec<(Millis, Facts)> = readings(&took).iter().map(|r| (r.t, r.facts)).collect();
        let (first, last) = ((NOW.plus(-300_000), Facts::TIME_REPLACED), (NOW, Facts::TIME_REPLACED));
        assert_eq!(times, [first, first, first, last, last], "{base}");
    }
    // 2001 and then 2096: a distance that cannot be is not kept.
    let text = REPORT.replace("1772971200", "1000000000").replace("\"t\":300", "\"t\":3000000000");
    let took = read(&message(TOPIC, text), &Book::default());
    assert!(readings(&took).iter().all(|r| (r.t, r.facts) == (NOW, Facts::TIME_REPLACED)));
    // 2001 and then 300 s ahead of arrival: only the first is replaced, and stands alone.
    let text = REPORT.replace("1772971200", "1000000000").replace("\"t\":300", "\"t\":772971920");
    let took = read(&message(TOPIC, text), &Book::default());
    assert_eq!((readings(&took)[0].t, readings(&took)[0].facts), (NOW, Facts::TIME_REPLACED));
    assert_eq!((readings(&took)[3].t, readings(&took)[3].facts), (NOW.plus(300_000), Facts::TIME_OWN));
}

#[test]
fn report_with_a_bad_field_refuses_that_field_alone() {
    let took = read(
        &one_sample(
            r#"{"n":"air-temperature","u":"Cel","v":8.2},{"n":"air-humidity","u":"%RH","v":nan},{"n":"air-humidity-2","u":"%RH","v":340},
               {"n":"soil-temperature","u":"Cel","v":-127.0},{"n":"soil-temperature-2","u":"degF","v":-196.6},{"n":"soil-temperature-3","u":"%RH","v":7},
               {"n":"light","v":7},{"n":"co2","u":"ppm","v":412},{"n":"leaf-temperature","u":"Cel","vs":"warm"},{"n":"wind-speed","u":"m/s","s":5},
               {"n":"battery-voltage","u":"V","v":3.91}"#,
        ),
        &Book::default(),
    );
    assert_eq!(values(&took), [("air-temperature", 8.2), ("battery-voltage", 3.91)]);
    let place = "; in report of mac-02005efffe10a2b3, sample 7";
    let expected = [
        (Reason::NotANumber, "air-humidity: nan; allowed 0 to 105 %RH"),
        (Reason::OutOfRange, "air-humidity-2: 340 %RH; allowed 0 to 105 %RH"),
        (Reason::OutOfRange, "soil-temperature: -127 Cel; allowed -40 to 100 Cel"),
        (Reason::OutOfRange, "soil-temperature-2: -196.6 degF; allowed -40 to 100 Cel"),
        (Reason::WrongUnit, "soil-temperature-3: 7 %RH; allowed Cel, K, degF"),
        (Reason::WrongUnit, "light: 7 without a unit; allowed W/m2"),
        (Reason::UnknownQuantity, "co2: 412 ppm; allowed air-temperature, air-humidity,"),
        (Reason::NotANumber, "leaf-temperature: warm; allowed -40 to 80 Cel"),
        (Reason::NotANumber, "wind-speed: a sum and no value; allowed 0 to 75 m/s"),
    ];
    let all = rejects(&took);
    assert_eq!(all.len(), expected.len());
    for (reject, (reason, detail)) in all.iter().zip(expected) {
        assert_eq!(reject.reason, reason, "{}", reject.detail);
        assert!(reject.detail.starts_with(detail) && reject.detail.ends_with(place), "{}", reject.detail);
        assert_eq!((reject.device.as_deref(), reject.pack), (Some(BOARD), Some((0x3f9c_21a7, 7, 7))));
        assert_eq!((reject.at, reject.topic.as_str()), (NOW, "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/7-7"));
    }
    assert_eq!(took.last(), Some(&settled(7, 7)));
}

#[test]
fn report_at_the_ends_of_the_hard_range_is_kept_as_sent() {
    let records = r#"{"n":"air-humidity","u":"%RH","v":105},{"n":"air-humidity-2","u":"%RH","v":0},{"n":"soil-temperature","u":"Cel","v":85.0},
        {"n":"air-temperature","u":"K","v":233.15},{"n":"air-temperature-2","u":"Cel","v":80},{"n":"vent-open","vb":true},{"n":"vent-open-2","u":"/","v":0}"#;
    let took = read(&one_sample(records), &Book::default());
    let sent: Vec<(f64, &str)> = readings(&took).iter().map(|r| (r.v, r.series.unit_sent.as_str())).collect();
    assert_eq!(
        sent,
        [(105.0, "%RH"), (0.0, "%RH"), (85.0, "Cel"), (233.15, "K"), (80.0, "Cel"), (1.0, "/"), (0.0, "/")]
    );
    let outside = r#"{"n":"air-humidity","u":"%RH","v":105.01},{"n":"air-humidity-2","u":"%RH","v":-0.01},{"n":"air-temperature","u":"Cel","v":80.01},
        {"n":"vent-open","vb":"yes"}"#;
    assert!(readings(&read(&one_sample(outside), &Book::default())).is_empty());
}

#[test]
fn report_refused_whole_is_settled_all_the_same() {
    let nothing: &[u8] = b"";
    let long = format!("[{}]", " ".repeat(5000));
    let many = format!("[{}]", vec![r#"{"n":"a","v":1}"#; 97].join(","));
    let other = REPORT.replace("a2b3_", "a2b4_");
    let bare = REPORT.replace("a2b3_", "a2b3:");
    let mixed = REPORT.replace(
        "{\"n\":\"air-humidity\",\"u\":\"%RH\",\"v\":95.6",
        "{\"bt\":0,\"n\":\"air-humidity\",\"u\":\"%RH\",\"v\":95.6",
    );
    let turned = REPORT.replace("1772971200", "0").replace("\"t\":300", "\"t\":1772971500");
    let scrap = vec![0xff; 4097];
    let back = REPORT.replacen("\"v\":95.41", "\"v\":95.41,\"t\":-1", 1);
    let three = REPORT.replacen("\"v\":7.06", "\"v\":7.06,\"t\":1", 1);
    let one = REPORT.replace("\"t\":300", "\"t\":0");
    for (payload, reason, detail) in [
        (nothing, Reason::Malformed, "message: at byte 0: expected a value"),
        (b"\xff\xfe", Reason::Malformed, "message: at byte 0 it is no text; allowed UTF-8"),
        (b"[{\"n\":1}]", Reason::Malformed, "message: record 1: 'n': expected a text"),
        (b"{\"t\":4}", Reason::Malformed, "message: expected an array of records"),
        (b"[]", Reason::WrongCount, "samples: 0 in the message; allowed 2 (1050 to 1051)"),
        (long.as_bytes(), Reason::Oversized, "message: 5002 bytes; allowed 4096"),
        (many.as_bytes(), Reason::Oversized, "message: more than 96 records"),
        (other.as_bytes(), Reason::WrongBoard, "board: urn:dev:mac:02005efffe10a2b4_air-tempera…"),
        (bare.as_bytes(), Reason::WrongBoard, "board: urn:dev:mac:02005efffe10a2b3:air-tempera…"),
        (mixed.as_bytes(), Reason::Malformed, "times: 300 s from now after 1772971500 s since 1970"),
        (turned.as_bytes(), Reason::Malformed, "times: 1772971500 s since 1970 after 0 s from now"),
        (&scrap, Reason::Oversized, "message: 4097 bytes; allowed 4096"),
        (back.as_bytes(), Reason::Malformed, "times: 1772971199 s since 1970 after 1772971200 s since 1970"),
        (three.as_bytes(), Reason::WrongCount, "samples: 3 in the message; allowed 2"),
        (one.as_bytes(), Reason::WrongCount, "samples: 1 in the message; allowed 2"),
    ] {
        let took = read(&message(TOPIC, payload), &Book::default());
        let (given, said) = only_reject(&took);
        assert_eq!(given, reason, "{said}");
        assert!(said.starts_with(detail) && said.ends_with("in report of mac-02005efffe10a2b3"), "{said}");
        assert_eq!(took.len(), 2);
        assert_eq!(took[1], settled(1050, 1051));
        assert_eq!(rejects(&took)[0].pack, Some((0x3f9c_21a7, 1050, 1051)));
    }
}

#[test]
fn report_of_another_board_among_the_records_refuses_the_pack() {
    let text = REPORT.replace(
        "{\"n\":\"soil-temperature-2\"",
        "{\"bn\":\"urn:dev:mac:02005efffe10a2b4_\",\"n\":\"soil-temperature-2\"",
    );
    let took = read(&message(TOPIC, text), &Book::default());
    assert_eq!(only_reject(&took).0, Reason::WrongBoard);
    assert!(readings(&took).is_empty());
}

#[test]
fn report_with_a_range_of_all_numbers_is_wrong_by_count_and_settles_no_more_than_a_pack() {
    let topic = "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/1-9007199254740991";
    let took = read(&message(topic, REPORT), &Book::default());
    assert_eq!(only_reject(&took).0, Reason::WrongCount);
    assert_eq!(took.last(), Some(&settled(1, 96)));
}

#[test]
fn report_delivered_as_retained_counts_with_its_own_time_only() {
    let mut envelope = message(TOPIC, REPORT);
    envelope.retain = true;
    let took = read(&envelope, &Book::default());
    assert_eq!(readings(&took).len(), 5);
    assert!(readings(&took).iter().all(|reading| reading.facts == Facts::RETAINED.and(Facts::TIME_OWN)));
    envelope.payload = REPORT.replace("1772971200", "0").into_bytes();
    let took = read(&envelope, &Book::default());
    assert!(readings(&took).is_empty());
    let reasons: Vec<(Reason, bool)> =
        rejects(&took).iter().map(|r| (r.reason, r.detail.contains("sample 1050"))).collect();
    assert_eq!(reasons, [(Reason::NoTime, true), (Reason::NoTime, false)]);
    assert_eq!(took.last(), Some(&settled(1050, 1051)));
}
