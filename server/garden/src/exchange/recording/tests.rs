//! A recording replayed brings what is kept.

use std::collections::BTreeSet;

use proptest::collection::vec;
use proptest::prelude::*;

use super::*;
use crate::decode::mapping::Mapping;
use crate::exchange::tests::written;
use crate::took::Reject;

const BOARD: &str = "urn:dev:mac:02005efffe000001";
/// 2026-03-10T12:00:00Z.
const NOON: Millis = Millis(1_773_144_000_000);

fn book() -> Book {
    let mapping = |text: &str| toml::from_str::<Mapping>(text).unwrap();
    Book {
        mappings: vec![
            mapping(
                r#"name = "sticks"
                topic = "site/+/air"
                device = "topic:1"
                time = "/ts"
                time_unit = "rfc3339"
                field = [{ at = "/t", quantity = "air-temperature", unit = "degF" }, { at = "/rh/0", quantity = "air-humidity", unit = "%RH" }]"#,
            ),
            mapping(
                r#"name = "roof"
                topic = "roof"
                device = "/id"
                field = [{ at = "/mm", quantity = "rain", unit = "mm", span_s = 600 }]"#,
            ),
            mapping(
                "name = \"lone\"\ntopic = \"lone/t\"\nfield = [{ at = \"\", quantity = \"soil-temperature\", unit = \"Cel\" }]",
            ),
        ],
    }
}

fn message(arrived: Millis, topic: &str, payload: &str, retain: bool) -> Envelope {
    envelope(arrived, topic.to_owned(), payload.as_bytes().to_vec(), retain)
}

/// The messages of a recording, by a reader of its own.
fn replayed(text: &str) -> Vec<Envelope> {
    use propstick_wire::json::{Value, pointer};
    text.lines()
        .map(|line| {
            let member = |name: &str| pointer(line, name).unwrap().unwrap();
            let text = |name: &str| member(name).to_text().unwrap().to_string();
            assert!(matches!(member("/qos"), Value::Number(_)) && member("/dup") == Value::Bool(false));
            let arrived = crate::instant::from_rfc3339(&text("/recv")).unwrap();
            message(arrived, &text("/topic"), &text("/payload"), member("/retain").to_bool().unwrap())
        })
        .collect()
}

/// What messages bring to a ledger that passes over repeats of numbered samples, each reading and each refusal as text.
fn brought(messages: &[Envelope], book: &Book) -> (Vec<RawReading>, Vec<Reject>) {
    let (mut readings, mut rejects) = (Vec::new(), Vec::new());
    let mut settled = BTreeSet::new();
    for m in messages {
        let mut now = Vec::new();
        for took in decode::read(m, book) {
            match took {
                Took::Reading(r) if r.sample.is_some_and(|s| settled.contains(&(r.series.device.clone(), s))) => {}
                Took::Reading(r) => {
                    now.extend(r.sample.map(|s| (r.series.device.clone(), s)));
                    readings.push(RawReading { sample: None, ..r });
                }
                Took::Reject(r) => rejects.push(Reject { pack: None, ..r }),
                _ => {}
            }
        }
        settled.extend(now);
    }
    (readings, rejects)
}

fn recorded(readings: &[RawReading], rejects: &[Reject], book: &Book) -> (String, Recorded) {
    let moments: BTreeSet<Millis> = readings.iter().map(|r| r.arrived).chain(rejects.iter().map(|r| r.at)).collect();
    let mut recorder = Recorder::new(book, QueueId(0xffff_ffff));
    let text = written(|out| {
        moments.iter().try_for_each(|at| {
            let kept: Vec<Kept<'_>> = readings
                .iter()
                .filter(|r| r.arrived == *at)
                .map(|r| Kept { series: &r.series, t: r.t, v: r.v, facts: r.facts })
                .collect();
            let refused: Vec<RefusedMessage<'_>> = rejects
                .iter()
                .filter(|r| r.at == *at)
                .map(|r| RefusedMessage {
                    topic: &r.topic,
                    payload: &r.payload,
                    reason: r.reason.word(),
                    detail: &r.detail,
                })
                .collect();
            let mut is_kept = |b: &RawReading| {
                readings.iter().any(|r| r.series == b.series && (r.t, r.v) == (b.t, b.v) && r.arrived < b.arrived)
            };
            recorder.moment(*at, &kept, &refused, &mut is_kept, out)
        })
    });
    (text, recorder.done())
}

/// Sorted and each once, as a ledger has them.
fn sorted(readings: Vec<RawReading>) -> Vec<String> {
    readings.iter().map(|r| format!("{r:?}")).collect::<BTreeSet<String>>().into_iter().collect()
}

#[track_caller]
fn comes_back(messages: &[Envelope]) -> String {
    let book = book();
    let (readings, rejects) = brought(messages, &book);
    let (text, done) = recorded(&readings, &rejects, &book);
    let (again, rejects_again) = brought(&replayed(&text), &book);
    assert_eq!(done.left_out, BTreeMap::new());
    assert_eq!(sorted(again), sorted(readings), "{text}");
    let of = |rejects: &[Reject]| -> Vec<String> { rejects.iter().map(|r| format!("{r:?}")).collect() };
    assert_eq!(of(&rejects_again), of(&rejects), "{text}");
    text
}

