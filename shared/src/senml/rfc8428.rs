//! The examples of RFC 8428, section 5.1: inputs typed from the standard, outcomes worked out by its section 4.

use super::*;
use crate::Millis;
use std::format;
use std::string::{String, ToString};
use std::vec::Vec;

const OW: &str = "urn:dev:ow:10e2073a01080063";

/// Name, unit, number, time in milliseconds (absolute) or the offset (relative) of each record.
fn resolved(text: &str) -> Vec<(String, Option<String>, f64, Time)> {
    let pack = Pack::parse(text).unwrap();
    pack.records()
        .map(|r| {
            let Value::Number(v) = r.value else { panic!("{r:?}") };
            (r.name.to_string(), r.unit.map(|u| u.to_string()), v, r.time)
        })
        .collect()
}

fn row(name: &str, unit: &str, v: f64, time: Time) -> (String, Option<String>, f64, Time) {
    (name.to_string(), Some(unit.to_string()), v, time)
}

fn at(seconds: f64) -> Time {
    Time::Absolute(Millis((seconds * 1000.0).round() as i64))
}

#[test]
fn section_5_1_1_single_data_point() {
    let text = format!(r#"[{{"n":"{OW}","u":"Cel","v":23.1}}]"#);
    assert_eq!(resolved(&text), [row(OW, "Cel", 23.1, Time::Relative(0))]);
}

#[test]
fn section_5_1_2_multiple_data_points_now() {
    let text = format!(
        r#"[ {{"bn":"{OW}:","n":"voltage","u":"V","v":120.1}},
             {{"n":"current","u":"A","v":1.2}} ]"#
    );
    assert_eq!(
        resolved(&text),
        [
            row(&format!("{OW}:voltage"), "V", 120.1, Time::Relative(0)),
            row(&format!("{OW}:current"), "A", 1.2, Time::Relative(0))
        ]
    );
}

#[test]
fn section_5_1_2_multiple_data_points_with_base_time_and_version_5() {
    let text = r#"[
        {"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,"n":"voltage","u":"V","v":120.1},
        {"n":"current","t":-5,"v":1.2},
        {"n":"current","t":-4,"v":1.3},
        {"n":"current","t":-3,"v":1.4},
        {"n":"current","t":-2,"v":1.5},
        {"n":"current","t":-1,"v":1.6},
        {"n":"current","v":1.7}
    ]"#;
    let read = resolved(text);
    // Tue Jun 8 18:01:16.001 UTC 2010, says the text above the example.
    assert_eq!(
        read[0],
        row("urn:dev:ow:10e2073a0108006:voltage", "V", 120.1, Time::Absolute(Millis(1_276_020_076_001)))
    );
    for (place, (offset_ms, v)) in
        [(-5000, 1.2), (-4000, 1.3), (-3000, 1.4), (-2000, 1.5), (-1000, 1.6), (0, 1.7)].into_iter().enumerate()
    {
        let time = Time::Absolute(Millis(1_276_020_076_001 + offset_ms));
        assert_eq!(read[place + 1], row("urn:dev:ow:10e2073a0108006:current", "A", v, time));
    }
    assert_eq!(read.len(), 7);
}

#[test]
fn section_5_1_2_stream_closed_as_a_pack() {
    let text = format!(
        r#"[ {{"bn":"{OW}","bt":1.320067464e+09,"bu":"%RH","v":21.2}},
             {{"t":10,"v":21.3}}, {{"t":20,"v":21.4}}, {{"t":30,"v":21.4}}, {{"t":40,"v":21.5}},
             {{"t":50,"v":21.5}}, {{"t":60,"v":21.5}}, {{"t":70,"v":21.6}}, {{"t":80,"v":21.7}} ]"#
    );
    let read = resolved(&text);
    assert_eq!(read.len(), 9);
    assert_eq!(read[8], row(OW, "%RH", 21.7, at(1_320_067_544.0)));
    // The stream as printed is cut short, and so no pack.
    assert!(Pack::parse(text.trim_end_matches([']', ' '])).is_err());
}

