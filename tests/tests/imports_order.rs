//! Any order of imports, live messages and take-backs leaves what the imports that are left leave in a fresh folder.
//!
//! What is left counts in the order in which it was imported: where two imports contradict each other the earlier one counts. Imports that do not
//! contradict each other leave the same in any order at all. What is worked out is the same again when it has been deleted.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

use std::collections::VecDeque;
use std::path::Path;

use chrono::NaiveDate;
use propstick::engine::{Command, Engine, Input, Pace};
use propstick::store::imports::{ImportPiece, Imported, NewOrigin};
use propstick::store::{Ledger, folder};
use propstick::web::Views;
use propstick_garden::fold::{DayKind, WantedDegreeDays};
use propstick_garden::model::{Garden, parse_garden};
use propstick_garden::took::{DeviceKind, Facts, RawReading, SeriesKey, SeriesKind, Took};
use propstick_tests::lots::Lot;
use propstick_tests::program::quick_folder;
use propstick_tests::stores::{self, difference};
use propstick_wire::Millis;
use propstick_wire::millis::{HOUR, MINUTE};
use proptest::prelude::*;

/// 2026-03-28T00:00:00Z, the day before the clocks change in spring.
const BEGIN: i64 = 1_774_656_000_000;

const GARDEN: &str = r#"
[garden]
name = "Under the ash"
lat = 52.0
lon = -8.0
zone = "Europe/Dublin"
[[structure]]
slug = "tunnel"
kind = "tunnel"
name = "Tunnel"
[[structure]]
slug = "outdoors"
kind = "outdoors"
name = "Outdoors"
[[spot]]
slug = "tunnel-air"
structure = "tunnel"
role = "air"
[[spot]]
slug = "screen"
structure = "outdoors"
role = "outside"
[[placement]]
device = "urn:propstick:ash"
channels = ["air-temperature", "air-humidity"]
spot = "tunnel-air"
from = "2020-01-01T00:00:00Z"
to = "2026-03-29T12:00:00Z"
[[placement]]
device = "urn:propstick:elm"
channels = ["air-temperature", "air-humidity"]
spot = "tunnel-air"
from = "2026-03-29T12:00:00Z"
[[placement]]
device = "urn:propstick:oak"
channels = ["rain", "air-temperature"]
spot = "screen"
from = "2020-01-01T00:00:00Z"
"#;

/// One stretch of readings of one series: in a file, or as live messages.
#[derive(Clone, Debug)]
struct Stretch {
    series: usize,
    from_min: i64,
    step_min: i64,
    n: usize,
    /// Every how-manieth reading is missing; none if 0.
    hole: usize,
    /// Values differ with it: two stretches of one flavour agree where they overlap.
    flavour: u8,
    /// The last reading comes twice, the second time with another value.
    twice: bool,
}

/// What happens.
#[derive(Clone, Debug)]
enum Deed {
    Import(Vec<Stretch>),
    Live(Stretch),
    /// Takes back one of the imports that are there.
    TakeBack(usize),
}

fn keys() -> Vec<SeriesKey> {
    let key = |device: &str, channel: &str, unit: &str, kind, span_s| SeriesKey {
        device: format!("urn:propstick:{device}"),
        device_kind: DeviceKind::File,
        mapping: Some(device.to_owned()),
        channel: channel.to_owned(),
        unit_sent: unit.to_owned(),
        kind,
        span_s,
        stamp_end: span_s > 0,
    };
    vec![
        key("ash", "air-temperature", "Cel", SeriesKind::Instant, 0),
        key("ash", "air-humidity", "%RH", SeriesKind::Instant, 0),
        key("elm", "air-temperature", "degF", SeriesKind::Instant, 0),
        key("elm", "air-humidity", "%RH", SeriesKind::Mean, 1_800),
        key("elm", "air-temperature", "Cel", SeriesKind::Mean, 1_800),
        key("elm", "air-temperature", "degF", SeriesKind::Mean, 1_800),
        key("elm", "air-temperature", "Cel", SeriesKind::Mean, 3_600),
        key("oak", "rain", "mm", SeriesKind::Sum, 3_600),
        key("oak", "rain", "mm", SeriesKind::Sum, 1_800),
        key("oak", "air-temperature", "Cel", SeriesKind::Max, 86_400),
        key("fir", "air-temperature", "Cel", SeriesKind::Instant, 0),
    ]
}