fn report(first: u64, last: u64) -> String {
    format!("propstick/v1/mac-02005efffe000001/report/0000000a/{first}-{last}")
}

fn pack(base: &str, records: &[(&str, &str, f64, i64)]) -> String {
    let records = records.iter().map(|(n, u, v, t)| format!(",{{\"n\":\"{n}\",\"u\":\"{u}\",\"v\":{v},\"t\":{t}}}"));
    format!("[{{\"bn\":\"{BOARD}_\"{base}}}{}]", records.collect::<String>())
}

const T: &str = "air-temperature";

#[test]
fn pack_of_a_board_comes_back_numbered_anew() {
    let base = ",\"bt\":1773143400";
    let at = |ms: i64| NOON.plus(ms);
    let text = comes_back(&[
        message(
            at(0),
            &report(7, 8),
            &pack(base, &[(T, "Cel", 6.5, 0), ("rain", "mm", 0.2, 0), (T, "Cel", 6.75, 300)]),
            false,
        ),
        message(at(9), &report(9, 9), &pack(base, &[(T, "degF", 44.0, 600)]), true),
    ]);
    let topic = "propstick/v1/mac-02005efffe000001/report/ffffffff/";
    assert!(text.contains(&format!("{topic}1-2")) && text.contains(&format!("{topic}3-3")), "{text}");
}

#[test]
fn board_without_a_clock_and_board_with_a_wrong_one_come_back() {
    comes_back(&[
        // Counted back from sending.
        message(NOON, &report(1, 2), &pack("", &[(T, "Cel", 6.5, -300), (T, "Cel", 6.75, 0)]), false),
        // In 1970 there was no board: arrival for the last, the others keep their distance.
        message(
            NOON.plus(1),
            &report(3, 5),
            &pack(",\"bt\":300000000", &[(T, "Cel", 1.5, 0), (T, "Cel", 2.5, 300), (T, "Cel", 3.5, 600)]),
            false,
        ),
        // Partly in the future.
        message(
            NOON.plus(2),
            &report(6, 7),
            &pack(",\"bt\":1773144000", &[(T, "Cel", 4.5, 0), (T, "Cel", 5.5, 86_400)]),
            false,
        ),
    ]);
}

#[test]
fn two_values_of_one_instant_in_one_millisecond_come_back_both() {
    comes_back(&[
        message(NOON, &report(1, 1), &pack(",\"bt\":1773143400", &[(T, "Cel", 6.5, 0)]), false),
        message(NOON, &report(2, 2), &pack(",\"bt\":1773143400", &[(T, "Cel", 6.25, 0)]), false),
    ]);
}

