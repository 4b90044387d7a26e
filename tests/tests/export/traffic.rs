//! A recording that is made of what is kept, replayed, leaves the same.

use std::ops::ControlFlow;
use std::path::Path;

use propstick::files::export::{self, Stretch};
use propstick::store::{Ledger, folder};
use propstick_garden::decode::{self, Book};
use propstick_garden::took::{Envelope, Via};
use propstick_tests::program::{program, quick_folder};
use propstick_tests::recordings::MAPPING;
use propstick_tests::stores::{self, difference};
use proptest::prelude::*;
use serde_json::Value;

use super::Bench;
use super::recorded::{Piece, messages, piece};

/// Readings, losers and series. Queues and what never came are aside: a recording numbers packs anew, and the ledger does not keep the number of a
/// sample.
fn readings(folder: &Path) -> Vec<String> {
    let mut all = stores::readings(folder).unwrap();
    all.retain(|row| !row.starts_with("queue ") && !row.starts_with("gap "));
    assert!(!all.is_empty());
    all
}

/// What was refused, row by row, with its payload.
fn refused(folder: &Path) -> Vec<String> {
    let db = rusqlite::Connection::open(folder.join("readings.db")).unwrap();
    let mut query = db
        .prepare("SELECT at, device, topic, reason, detail, hex(payload) FROM reject ORDER BY at, device, topic, reason, detail")
        .unwrap();
    let rows = query.query_map([], |r| {
        let text = |k: usize| r.get::<_, String>(k);
        Ok(format!("{} {} {} {} {} {}", r.get::<_, i64>(0)?, text(1)?, text(2)?, text(3)?, text(4)?, text(5)?))
    });
    rows.unwrap().map(Result::unwrap).collect()
}

#[track_caller]
fn assert_same(what: &str, a: &[String], b: &[String]) {
    assert!(a == b, "{what}: {}", difference(a, b));
}

#[test]
fn recording_of_two_days_replayed_with_the_exported_garden_leaves_the_same_readings_refusals_and_hours() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let (recording, garden) = (bench.path("again.jsonl"), bench.path("again.toml"));
    let config = bench.path("propstick.toml");
    let (out, told) = bench.run(&["export", "recording", "--data", &data, "--config", &config, "--out", &recording]);
    assert_eq!(out, "", "words and data go elsewhere");
    assert!(!told.contains("Left out"), "{told}");
    bench.run(&["export", "garden", "--data", &data, "--out", &garden]);
    bench.replay(&recording, &garden, "again");
    let (first, again) = (bench.folder("data"), bench.folder("again"));
    assert_same("readings", &readings(&first), &readings(&again));
    assert_same("refused", &refused(&first), &refused(&again));
    assert!(refused(&first).len() > 20, "{:?}", refused(&first));
    assert_same("hours", &stores::hours(&first).unwrap(), &stores::hours(&again).unwrap());
    let states = "SELECT count(*) FROM board_state WHERE payload LIKE '%3.91%' AND retained = 0";
    assert_eq!(stores::count(&again.join("readings.db"), states).unwrap(), 1);
    // Twice through is the same recording, but for the order within a millisecond.
    let sorted = |text: String| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    let (twice, _) = bench.run(&["export", "recording", "--data", &bench.path("again"), "--config", &config]);
    assert_same("recording", &sorted(std::fs::read_to_string(&recording).unwrap()), &sorted(twice));
}

#[test]
fn recording_of_a_stretch_has_what_arrived_in_it_and_says_what_it_leaves_out() {
    let Some(program) = program() else { return };
    let bench = Bench::new(&program);
    let data = bench.two_days();
    let stretch = ["--from", "2026-03-10T06:00:00Z", "--to", "2026-03-10T07:00:00Z"];
    let (out, told) = bench.run(&[&["export", "recording", "--data", data.as_str()][..], &stretch].concat());
    // Without the mappings: an hour of packs of two boards, each six samples of five minutes; the sticks are said.
    let lines: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(lines.iter().filter(|l| l["topic"].as_str().unwrap().contains("/report/")).count(), 4, "{out}");
    let recv = |l: &Value| l["recv"].as_str().unwrap().to_owned();
    assert!(lines.iter().all(|l| ("2026-03-10T06:00:00Z".."2026-03-10T07:00:00Z").contains(&recv(l).as_str())));
    assert!(lines.windows(2).all(|w| recv(&w[0]) <= recv(&w[1])));
    for name in ["\"sticks\"", "\"roof\""] {
        assert!(told.contains(&format!("readings of {name}: no [[mapping]] of that name")), "{told}");
    }
    let config = bench.path("propstick.toml");
    let whole = [&["export", "recording", "--data", data.as_str(), "--config", &config][..], &stretch].concat();
    let (out, told) = bench.run(&whole);
    assert_eq!(out.lines().filter(|l| l.contains("site/3/air")).count(), 12, "{out}");
    assert!(!told.contains("Left out"), "{told}");
}

