//! What is worked out can be lost at any moment and comes back the same: a file deleted, damaged or of a newer program, and an engine
//! that never heard of what the ledger had committed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::fs::{self, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use propstick::config::Config;
use propstick::engine::{Command, Input, Pace};
use propstick::house::Opened;
use propstick_garden::decode::{self, Book};
use propstick_garden::model::parse_garden;
use propstick_garden::took::{Envelope, Via};
use propstick_tests::program::{Running, program, run, told};
use propstick_tests::recordings::{GARDEN, MAPPING, Message, OUTDOORS, Reporter, TUNNEL, air, recording, seconds};
use propstick_tests::stores::{self, difference};
use propstick_wire::Millis;
use serde_json::Value;

/// Two weeks of two boards and another maker's device, with a gap, a conflict, refusals and the change of clocks.
fn two_weeks() -> Vec<Message> {
    let (from, to) = (seconds("2026-03-22T00:00:00Z"), seconds("2026-04-05T00:00:00Z"));
    let gap = seconds("2026-03-25T03:00:00Z")..seconds("2026-03-26T19:00:00Z");
    let (mut tunnel, mut outdoors) = (Reporter::new(TUNNEL, 1, 6), Reporter::new(OUTDOORS, 1, 6));
    let mut all = Vec::new();
    for (k, at) in (from..to).step_by(900).enumerate() {
        let x = k as f64;
        let mut parts = air(9.0 + 7.0 * (x / 15.3).sin(), 85.0 + 18.0 * (x / 9.7).cos());
        parts.push(("soil-temperature-2", "Cel", (8.0 + (x / 40.0).sin()).to_string()));
        if k % 50 == 7 {
            parts[0].2 = "nan".to_owned();
        }
        if !gap.contains(&at) {
            all.extend(tunnel.sample(at, parts));
        }
        all.extend(outdoors.sample(at, air(6.0 + 5.0 * (x / 15.3).sin(), 80.0 + 15.0 * (x / 11.0).sin())));
        if k % 3 == 0 {
            let foreign = |t: f64| format!("{{\"ts\":{at},\"t\":{t},\"rh\":{}}}", 70.0 + (x / 5.0).sin());
            all.push(Message::new(Millis((at + 1) * 1_000), "site/3/air", foreign(7.0 + (x / 6.0).cos())));
            if k % 9 == 0 {
                all.push(Message::new(Millis((at + 5) * 1_000), "site/3/air", foreign(30.0)));
            }
        }
    }
    all.sort_by_key(|m| m.recv);
    all
}

/// A folder into which the two weeks were replayed, with the files that `serve` wants.
struct Laid {
    dir: tempfile::TempDir,
    program: PathBuf,
}

impl Laid {
    fn down() -> Option<Laid> {
        let program = program()?;
        let laid = Laid { dir: tempfile::tempdir().unwrap(), program };
        laid.file("recording.jsonl", &recording(&two_weeks()));
        laid.file("garden.toml", GARDEN);
        laid.file(
            "propstick.toml",
            &format!("[mqtt]\nlisten = \"127.0.0.1:0\"\n[web]\nlisten = \"127.0.0.1:0\"\n{MAPPING}"),
        );
        let (recording, garden) = (laid.path("recording.jsonl"), laid.path("garden.toml"));
        let (data, config) = (laid.path("data"), laid.path("propstick.toml"));
        let out =
            run(&laid.program, &["replay", &recording, "--into", &data, "--garden", &garden, "--config", &config]);
        assert!(out.status.success(), "{}", told(&out));
        Some(laid)
    }

    fn file(&self, name: &str, text: &str) {
        fs::write(self.dir.path().join(name), text).unwrap();
    }