#[test]
fn other_makers_messages_come_back_by_their_mapping() {
    comes_back(&[
        message(NOON, "site/a b/air", r#"{"ts":"2026-03-10T11:58:00.25Z","t":43.5,"rh":[95]}"#, false),
        message(NOON, "site/3/air", r#"{"ts":"2026-03-10T11:58:00Z","rh":{"0":95}}"#, true),
        message(NOON.plus(1), "site/3/air", r#"{"t":43.5}"#, false),
        message(NOON.plus(2), "site/3/air", r#"{"ts":"1999-01-01T00:00:00Z","t":43.5}"#, false),
        message(NOON.plus(3), "roof", r#"{"id":"north/\"1\"","mm":0.2}"#, false),
        message(NOON.plus(4), "lone/t", "7.5", false),
    ]);
}

#[test]
fn refused_things_come_along_with_their_payload() {
    let long = format!("{{\"t\":43.5,\"x\":\"{}\"}}", "y".repeat(20_000));
    comes_back(&[
        message(
            NOON,
            &report(1, 2),
            &pack(",\"bt\":1773143400", &[(T, "Cel", 6.5, 0), (T, "Cel", -127.0, 300)]),
            false,
        ),
        message(NOON, "site/3/air", r#"{"t":430.5,"rh":["wet"]}"#, false),
        message(NOON, "site/3/air", "not JSON", false),
        message(NOON, "site/3/air", "not JSON", false),
        message(NOON.plus(1), "site/3/air", r#"{"t":43.5}"#, true),
        message(NOON.plus(2), "kitchen/oven", "200", false),
        message(NOON.plus(3), "site/3/air", &long, false),
        message(NOON.plus(4), &report(9, 9), &format!("[{}", " ".repeat(5_000)), false),
        message(NOON.plus(5), &report(10, 12), &pack(",\"bt\":1773143400", &[(T, "Cel", 6.5, 0)]), false),
    ]);
}

#[test]
fn what_cannot_come_back_the_same_is_left_out_and_said() {
    let book = book();
    let (mut readings, mut rejects) = brought(
        &[
            message(NOON, "site/3/air", r#"{"t":43.5}"#, false),
            message(NOON, "site/4/air", r#"{"t":43.5,"rh":[340]}"#, false),
            message(NOON, "kitchen/oven", "200", false),
        ],
        &book,
    );
    // The mapping meant Celsius then; a reading of the refused message was passed over; the oven has a mapping now; bytes that are no text.
    readings[0].series.unit_sent = "Cel".into();
    readings.remove(1);
    rejects[1].topic = "lone/t".into();
    rejects.push(Reject { payload: vec![0xff], ..rejects[0].clone() });
    let (text, done) = recorded(&readings, &rejects, &book);
    assert_eq!((text.as_str(), done.messages), ("", 0));
    assert_eq!(done.left_out.values().sum::<u64>(), 4, "{done:?}");
    assert_eq!(done.left_out.len(), 4, "{done:?}");
    let (_, done) = recorded(&readings, &[], &Book::default());
    assert!(done.left_out.keys().next().unwrap().contains("no [[mapping]]"), "{done:?}");
}

#[test]
fn pack_that_would_be_too_large_is_parted() {
    // Two packs arrive in one millisecond, together more than one may hold.
    let records: Vec<(&str, &str, f64, i64)> = (0..80).map(|k| (T, "Cel", 1.0 / (k + 3) as f64, k)).collect();
    let base = |s: i64| format!(",\"bt\":{}", 1_773_140_000 + s);
    let text = comes_back(&[
        message(NOON, &report(1, 80), &pack(&base(0), &records), false),
        message(NOON, &report(81, 160), &pack(&base(100), &records), false),
    ]);
    assert!(text.lines().count() <= 3, "{text}");
}

/// Messages as boards and other devices might send them, good and bad.
fn any_message() -> impl Strategy<Value = Envelope> {
    let v = prop_oneof![8 => -30.0..60.0_f64, 1 => Just(-127.0), 1 => Just(0.0)];
    let record = (prop::sample::select(vec![T, "air-humidity", "soil-temperature-2", "rain", "warmth"]), v, 0..5_i64);
    let bt = prop_oneof![
        4 => (0..30_i64).prop_map(|k| format!(",\"bt\":{}", 1_773_140_000 + k * 300)),
        1 => Just(",\"bt\":300000000".to_owned()),
        1 => Just(",\"bt\":1900000000".to_owned()),
        1 => Just(String::new()),
    ];
    let board = (bt, vec(record, 1..6), any::<bool>()).prop_map(|(bt, mut records, is_retained)| {
        records.sort_by_key(|r| r.2);
        let unit = |n: &str| match n {
            "air-humidity" => "%RH",
            "rain" => "mm",
            _ => "Cel",
        };
        let back = if bt.is_empty() { 1_200 } else { 0 };
        let records: Vec<_> = records.iter().map(|(n, v, t)| (*n, unit(n), *v, t * 300 - back)).collect();
        let samples = records.iter().map(|r| r.3).collect::<BTreeSet<_>>().len() as u64;
        (samples, pack(&bt, &records), is_retained)
    });
    let stick = (vec(any::<Option<u8>>(), 3), -20.0..200.0_f64, any::<bool>()).prop_map(|(ts, t, is_retained)| {
        let mut payload = format!("{{\"t\":{t}");
        if let Some(k) = ts[0] {
            payload += &format!(",\"ts\":\"2026-03-10T11:{:02}:00Z\"", k % 60);
        }
        if let Some(rh) = ts[1] {
            payload += &format!(",\"rh\":[{rh}]");
        }
        (ts[2].map_or("3", |_| "a b"), payload + "}", is_retained)
    });
    prop_oneof![
        (board, 0..50_i64, 1..1_000_u64).prop_map(|((n, p, r), at, first)| {
            // Numbers far apart, so that no pack is a repeat.
            message(NOON.plus(at), &report(first * 100, first * 100 + n - 1), &p, r)
        }),
        (stick, 0..50_i64).prop_map(|((d, p, r), at)| message(NOON.plus(at), &format!("site/{d}/air"), &p, r)),
    ]
}

proptest! {
    #[test]
    fn prop_any_traffic_recorded_and_replayed_brings_the_same_readings(mut messages in vec(any_message(), 0..12)) {
        messages.sort_by_key(|m| m.arrived);
        let mut seen = BTreeSet::new();
        messages.retain(|m| !m.topic.contains("report") || seen.insert(m.topic.split('/').next_back().unwrap().split('-').next().unwrap().to_owned()));
        let book = book();
        let (readings, rejects) = brought(&messages, &book);
        let (text, done) = recorded(&readings, &rejects, &book);
        let (again, rejects_again) = brought(&replayed(&text), &book);
        prop_assert_eq!(sorted(again), sorted(readings), "{:?}\n{}", done, text);
        let count = |all: &[Reject]| all.iter().map(|r| format!("{:?} {}", r.reason, r.detail)).collect::<BTreeSet<_>>();
        prop_assert_eq!(count(&rejects_again), count(&rejects), "{:?}\n{}", done, text);
        prop_assert_eq!(&done.left_out, &BTreeMap::new(), "{}", text);
    }
}