fn book() -> Book {
    Book { mappings: propstick::config::Config::from_text("propstick.toml", MAPPING).unwrap().mappings }
}

fn hear(folder: &Path, messages: impl Iterator<Item = Envelope>) {
    let mut ledger = Ledger::open(&folder::readings_path(folder)).unwrap();
    for message in messages {
        ledger.commit(&decode::read(&message, &book())).unwrap();
    }
}

fn replayed(line: &str) -> Envelope {
    let line: Value = serde_json::from_str(line).unwrap();
    let text = |name: &str| line[name].as_str().unwrap().to_owned();
    Envelope {
        arrived: propstick_garden::instant::from_rfc3339(&text("recv")).unwrap(),
        via: Via::Replay,
        topic: text("topic"),
        payload: text("payload").into_bytes(),
        qos: 1,
        retain: line["retain"].as_bool().unwrap(),
        dup: false,
    }
}

fn proptest_config() -> ProptestConfig {
    // The usual run; `tests/run long` asks for more through the environment.
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(48);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(proptest_config())]

    #[test]
    fn prop_any_traffic_with_repeats_losses_and_faults_recorded_and_replayed_leaves_the_same(
        pieces in prop::collection::vec(piece(), 1..24)
    ) {
        let (first, again) = (quick_folder().unwrap(), quick_folder().unwrap());
        hear(first.path(), messages(&pieces).into_iter().map(|sent| {
            let m = sent.message;
            let payload = m.payload.into_bytes();
            Envelope { arrived: m.recv, via: Via::Replay, topic: m.topic, payload, qos: 1, retain: m.retain, dup: false }
        }));
        let mut text = Vec::new();
        let told = export::recording(first.path(), Stretch::default(), &book(), &mut |piece| {
            text.extend_from_slice(piece);
            ControlFlow::Continue(())
        }).unwrap();
        let text = String::from_utf8(text).unwrap();
        hear(again.path(), text.lines().map(replayed));
        prop_assert!(told.recorded.left_out.is_empty(), "{:?}", told);
        let (a, b) = (stores::readings(first.path()).unwrap(), stores::readings(again.path()).unwrap());
        let aside = |rows: &[String]| -> Vec<String> {
            rows.iter().filter(|r| !r.starts_with("queue ") && !r.starts_with("gap ")).cloned().collect()
        };
        prop_assert!(aside(&a) == aside(&b), "readings: {}", difference(&aside(&a), &aside(&b)));
        let (a, b) = (refused(first.path()), refused(again.path()));
        prop_assert!(a == b, "refused: {}", difference(&a, &b));
    }
}

#[test]
fn traffic_of_the_property_holds_what_it_is_about() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let (mut variants, mut refusals, mut replaced) = (0, 0, 0);
    for _ in 0..8 {
        let pieces: Vec<Piece> = prop::collection::vec(piece(), 20..24).new_tree(&mut runner).unwrap().current();
        let dir = quick_folder().unwrap();
        hear(
            dir.path(),
            messages(&pieces).into_iter().map(|sent| {
                let m = sent.message;
                let payload = m.payload.into_bytes();
                Envelope {
                    arrived: m.recv,
                    via: Via::Replay,
                    topic: m.topic,
                    payload,
                    qos: 1,
                    retain: m.retain,
                    dup: false,
                }
            }),
        );
        let rows = readings(dir.path());
        variants += rows.iter().filter(|r| r.starts_with("variant")).count();
        replaced += rows.iter().filter(|r| r.starts_with("reading") && r.ends_with(" 3")).count();
        refusals += refused(dir.path()).len();
    }
    assert!(variants > 5 && refusals > 10 && replaced > 10, "{variants} {refusals} {replaced}");
}