    fn path(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    fn data(&self) -> PathBuf {
        self.dir.path().join("data")
    }

    /// Starts the program over the folder, takes every figure of its API, and ends it; with the rows of the file.
    fn figures(&self) -> (Vec<String>, Vec<Value>) {
        let house = Running::start(
            &self.program,
            &["serve", "--data", &self.path("data"), "--config", &self.path("propstick.toml")],
        );
        house.until_worked_out();
        let mut all = Vec::new();
        for slug in ["outdoors", "tunnel", "frame"] {
            for kind in ["civil", "noon", "utc"] {
                all.push(house.ask(&format!("structures/{slug}/days?from=2026-03-20&to=2026-04-06&kind={kind}")));
            }
            for quantity in [
                "air-temperature",
                "air-humidity",
                "soil-temperature",
                "dew-point",
                "vapour-pressure",
                "vapour-pressure-deficit",
                "absolute-humidity",
            ] {
                for points in [3_000, 150, 20] {
                    let span = "from=2026-03-21T00:00:00Z&to=2026-04-06T00:00:00Z";
                    all.push(
                        house.ask(&format!("structures/{slug}/readings?quantity={quantity}&{span}&points={points}")),
                    );
                }
            }
        }
        house.stop();
        (stores::hours(&self.data()).unwrap(), all)
    }

    #[track_caller]
    fn assert_same_figures(&self, what: &str, wanted: &(Vec<String>, Vec<Value>)) {
        let found = self.figures();
        assert!(found.0 == wanted.0, "{what}: {}", difference(&found.0, &wanted.0));
        for (found, wanted) in found.1.iter().zip(&wanted.1) {
            assert_eq!(found, wanted, "{what}");
        }
    }
}

#[test]
fn deleted_damaged_or_newer_file_of_hours_comes_back_with_the_same_rows_and_figures() {
    let Some(laid) = Laid::down() else { return };
    let derived = laid.data().join("derived.db");
    let wanted = laid.figures();
    assert!(wanted.0.len() > 4_000, "{} hours", wanted.0.len());
    assert!(wanted.1.iter().any(|answer| answer["days"][9]["min_c"]["value"].is_number()));
    laid.assert_same_figures("a second start", &wanted);

    fs::remove_file(&derived).unwrap();
    laid.assert_same_figures("deleted", &wanted);

    let whole = fs::read(&derived).unwrap();
    fs::write(&derived, b"not a database, whatever one does with it; far too short besides").unwrap();
    laid.assert_same_figures("rubbish", &wanted);

    fs::write(&derived, &whole[..whole.len() / 2]).unwrap();
    laid.assert_same_figures("cut in half", &wanted);

    fs::write(&derived, b"").unwrap();
    laid.assert_same_figures("emptied", &wanted);

    for page in [0, 1, 2, whole.len() / 4_096 / 2, whole.len() / 4_096 - 1] {
        fs::write(&derived, &whole).unwrap();
        zero_page(&derived, page);
        laid.assert_same_figures(&format!("page {page} of zeros"), &wanted);
    }

    let newer = rusqlite::Connection::open(&derived).unwrap();
    newer.pragma_update(None, "user_version", 99).unwrap();
    newer.execute_batch("ALTER TABLE hour RENAME TO hour_of_another_time").unwrap();
    drop(newer);
    laid.assert_same_figures("of a newer program", &wanted);
}

fn zero_page(file: &Path, page: usize) {
    let mut file = OpenOptions::new().write(true).open(file).unwrap();
    file.seek(SeekFrom::Start(page as u64 * 4_096)).unwrap();
    file.write_all(&[0; 4_096]).unwrap();
}

#[test]
fn engine_that_never_heard_of_commits_works_out_the_same_when_the_house_opens_again() {
    let messages = two_weeks();
    let book = Book { mappings: Config::from_text("a test", MAPPING).unwrap().mappings };
    let garden = || Some(parse_garden(GARDEN).unwrap());
    let took = |lot: &[Message]| -> Vec<_> { lot.iter().flat_map(|m| decode::read(&envelope(m), &book)).collect() };

    let wanted_dir = tempfile::tempdir().unwrap();
    let mut whole = Opened::open(wanted_dir.path(), garden(), Pace::Live).unwrap();
    for lot in messages.chunks(10) {
        let done = whole.ledger.commit(&took(lot)).unwrap();
        whole.engine.step(Input::Committed(done)).unwrap();
    }
    whole.engine.step(Input::Command(Command::CatchUp)).unwrap();
    drop(whole);
    let wanted = stores::hours(wanted_dir.path()).unwrap();
    assert!(wanted.len() > 4_000, "{} hours", wanted.len());

    // Six lives of the house; each hears of a part of what it commits, works out a part of that, and dies.
    let dir = tempfile::tempdir().unwrap();
    let lots: Vec<&[Message]> = messages.chunks(10).collect();
    let lives: Vec<&[&[Message]]> = lots.chunks(lots.len() / 6 + 1).collect();
    for (life, lots) in lives.iter().enumerate() {
        let mut house = Opened::open(dir.path(), if life == 0 { garden() } else { None }, Pace::Live).unwrap();
        let (told, worked_out) = (lots.len() * (life + 1) / 7, lots.len() * life / 7);
        for (k, lot) in lots.iter().enumerate() {
            let done = house.ledger.commit(&took(lot)).unwrap();
            if k < told {
                house.engine.step(Input::Committed(done)).unwrap();
            }
            if k == worked_out && life % 2 == 0 {
                house.engine.step(Input::Command(Command::CatchUp)).unwrap();
            }
        }
    }
    let mut last = Opened::open(dir.path(), None, Pace::Live).unwrap();
    last.engine.step(Input::Command(Command::CatchUp)).unwrap();
    drop(last);
    let found = stores::hours(dir.path()).unwrap();
    assert!(found == wanted, "{}", difference(&found, &wanted));
}

fn envelope(m: &Message) -> Envelope {
    Envelope {
        arrived: m.recv,
        via: Via::Replay,
        topic: m.topic.clone(),
        payload: m.payload.clone().into_bytes(),
        qos: 1,
        retain: m.retain,
        dup: false,
    }
}