impl Stretch {
    fn readings(&self) -> Vec<(Millis, f64)> {
        let mut all: Vec<(Millis, f64)> = (0..self.n)
            .filter(|k| self.hole == 0 || k % self.hole != self.hole - 1)
            .map(|k| {
                let minute = self.from_min + k as i64 * self.step_min;
                (Millis(BEGIN + minute * MINUTE), self.value(minute, self.flavour))
            })
            .collect();
        if let (true, Some(&(t, _))) = (self.twice, all.last()) {
            all.push((t, self.value(7, 9)));
        }
        all
    }

    fn value(&self, minute: i64, flavour: u8) -> f64 {
        // Whole tenths, so that sums do not depend on their order.
        let tenths = (minute * 7 + self.series as i64 * 31 + i64::from(flavour) * 13).rem_euclid(400);
        40.0 + tenths as f64 / 8.0
    }
}

fn stretch(flavours: u8) -> impl Strategy<Value = Stretch> {
    let when = (0_i64..3_000, prop_oneof![Just(10_i64), Just(15), Just(30), Just(60)], 1_usize..60);
    (0..keys().len(), when, prop_oneof![3 => Just(0_usize), 1 => 2_usize..9], 0..flavours, prop::bool::weighted(0.2))
        .prop_map(move |(series, (from_min, step_min, n), hole, flavour, twice)| Stretch {
            series,
            from_min: from_min / step_min * step_min,
            step_min,
            n,
            hole,
            flavour,
            twice: twice && flavours > 1,
        })
}

fn deed(flavours: u8) -> impl Strategy<Value = Deed> {
    prop_oneof![
        4 => prop::collection::vec(stretch(flavours), 1..4).prop_map(Deed::Import),
        2 => stretch(flavours).prop_map(Deed::Live),
        2 => any::<prop::sample::Index>().prop_map(|k| Deed::TakeBack(k.index(64))),
    ]
}

fn config() -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(48);
    ProptestConfig { cases, max_shrink_iters: 1_000, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn prop_any_deeds_leave_what_is_left_of_them_leaves_in_a_fresh_folder(
        deeds in prop::collection::vec(deed(3), 1..12),
        seed in any::<u64>(),
    ) {
        let found = done(&deeds, Some(seed));
        let wanted = done(&what_is_left(&deeds), None);
        found.same_as(&wanted)?;
    }

    #[test]
    fn prop_imports_that_agree_leave_the_same_in_any_order(
        deeds in prop::collection::vec(deed(1), 1..8),
        order in any::<u64>(),
    ) {
        let left = what_is_left(&deeds);
        let mut mixed = left.clone();
        let mut lot = Lot(order);
        for k in (1..mixed.len()).rev() {
            mixed.swap(k, lot.below(k + 1));
        }
        let (found, wanted) = (done(&mixed, Some(order)), done(&left, None));
        found.same_as(&wanted)?;
    }
}

#[test]
fn deeds_of_the_property_hold_overlaps_conflicts_and_take_backs() {
    // What the property rests on: without these things it would show nothing.
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let mut met = Met::default();
    let (mut hours, mut of_rain, mut days) = (0, 0, 0);
    for _ in 0..20 {
        let deeds: Vec<Deed> = prop::collection::vec(deed(3), 8..12).new_tree(&mut runner).unwrap().current();
        let left = done(&deeds, None);
        met.add(&left.met);
        hours += left.hours.len();
        of_rain += left.hours.iter().filter(|row| row.contains(" rain ")).count();
        let measured = |row: &String| !row.contains("\"measured\":0.0,\"complete\"");
        days += left.days.iter().filter(|row| measured(row)).count();
    }
    assert!(met.known_same > 50 && met.known_other > 50 && met.twice_other > 5 && met.taken_back > 10, "{met:?}");
    assert!(met.beside_live > 50 && hours > 500 && of_rain > 50 && days > 50, "{met:?} {hours} {of_rain} {days}");
}

/// The deeds without the imports that are taken back, and without the take-backs.
fn what_is_left(deeds: &[Deed]) -> Vec<Deed> {
    let mut left: Vec<(usize, Deed)> = Vec::new();
    for (k, deed) in deeds.iter().enumerate() {
        match deed {
            Deed::TakeBack(which) => {
                let imports: Vec<usize> =
                    left.iter().filter(|(_, d)| matches!(d, Deed::Import(_))).map(|(k, _)| *k).collect();
                if !imports.is_empty() {
                    let gone = imports[which % imports.len()];
                    left.retain(|(k, _)| *k != gone);
                }
            }
            other => left.push((k, other.clone())),
        }
    }
    left.into_iter().map(|(_, deed)| deed).collect()
}

