use super::*;
use crate::{Decimal, Millis};
use proptest::prelude::*;
use std::format;
use std::string::{String, ToString};
use std::vec;
use std::vec::Vec;

/// The report of the contract (design, MQTT contract), samples 1050 and 1051.
const REPORT: &str = concat!(
    r#"[{"bn":"urn:dev:mac:02005efffe10a2b3_","bt":1772971200,"n":"air-temperature","u":"Cel","v":6.12},"#,
    r#"{"n":"air-humidity","u":"%RH","v":95.41},{"n":"soil-temperature-2","u":"Cel","v":7.06},"#,
    r#"{"n":"air-temperature","u":"Cel","v":6.08,"t":300},{"n":"air-humidity","u":"%RH","v":95.6,"t":300}]"#
);

fn fault(text: &str) -> (Option<usize>, SenmlFault) {
    let error = Pack::parse(text).unwrap_err();
    (error.record, error.fault)
}

fn only(text: &str) -> Record<'_> {
    let pack = Pack::parse(text).unwrap();
    assert_eq!(pack.records().count(), 1, "{text}");
    pack.records().next().unwrap()
}

#[test]
fn contract_report_is_read() {
    let pack = Pack::parse(REPORT).unwrap();
    let read: Vec<(String, Value<'_>, Time)> = pack.records().map(|r| (r.name.to_string(), r.value, r.time)).collect();
    let first = Time::Absolute(Millis(1_772_971_200_000));
    let second = Time::Absolute(Millis(1_772_971_500_000));
    assert_eq!(
        read,
        [
            ("urn:dev:mac:02005efffe10a2b3_air-temperature".to_string(), Value::Number(6.12), first),
            ("urn:dev:mac:02005efffe10a2b3_air-humidity".to_string(), Value::Number(95.41), first),
            ("urn:dev:mac:02005efffe10a2b3_soil-temperature-2".to_string(), Value::Number(7.06), first),
            ("urn:dev:mac:02005efffe10a2b3_air-temperature".to_string(), Value::Number(6.08), second),
            ("urn:dev:mac:02005efffe10a2b3_air-humidity".to_string(), Value::Number(95.6), second),
        ]
    );
}

#[test]
fn contract_report_is_written_letter_for_letter() {
    let mut buffer = [0; MAX_PACK_BYTES];
    let start = Millis(1_772_971_200_000);
    let mut pack = Writer::begin(&mut buffer, "urn:dev:mac:02005efffe10a2b3_", Some(start)).unwrap();
    pack.record("air-temperature", "Cel", Decimal::new(612, 2), 0).unwrap();
    pack.record("air-humidity", "%RH", Decimal::new(9541, 2), 0).unwrap();
    pack.record("soil-temperature-2", "Cel", 7.06, 0).unwrap();
    pack.record("air-temperature", "Cel", Decimal::new(6080, 3), 300_000).unwrap();
    pack.record("air-humidity", "%RH", Decimal::new(9560, 2), 300_000).unwrap();
    assert_eq!(pack.finish().unwrap(), REPORT);
}

#[test]
fn writer_of_a_board_names_it() {
    let mut buffer = [0; 128];
    let board = crate::BoardUrn::parse("urn:dev:mac:02005efffe10a2b3").unwrap();
    let mut pack = Writer::begin_board(&mut buffer, &board, None).unwrap();
    pack.record("air-temperature", "Cel", Decimal::new(612, 2), 0).unwrap();
    let text = pack.finish().unwrap();
    assert_eq!(text, r#"[{"bn":"urn:dev:mac:02005efffe10a2b3_","n":"air-temperature","u":"Cel","v":6.12}]"#);
}

#[test]
fn writer_without_clock_counts_back_and_leaves_base_time_out() {
    let mut buffer = [0; 256];
    let mut pack = Writer::begin(&mut buffer, "urn:dev:mac:02005efffe10a2b3_", None).unwrap();
    pack.record("air-temperature", "Cel", Decimal::new(-5, 1), -300_250).unwrap();
    pack.record("air-temperature", "Cel", Decimal::new(0, 1), 0).unwrap();
    assert_eq!(pack.record("air-temperature", "Cel", Decimal::new(0, 1), 1), Err(WriteError::BadTime));
    let text = pack.finish().unwrap();
    assert_eq!(
        text,
        concat!(
            r#"[{"bn":"urn:dev:mac:02005efffe10a2b3_","n":"air-temperature","u":"Cel","v":-0.5,"t":-300.25},"#,
            r#"{"n":"air-temperature","u":"Cel","v":0}]"#
        )
    );
    let times: Vec<Time> = Pack::parse(text).unwrap().records().map(|r| r.time).collect();
    assert_eq!(times, [Time::Relative(-300_250), Time::Relative(0)]);
}

#[test]
fn writer_refuses_what_the_reader_would_refuse() {
    let mut buffer = [0; 256];
    let late = Some(Millis(1_772_971_200_000));
    assert!(matches!(Writer::begin(&mut buffer, "_x", late), Err(WriteError::BadName)));
    assert!(matches!(Writer::begin(&mut buffer, "a b", late), Err(WriteError::BadName)));
    assert!(matches!(Writer::begin(&mut buffer, "a", Some(Millis(268_435_455_999))), Err(WriteError::BadTime)));
    let mut pack = Writer::begin(&mut buffer, "", late).unwrap();
    assert_eq!(pack.record("", "Cel", 1.0, 0), Err(WriteError::BadName));
    assert_eq!(pack.record("é", "Cel", 1.0, 0), Err(WriteError::BadName));
    assert_eq!(pack.record("-a", "Cel", 1.0, 0), Err(WriteError::BadName));
    assert_eq!(pack.record("a", "C\"el", 1.0, 0), Err(WriteError::BadUnit));
    assert_eq!(pack.record("a", "°C", 1.0, 0), Err(WriteError::BadUnit));
    assert_eq!(pack.record("a", "Cel", f64::NAN, 0), Err(WriteError::NotANumber));
    assert_eq!(pack.record("a", "Cel", f64::INFINITY, 0), Err(WriteError::NotANumber));
    pack.record("a", "", 1.0, 5).unwrap();
    assert_eq!(pack.record("a", "Cel", 1.0, 4), Err(WriteError::BadTime));
    assert_eq!(pack.record("a", "Cel", 1.0, i64::MIN), Err(WriteError::BadTime));
    assert_eq!(pack.records(), 1);
    assert_eq!(pack.finish().unwrap(), r#"[{"bt":1772971200,"n":"a","v":1,"t":0.005}]"#);
}

#[test]
fn writer_that_is_full_leaves_a_whole_pack() {
    let mut buffer = [0; 70];
    let mut pack = Writer::begin(&mut buffer, "b", None).unwrap();
    pack.record("a", "Cel", Decimal::new(1, 0), 0).unwrap();
    pack.record("a", "Cel", Decimal::new(2, 0), 0).unwrap();
    assert_eq!(pack.record("a", "Cel", Decimal::new(3, 0), 0), Err(WriteError::Full));
    assert_eq!(pack.finish().unwrap(), r#"[{"bn":"b","n":"a","u":"Cel","v":1},{"n":"a","u":"Cel","v":2}]"#);
    let exact = r#"[{"bn":"b","n":"a","u":"Cel","v":1}]"#.len();
    for (len, fits) in [(exact, true), (exact - 1, false)] {
        let mut buffer = vec![0; len];
        let mut pack = Writer::begin(&mut buffer, "b", None).unwrap();
        assert_eq!(pack.record("a", "Cel", Decimal::new(1, 0), 0).is_ok(), fits);
    }
    assert_eq!(Writer::begin(&mut [0; 2], "b", None).unwrap().finish(), Ok("[]"));
    assert_eq!(Writer::begin(&mut [0; 1], "b", None).unwrap().finish(), Err(crate::Full));
}

#[test]
fn writer_that_goes_back_forgets_the_records_since() {
    let mut buffer = [0; 90];
    let mut pack = Writer::begin(&mut buffer, "b", None).unwrap();
    let nothing = pack.mark();
    pack.record("a", "Cel", Decimal::new(1, 0), -20).unwrap();
    let one = pack.mark();
    pack.record("a", "Cel", Decimal::new(2, 0), -10).unwrap();
    assert_eq!(pack.record("a-name-that-is-too-long", "Cel", Decimal::new(2, 0), -10), Err(WriteError::Full));
    pack.back_to(one);
    assert_eq!(pack.records(), 1);
    pack.record("c", "V", Decimal::new(3, 0), -15).unwrap();
    pack.back_to(nothing);
    pack.record("d", "V", Decimal::new(4, 0), -30).unwrap();
    assert_eq!(pack.finish().unwrap(), r#"[{"bn":"b","n":"d","u":"V","v":4,"t":-0.03}]"#);
}

#[test]
fn writer_stops_at_the_limits_of_the_contract() {
    let mut buffer = vec![0; 3 * MAX_PACK_BYTES];
    let mut pack = Writer::begin(&mut buffer, "b", None).unwrap();
    for _ in 0..MAX_RECORDS {
        pack.record("a", "Cel", 1.0, 0).unwrap();
    }
    assert_eq!(pack.record("a", "Cel", 1.0, 0), Err(WriteError::TooMany));
    assert_eq!(Pack::parse(pack.finish().unwrap()).unwrap().records().count(), MAX_RECORDS);

    let mut pack = Writer::begin(&mut buffer, "b", None).unwrap();
    let long = "n".repeat(100);
    while pack.record(&long, "Cel", 1.0, 0).is_ok() {}
    assert_eq!(pack.record(&long, "Cel", 1.0, 0), Err(WriteError::Full));
    let text = pack.finish().unwrap();
    assert!(text.len() <= MAX_PACK_BYTES && text.len() > MAX_PACK_BYTES - 140, "{}", text.len());
}

#[test]
fn pack_at_and_beyond_the_limits() {
    let records = |n: usize| format!("[{}]", vec![r#"{"n":"a","v":1}"#; n].join(","));
    assert!(Pack::parse(&records(MAX_RECORDS)).is_ok());
    assert_eq!(fault(&records(MAX_RECORDS + 1)), (None, SenmlFault::TooMany));
    let padded = |bytes: usize| format!("[{}]", " ".repeat(bytes - 2));
    assert_eq!(Pack::parse(&padded(MAX_PACK_BYTES)).unwrap().records().count(), 0);
    assert_eq!(fault(&padded(MAX_PACK_BYTES + 1)), (None, SenmlFault::TooLong { bytes: MAX_PACK_BYTES + 1 }));
}

#[test]
fn record_that_is_malformed_refuses_the_pack_and_names_itself() {
    let number = |field| SenmlFault::WrongType { field, expected: "a number" };
    let text = |field| SenmlFault::WrongType { field, expected: "a text" };
    for (record, expected) in [
        (r#"5"#, SenmlFault::NotAnObject),
        (r#"{"n":"a","v":1,"x_":1}"#, SenmlFault::MustUnderstand),
        (r#"{"n":"a","v":1,"x\u005f":1}"#, SenmlFault::MustUnderstand),
        (r#"{"n":"a","v":1,"v":2}"#, SenmlFault::Twice),
        (r#"{"n":"a","v":1,"\u0076":2}"#, SenmlFault::Twice),
        (r#"{"n":"a","v":1,"other":2,"other":2}"#, SenmlFault::Twice),
        (r#"{"n":"a","v":1,"vb":true}"#, SenmlFault::SeveralValues),
        (r#"{"n":"a","vs":"1","vd":"MQ"}"#, SenmlFault::SeveralValues),
        (r#"{"n":"a","vb":1}"#, SenmlFault::WrongType { field: "vb", expected: "true or false" }),
        (r#"{"n":"a","vs":1}"#, text("vs")),
        (r#"{"n":1,"v":1}"#, text("n")),
        (r#"{"n":"a","u":1,"v":1}"#, text("u")),
        (r#"{"bn":null,"n":"a","v":1}"#, text("bn")),
        (r#"{"n":"a","t":nan,"v":1}"#, number("t")),
        (r#"{"bt":"1","n":"a","v":1}"#, number("bt")),
        (r#"{"bv":inf,"n":"a","v":1}"#, number("bv")),
        (r#"{"n":"a"}"#, SenmlFault::NoValue),
        (r#"{"bn":"a","n":"b"}"#, SenmlFault::NoValue),
        (r#"{}"#, SenmlFault::NoValue),
        (r#"{"v":1}"#, SenmlFault::BadName),
        (r#"{"n":"_a","v":1}"#, SenmlFault::BadName),
        (r#"{"bn":"_","n":"a","v":1}"#, SenmlFault::BadName),
        (r#"{"n":"a b","v":1}"#, SenmlFault::BadName),
        (r#"{"n":"ä","v":1}"#, SenmlFault::BadName),
        (r#"{"bver":11,"n":"a","v":1}"#, SenmlFault::Version { given: 11 }),
        (r#"{"bver":0,"n":"a","v":1}"#, SenmlFault::WrongType { field: "bver", expected: "a whole number from 1" }),
        (r#"{"n":"a","t":1e13,"v":1}"#, SenmlFault::TimeTooFar),
    ] {
        assert_eq!(fault(&format!(r#"[{{"n":"ok","v":1}},{record}]"#)), (Some(1), expected), "{record}");
    }
    assert!(matches!(fault("[{]").1, SenmlFault::Json(_)));
    assert_eq!(fault("{}"), (None, SenmlFault::NotAnArray));
    assert_eq!(Pack::parse(r#"[{"n":"ok","v":1},5]"#).unwrap_err().to_string(), "record 2: expected an object");
}

#[test]
fn version_must_be_known_and_the_same_throughout() {
    assert_eq!(fault(r#"[{"bver":11,"n":"a","v":1}]"#), (Some(0), SenmlFault::Version { given: 11 }));
    assert_eq!(fault(r#"[{"bver":5,"n":"a","v":1},{"bver":6,"n":"a","v":1}]"#), (Some(1), SenmlFault::VersionChanges));
    assert_eq!(fault(r#"[{"n":"a","v":1},{"bver":5,"n":"a","v":1}]"#), (Some(1), SenmlFault::VersionChanges));
    assert!(Pack::parse(r#"[{"bver":10,"n":"a","v":1},{"n":"a","v":1},{"bver":10,"n":"a","v":1}]"#).is_ok());
}

#[test]
fn value_that_is_no_number_spoils_its_own_record_alone() {
    for raw in ["nan", "-inf", "NaN", "\"7.4\"", "null", "true", "1e999", "[1]", "{\"v\":1}"] {
        let text = format!(r#"[{{"n":"a","v":{raw}}},{{"n":"b","v":2}}]"#);
        let pack = Pack::parse(&text).unwrap();
        let values: Vec<Value<'_>> = pack.records().map(|r| r.value).collect();
        assert_eq!(values, [Value::NotANumber(raw.trim_matches('"')), Value::Number(2.0)], "{raw}");
    }
    assert_eq!(only(r#"[{"bv":1e308,"n":"a","v":1e308}]"#).value, Value::NotANumber("too large"));
}

#[test]
fn base_fields_hold_until_replaced() {
    let text = r#"[{"bn":"x/","bu":"Cel","bv":20,"bs":100,"bt":2000000000,"n":"a","v":1},
                   {"n":"b","u":"V","v":-1,"s":5,"t":1.5},
                   {"bv":0,"bs":-1},
                   {"bn":"y/","n":"c","v":3},
                   {"bu":"K","n":"d","s":0}]"#;
    let pack = Pack::parse(text).unwrap();
    let read: Vec<Record<'_>> = pack.records().collect();
    let summary: Vec<(String, String, Value<'_>, Option<f64>)> = read
        .iter()
        .map(|r| (r.name.to_string(), r.unit.map(|u| u.to_string()).unwrap_or_default(), r.value, r.sum))
        .collect();
    let s = |text: &str| text.to_string();
    assert_eq!(
        summary,
        [
            (s("x/a"), s("Cel"), Value::Number(21.0), Some(100.0)),
            (s("x/b"), s("V"), Value::Number(19.0), Some(105.0)),
            (s("y/c"), s("Cel"), Value::Number(3.0), Some(-1.0)),
            (s("y/d"), s("K"), Value::None, Some(-1.0)),
        ]
    );
    assert_eq!(read[1].time, Time::Absolute(Millis(2_000_000_001_500)));
}

#[test]
fn sum_that_is_no_number_is_told_where_there_is_no_value() {
    let alone = only(r#"[{"n":"a","s":nan}]"#);
    assert_eq!((alone.value, alone.sum), (Value::NotANumber("nan"), None));
    let beside = only(r#"[{"n":"a","v":1,"s":nan}]"#);
    assert_eq!((beside.value, beside.sum), (Value::Number(1.0), None));
}

#[test]
fn time_at_two_to_the_28_is_absolute_and_below_is_relative() {
    assert_eq!(only(r#"[{"n":"a","v":1,"t":268435456}]"#).time, Time::Absolute(Millis(268_435_456_000)));
    assert_eq!(only(r#"[{"n":"a","v":1,"t":268435455}]"#).time, Time::Relative(268_435_455_000));
    // The sum decides, not its parts.
    assert_eq!(only(r#"[{"bt":268435455,"n":"a","v":1,"t":1}]"#).time, Time::Absolute(Millis(268_435_456_000)));
    assert_eq!(only(r#"[{"n":"a","v":1,"t":-0.0004}]"#).time, Time::Relative(0));
    assert_eq!(only(r#"[{"n":"a","v":1,"ut":60}]"#).update_time_s, Some(60.0));
}

#[test]
fn unknown_fields_are_ignored() {
    assert_eq!(only(r#"[{"n":"a","v":1,"x":{"y":[1,2]},"_z":nan}]"#).value, Value::Number(1.0));
}

#[test]
fn name_escaped_and_joined_compares_as_meant() {
    let record = only(r#"[{"bn":"urn:dev:mac:0200\u0035efffe10a2b3","n":"_air-temperature","v":1}]"#);
    assert_eq!(record.name, "urn:dev:mac:02005efffe10a2b3_air-temperature");
    assert_eq!(record.name.as_plain(), None);
    let rest = record.name.split_after("urn:dev:mac:02005efffe10a2b3_").unwrap();
    assert_eq!(rest, "air-temperature");
    assert_eq!(rest.as_plain(), Some("air-temperature"));
    assert_eq!(record.name.split_after("urn:dev:mac:02005efffe10a2b4_"), None);
    assert!(record.name.split_after("urn:dev:mac:02005efffe10a2b3_air-temperature").unwrap().is_empty());
    assert_eq!(record.name.split_after("urn:dev:mac:02005efffe10a2b3_air-temperature-2"), None);
    assert_eq!(record.name.split_after("").unwrap(), record.name);
    let other = only(r#"[{"n":"urn:dev:mac:02005efffe10a2b3_air-temperature","v":1}]"#);
    assert_eq!(record.name, other.name);
}

/// One record to write: name, unit, mantissa, places, step to the record before in milliseconds.
fn any_record() -> impl Strategy<Value = (String, String, i64, u8, i64)> {
    ("[a-zA-Z0-9][a-z0-9:./_-]{0,10}", "[a-zA-Z%/]{0,4}", -1_000_000_i64..1_000_000, 0_u8..4, 0_i64..400_000)
}

proptest! {
    #[test]
    fn prop_written_pack_reads_back_exactly(
        base in "[a-z0-9][a-z0-9:_-]{0,20}",
        start in proptest::option::of(1_577_836_800_000_i64..4_000_000_000_000),
        records in prop::collection::vec(any_record(), 1..20),
    ) {
        let mut buffer = [0; MAX_PACK_BYTES];
        let total: i64 = records.iter().map(|r| r.4).sum();
        let mut offset = -total;
        let mut offsets = Vec::new();
        let mut pack = Writer::begin(&mut buffer, &base, start.map(Millis)).unwrap();
        for (name, unit, mantissa, places, step) in &records {
            offset += step;
            pack.record(name, unit, Decimal::new(*mantissa, *places), offset).unwrap();
            offsets.push(offset);
        }
        let text = pack.finish().unwrap();
        let pack = Pack::parse(text).unwrap();
        prop_assert_eq!(pack.records().count(), records.len());
        for ((read, (name, unit, mantissa, places, _)), offset) in pack.records().zip(&records).zip(offsets) {
            prop_assert_eq!(read.name.to_string(), format!("{base}{name}"));
            prop_assert_eq!(read.unit.map(|u| u.to_string()).unwrap_or_default(), unit.as_str());
            prop_assert_eq!(read.value, Value::Number(*mantissa as f64 / 10_f64.powi(i32::from(*places))));
            let time = match start { Some(at) => Time::Absolute(Millis(at + offset)), None => Time::Relative(offset) };
            prop_assert_eq!(read.time, time);
        }
    }

    #[test]
    fn prop_written_double_reads_back_the_same(v in any::<f64>().prop_filter("finite", |v| v.is_finite())) {
        let mut buffer = [0; MAX_PACK_BYTES];
        let mut pack = Writer::begin(&mut buffer, "a", None).unwrap();
        pack.record("", "Cel", v, 0).unwrap();
        prop_assert_eq!(only(pack.finish().unwrap()).value, Value::Number(v));
    }

    #[test]
    fn prop_any_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(text) = core::str::from_utf8(&bytes) {
            let _ = Pack::parse(text);
        }
    }

    #[test]
    fn prop_changed_report_never_panics_and_what_passes_is_walked_whole(
        at in any::<prop::sample::Index>(), cut in 0_usize..12, put in r#"[\[\]{}:,"\\a-z0-9_+.-]{0,8}"#,
    ) {
        let from = at.index(REPORT.len());
        let to = (from + cut).min(REPORT.len());
        let text = format!("{}{put}{}", &REPORT[..from], &REPORT[to..]);
        if let Ok(pack) = Pack::parse(&text) {
            let objects = text.matches('{').count();
            prop_assert!(pack.records().count() <= objects);
            for record in pack.records() {
                prop_assert!(record.name.is_valid());
                prop_assert!(!matches!(record.value, Value::Number(v) if !v.is_finite()));
                prop_assert!(record.value != Value::None || record.sum.is_some());
            }
        }
    }
}
