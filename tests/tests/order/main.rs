//! Any order and any repetition of a recording leave the same readings and the same figures.
//!
//! Every message keeps the time at which it arrived; the order in which ledger and engine hear of it, how messages share
//! transactions, what of it the engine is never told, and what time it is told are drawn by lot.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod recorded;

use std::collections::{BTreeMap, VecDeque};
use std::path::Path;

use chrono::NaiveDate;
use propstick::config::Config;
use propstick::engine::{Command, Engine, Input, Pace};
use propstick::store::{Committed, Ledger, folder};
use propstick::web::Views;
use propstick_agronomy::degree_days::Cutoff;
use propstick_garden::decode::{self, Book};
use propstick_garden::fold::{DayKind, WantedDegreeDays};
use propstick_garden::model::{Garden, parse_garden};
use propstick_garden::took::{Envelope, Took, Via};
use propstick_tests::lots::Lot;
use propstick_tests::program::quick_folder;
use propstick_tests::recordings::{GARDEN, MAPPING, Message};
use propstick_tests::stores::{self, difference};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use proptest::prelude::*;

use recorded::{Piece, Sent, messages, piece};

/// What a recording leaves behind.
#[derive(Debug, PartialEq)]
struct Left {
    readings: Vec<String>,
    hours: Vec<String>,
    days: Vec<String>,
    refused: Vec<String>,
}