#[test]
fn section_5_1_3_multiple_measurements_resolve_as_section_5_1_4_says() {
    let sent = format!(
        r#"[ {{"bn":"{OW}","bt":1.320067464e+09,"bu":"%RH","v":20}},
             {{"u":"lon","v":24.30621}}, {{"u":"lat","v":60.07965}},
             {{"t":60,"v":20.3}}, {{"u":"lon","t":60,"v":24.30622}}, {{"u":"lat","t":60,"v":60.07965}},
             {{"t":120,"v":20.7}}, {{"u":"lon","t":120,"v":24.30623}}, {{"u":"lat","t":120,"v":60.07966}},
             {{"u":"%EL","t":150,"v":98}},
             {{"t":180,"v":21.2}}, {{"u":"lon","t":180,"v":24.30628}}, {{"u":"lat","t":180,"v":60.07967}} ]"#
    );
    let expected = [
        row(OW, "%RH", 20.0, at(1.320067464e9)),
        row(OW, "lon", 24.30621, at(1.320067464e9)),
        row(OW, "lat", 60.07965, at(1.320067464e9)),
        row(OW, "%RH", 20.3, at(1.320067524e9)),
        row(OW, "lon", 24.30622, at(1.320067524e9)),
        row(OW, "lat", 60.07965, at(1.320067524e9)),
        row(OW, "%RH", 20.7, at(1.320067584e9)),
        row(OW, "lon", 24.30623, at(1.320067584e9)),
        row(OW, "lat", 60.07966, at(1.320067584e9)),
        row(OW, "%EL", 98.0, at(1.320067614e9)),
        row(OW, "%RH", 21.2, at(1.320067644e9)),
        row(OW, "lon", 24.30628, at(1.320067644e9)),
        row(OW, "lat", 60.07967, at(1.320067644e9)),
    ];
    assert_eq!(resolved(&sent), expected);
    // The resolved form of section 5.1.4 reads as the same.
    let lines: Vec<String> = expected
        .iter()
        .map(|(n, u, v, t)| {
            let Time::Absolute(Millis(ms)) = t else { panic!() };
            format!(r#"{{"n":"{n}","u":"{}","t":{},"v":{v}}}"#, u.as_deref().unwrap(), ms / 1000)
        })
        .collect();
    assert_eq!(resolved(&format!("[{}]", lines.join(","))), expected);
}

#[test]
fn section_5_1_5_multiple_data_types() {
    let text = format!(
        r#"[ {{"bn":"{OW}:","n":"temp","u":"Cel","v":23.1}}, {{"n":"label","vs":"Machine Room"}},
             {{"n":"open","vb":false}}, {{"n":"nfv-reader","vd":"aGkgCg"}} ]"#
    );
    let pack = Pack::parse(&text).unwrap();
    let values: Vec<Value<'_>> = pack.records().map(|r| r.value).collect();
    assert_eq!(values[0], Value::Number(23.1));
    assert!(matches!(values[1], Value::Text(text) if text == "Machine Room"));
    assert_eq!(values[2], Value::Bool(false));
    assert!(matches!(values[3], Value::Data(data) if data == "aGkgCg"));
    assert_eq!(pack.records().nth(3).unwrap().name, &*format!("{OW}:nfv-reader"));
}

#[test]
fn section_5_1_6_collection_of_resources_takes_base_name_of_the_third_and_base_time_of_the_first() {
    let text = r#"[ {"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},
                    {"n":"humidity","u":"%RH","v":30},
                    {"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},
                    {"n":"humidity","u":"%RH","v":67} ]"#;
    assert_eq!(
        resolved(text),
        [
            row("2001:db8::2/temperature", "Cel", 25.2, at(1.320078429e9)),
            row("2001:db8::2/humidity", "%RH", 30.0, at(1.320078429e9)),
            row("2001:db8::1/temperature", "Cel", 12.3, at(1.320078429e9)),
            row("2001:db8::1/humidity", "%RH", 67.0, at(1.320078429e9)),
        ]
    );
}

#[test]
fn section_5_1_7_record_of_base_fields_alone_measures_nothing() {
    let text = format!(
        r#"[ {{"bn":"{OW}:"}}, {{"n":"temp","u":"Cel","v":23.1}}, {{"n":"heat","u":"/","v":1}}, {{"n":"fan","u":"/","v":0}} ]"#
    );
    assert_eq!(
        resolved(&text),
        [
            row(&format!("{OW}:temp"), "Cel", 23.1, Time::Relative(0)),
            row(&format!("{OW}:heat"), "/", 1.0, Time::Relative(0)),
            row(&format!("{OW}:fan"), "/", 0.0, Time::Relative(0)),
        ]
    );
}

#[test]
fn section_5_1_7_lights_with_time_in_tenths_of_a_second() {
    let text = r#"[ {"bt":1.320078429e+09,"bu":"/","n":"2001:db8::3","v":0.5}, {"n":"2001:db8::4","v":0.5},
                    {"n":"2001:db8::3","t":0.1,"v":0}, {"n":"2001:db8::4","t":0.1,"v":0} ]"#;
    assert_eq!(
        resolved(text),
        [
            row("2001:db8::3", "/", 0.5, Time::Absolute(Millis(1_320_078_429_000))),
            row("2001:db8::4", "/", 0.5, Time::Absolute(Millis(1_320_078_429_000))),
            row("2001:db8::3", "/", 0.0, Time::Absolute(Millis(1_320_078_429_100))),
            row("2001:db8::4", "/", 0.0, Time::Absolute(Millis(1_320_078_429_100))),
        ]
    );
}