/// What deeds leave behind.
#[derive(Default)]
struct Left {
    readings: Vec<String>,
    hours: Vec<String>,
    days: Vec<String>,
    met: Met,
}

/// What was met on the way.
#[derive(Debug, Default)]
struct Met {
    known_same: u64,
    known_other: u64,
    twice_other: u64,
    taken_back: usize,
    /// Instants that were heard live and that an import has too, at the end.
    beside_live: i64,
}

impl Left {
    fn same_as(&self, wanted: &Left) -> Result<(), TestCaseError> {
        let parts = [
            ("readings", &self.readings, &wanted.readings),
            ("hours", &self.hours, &wanted.hours),
            ("days", &self.days, &wanted.days),
        ];
        for (what, found, wanted) in parts {
            prop_assert!(found == wanted, "{what}: {}", difference(found, wanted));
        }
        Ok(())
    }
}

impl Met {
    fn add(&mut self, other: &Met) {
        self.known_same += other.known_same;
        self.known_other += other.known_other;
        self.twice_other += other.twice_other;
        self.taken_back += other.taken_back;
        self.beside_live += other.beside_live;
    }
}

/// Does the deeds; with a lot the engine is told at odd moments, sometimes not at all, and the folder is closed and opened again now and then.
fn done(deeds: &[Deed], lot: Option<u64>) -> Left {
    let dir = quick_folder().unwrap();
    let mut lot = lot.map(Lot);
    let (mut ledger, mut engine) = open(dir.path());
    let mut untold: VecDeque<Input> = VecDeque::new();
    let mut imports: Vec<i64> = Vec::new();
    let mut left = Left::default();
    for (k, deed) in deeds.iter().enumerate() {
        match deed {
            Deed::Import(stretches) => {
                let i = import(&mut ledger, k, stretches);
                imports.push(i.origin);
                left.met.known_same += i.known_same;
                left.met.known_other += i.known_other;
                left.met.twice_other += i.twice_other;
                untold.push_back(Input::Command(Command::LookInLedger));
            }
            Deed::Live(stretch) => {
                untold.push_back(Input::Committed(ledger.commit(&live(stretch)).unwrap()));
            }
            Deed::TakeBack(which) if !imports.is_empty() => {
                let gone = imports.remove(which % imports.len());
                ledger.take_back(gone).unwrap();
                left.met.taken_back += 1;
                untold.push_back(Input::Command(Command::LookInLedger));
            }
            // Nothing is there to be taken back.
            Deed::TakeBack(_) => {}
        }
        let told = lot.as_mut().map_or(untold.len(), |lot| lot.below(untold.len() + 1));
        for _ in 0..told {
            engine.step(untold.pop_front().unwrap()).unwrap();
            let now = BEGIN + lot.as_mut().map_or(0, |lot| lot.below(97) as i64 * HOUR);
            engine.step(Input::Tick(Millis(now))).unwrap();
        }
        if lot.as_mut().is_some_and(|lot| lot.below(6) == 0) {
            drop((ledger, engine));
            untold.clear();
            (ledger, engine) = open(dir.path());
        }
    }
    for input in untold {
        engine.step(input).unwrap();
    }
    engine.step(Input::Command(Command::CatchUp)).unwrap();
    drop((ledger, engine));
    left.readings = winners(dir.path());
    left.hours = hours(dir.path());
    left.days = days(dir.path());
    left.met.beside_live = stores::count(&folder::readings_path(dir.path()), BESIDE_LIVE).unwrap();
    if lot.is_some() {
        std::fs::remove_file(folder::derived_path(dir.path())).unwrap();
        let (ledger, mut engine) = open(dir.path());
        engine.step(Input::Command(Command::CatchUp)).unwrap();
        drop((ledger, engine));
        let (hours, days) = (hours(dir.path()), days(dir.path()));
        assert!(hours == left.hours, "deleted and worked out again: {}", difference(&hours, &left.hours));
        assert!(days == left.days, "deleted and worked out again: {}", difference(&days, &left.days));
    }
    left
}

const BESIDE_LIVE: &str = "SELECT count(*) FROM reading a WHERE a.origin = 0
    AND EXISTS(SELECT 1 FROM reading b WHERE b.series = a.series AND b.t = a.t AND b.origin > 0)";