fn config() -> ProptestConfig {
    // The usual run; `tests/run long` asks for more through the environment.
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(64);
    ProptestConfig { cases, max_shrink_iters: 2_000, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn prop_any_order_and_repetition_of_a_recording_leaves_the_same_stores_and_figures(
        pieces in prop::collection::vec(piece(), 1..24),
        live in any::<bool>(),
        seed in any::<u64>(),
    ) {
        let in_order = messages(&pieces);
        let wanted = heard_in_order(&in_order);
        let found = heard_by_lot(&in_order, if live { Pace::Live } else { Pace::Recorded }, Lot(seed));
        compare("readings", &found.readings, &wanted.readings)?;
        compare("hours", &found.hours, &wanted.hours)?;
        compare("days", &found.days, &wanted.days)?;
        compare("refused", &found.refused, &wanted.refused)?;
    }
}

fn compare(what: &str, found: &[String], wanted: &[String]) -> Result<(), TestCaseError> {
    prop_assert!(found == wanted, "{what}: {}", difference(found, wanted));
    Ok(())
}

#[test]
fn recordings_of_the_property_hold_conflicts_gaps_refusals_and_figures() {
    // What the property rests on: without these things in its recordings it would show nothing.
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let (mut variants, mut gaps, mut refused, mut hours, mut known_days) = (0, 0, 0, 0, 0);
    for _ in 0..8 {
        let pieces: Vec<Piece> = prop::collection::vec(piece(), 20..24).new_tree(&mut runner).unwrap().current();
        let left = heard_in_order(&messages(&pieces));
        let of = |table: &str| left.readings.iter().filter(|row| row.starts_with(table)).count();
        variants += of("variant");
        gaps += of("gap");
        refused += left.refused.len();
        hours += left.hours.len();
        known_days += left.days.iter().filter(|day| day.contains("\"min_c\":{\"value\":")).count();
    }
    assert!(
        variants > 5 && gaps > 5 && refused > 10 && hours > 200 && known_days > 5,
        "{variants} {gaps} {refused} {hours} {known_days}"
    );
}

/// Hears the messages in order, each in a transaction of its own, as a recording that runs through.
fn heard_in_order(all: &[Sent]) -> Left {
    let dir = quick_folder().unwrap();
    let (mut ledger, mut engine) = open(dir.path(), Pace::Recorded);
    for Sent { message, .. } in all {
        let took = decode::read(&envelope(message), &book());
        engine.step(Input::Committed(ledger.commit(&took).unwrap())).unwrap();
        engine.step(Input::Tick(message.recv)).unwrap();
    }
    left(dir.path(), ledger, engine, all)
}

/// Hears the messages, and some of them again, in an order drawn by lot.
fn heard_by_lot(all: &[Sent], pace: Pace, mut lot: Lot) -> Left {
    let mut order: Vec<&Sent> = all.iter().collect();
    for _ in 0..lot.below(all.len() + 1) {
        order.push(&all[lot.below(all.len())]);
    }
    for k in (1..order.len()).rev() {
        order.swap(k, lot.below(k + 1));
    }
    keep_repeats_behind(&mut order);
    let dir = quick_folder().unwrap();
    let (mut ledger, engine) = open(dir.path(), pace);
    let mut room = EngineRoom { engine, mail: VecDeque::new(), missed: false };
    while !order.is_empty() {
        let rest = order.split_off(lot.below(6.min(order.len())) + 1);
        let took: Vec<Vec<Took>> = order.iter().map(|m| decode::read(&envelope(&m.message), &book())).collect();
        order = rest;
        if lot.below(2) == 0 {
            room.tell(ledger.commit(&took.concat()).unwrap());
        } else {
            ledger.commit_each(&took).unwrap().into_iter().for_each(|done| room.tell(done));
        }
        for _ in 0..lot.below(4) {
            room.hear(any_time(all, &mut lot));
        }
    }
    while !room.mail.is_empty() || room.missed {
        room.hear(any_time(all, &mut lot));
    }
    left(dir.path(), ledger, room.engine, all)
}

/// Puts the messages that are dated by their arrival in order among those of the same numbers.
fn keep_repeats_behind(order: &mut [&Sent]) {
    let mut places: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (k, sent) in order.iter().enumerate().filter(|(_, sent)| sent.is_dated_by_arrival) {
        places.entry(&sent.message.topic).or_default().push(k);
    }
    for places in places.values() {
        let mut repeats: Vec<&Sent> = places.iter().map(|&k| order[k]).collect();
        repeats.sort_by_key(|sent| sent.message.recv);
        places.iter().zip(repeats).for_each(|(&k, sent)| order[k] = sent);
    }
}

/// The engine with its mail as `house::engine_room` has it: what finds no room is looked up in the ledger.
struct EngineRoom {
    engine: Engine,
    mail: VecDeque<Committed>,
    missed: bool,
}

impl EngineRoom {
    const ROOM: usize = 3;

    fn tell(&mut self, committed: Committed) {
        if self.mail.len() < Self::ROOM {
            self.mail.push_back(committed);
        } else {
            self.missed = true;
        }
    }

    fn hear(&mut self, now: Millis) {
        if let Some(committed) = self.mail.pop_front() {
            self.engine.step(Input::Committed(committed)).unwrap();
        }
        if std::mem::take(&mut self.missed) {
            self.engine.step(Input::Command(Command::LookInLedger)).unwrap();
        }
        self.engine.step(Input::Tick(now)).unwrap();
    }
}

fn any_time(all: &[Sent], lot: &mut Lot) -> Millis {
    all[lot.below(all.len())].message.recv.plus((lot.below(97) as i64 - 48) * HOUR)
}

fn open(path: &Path, pace: Pace) -> (Ledger, Engine) {
    let ledger = Ledger::open(&folder::readings_path(path)).unwrap();
    let engine = Engine::open(path, Some(garden()), pace).unwrap();
    (ledger, engine)
}

fn left(path: &Path, ledger: Ledger, mut engine: Engine, all: &[Sent]) -> Left {
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    drop((ledger, engine));
    Left {
        readings: stores::readings(path).unwrap(),
        hours: stores::hours(path).unwrap(),
        days: days(path, all),
        refused: stores::refused_of_boards(path).unwrap(),
    }
}

/// Days of every kind and structure, from the first message to a few days after the last.
fn days(path: &Path, all: &[Sent]) -> Vec<String> {
    let views = Views::open(path).unwrap();
    let (garden, last) = (garden(), all.iter().map(|m| m.message.recv).max().unwrap());
    let first = NaiveDate::from_ymd_opt(2026, 3, 23).unwrap();
    let last_date = chrono::DateTime::from_timestamp_millis(last.0).unwrap().date_naive();
    let count = (last_date - first).num_days() as u64 + 2;
    let mut found = Vec::new();
    let cutoffs = vec![Cutoff::Horizontal, Cutoff::Vertical];
    let wanted = WantedDegreeDays { bases_c: vec![0.0, 5.0, 10.0], upper_c: Some(25.0), cutoffs };
    for kind in [DayKind::Civil, DayKind::Noon, DayKind::Utc] {
        for s in &garden.structures {
            let answer = views.days(&garden, &s.slug, kind, (first, count), &wanted, last).unwrap();
            found.extend(
                answer.days.iter().map(|d| format!("{} {} {}", s.slug, kind.word(), serde_json::to_string(d).unwrap())),
            );
        }
    }
    found
}

fn garden() -> Garden {
    parse_garden(GARDEN).unwrap()
}

fn book() -> Book {
    static BOOK: std::sync::OnceLock<Book> = std::sync::OnceLock::new();
    BOOK.get_or_init(|| Book { mappings: Config::from_text("a test", MAPPING).unwrap().mappings }).clone()
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