fn hours(path: &Path) -> Vec<String> {
    stores::hours(path).unwrap().into_iter().filter(|row| !is_empty_hour(row)).collect()
}

/// The days of every kind and structure, as they are answered.
fn days(path: &Path) -> Vec<String> {
    let (views, garden) = (Views::open(path).unwrap(), garden());
    let first = NaiveDate::from_ymd_opt(2026, 3, 27).unwrap();
    let at = Millis(BEGIN + 8 * 24 * HOUR);
    let mut all = Vec::new();
    for kind in [DayKind::Civil, DayKind::Noon, DayKind::Utc] {
        for s in &garden.structures {
            let answer = views
                .days(&garden, &s.slug, kind, (first, 8), &WantedDegreeDays::horizontal(&[5.0], Some(25.0)), at)
                .unwrap();
            all.extend(
                answer.days.iter().map(|d| format!("{} {} {}", s.slug, kind.word(), serde_json::to_string(d).unwrap())),
            );
        }
    }
    all
}

/// An hour in which nothing was measured may stand in the store or not.
fn is_empty_hour(row: &str) -> bool {
    let cells: Vec<&str> = row.split(' ').collect();
    cells[3] == "0" && cells[4] == "0"
}

/// The winner of every instant by the names of its series, whatever origin it is from, with what is known of its device.
fn winners(path: &Path) -> Vec<String> {
    let db = rusqlite::Connection::open(folder::readings_path(path)).unwrap();
    let mut query = db
        .prepare(
            "SELECT d.urn, s.channel, s.unit_sent, s.kind, s.span_s, r.t, r.v, d.kind, d.mapping, d.first_heard FROM reading r JOIN series s ON s.id = r.series
             JOIN device d ON d.id = s.device
             WHERE r.origin = (SELECT min(origin) FROM reading m WHERE m.series = r.series AND m.t = r.t) ORDER BY 1, 2, 3, 4, 5, 6",
        )
        .unwrap();
    let row = |r: &rusqlite::Row<'_>| {
        let text = |k: usize| r.get::<_, String>(k);
        let (span_s, t, v): (i64, i64, f64) = (r.get(4)?, r.get(5)?, r.get(6)?);
        let device = (text(7)?, text(8)?, r.get::<_, Option<i64>>(9)?);
        Ok(format!("{} {} {} {} {span_s} {t} {v:?} {device:?}", text(0)?, text(1)?, text(2)?, text(3)?))
    };
    query.query_map([], row).unwrap().collect::<Result<_, _>>().unwrap()
}

fn import(ledger: &mut Ledger, k: usize, stretches: &[Stretch]) -> Imported {
    let mut pieces: VecDeque<ImportPiece> = VecDeque::new();
    for (n, stretch) in stretches.iter().enumerate() {
        // Files do not agree in what a device is, either.
        let device_kind = if stretch.n % 2 == 0 { DeviceKind::File } else { DeviceKind::Foreign };
        pieces.push_back(ImportPiece::Series(SeriesKey { device_kind, ..keys()[stretch.series].clone() }));
        let lot = stretch.readings().into_iter().map(|(t, v)| (n as u32, t, v)).collect();
        pieces.push_back(ImportPiece::Readings(lot));
    }
    let origin = NewOrigin {
        label: format!("import {k}"),
        made_at: Millis(BEGIN + k as i64),
        file: None,
        sha256: k.to_string(),
        mapping: String::new(),
        zone: None,
        source: None,
    };
    ledger.import(&origin, &mut || pieces.pop_front().map(Ok)).unwrap()
}

fn live(stretch: &Stretch) -> Vec<Took> {
    let key = keys()[stretch.series].clone();
    let series = SeriesKey { device_kind: DeviceKind::Foreign, ..key };
    let reading = |(t, v): (Millis, f64)| {
        Took::Reading(RawReading { series: series.clone(), t, v, arrived: t, facts: Facts::TIME_OWN, sample: None })
    };
    stretch.readings().into_iter().map(reading).collect()
}

fn open(path: &Path) -> (Ledger, Engine) {
    let ledger = Ledger::open(&folder::readings_path(path)).unwrap();
    (ledger, Engine::open(path, Some(garden()), Pace::Live).unwrap())
}

fn garden() -> Garden {
    parse_garden(GARDEN).unwrap()
}
