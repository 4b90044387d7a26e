//! The program is killed in mid-stream, again and again, while boards publish to its own broker: what was acknowledged is on disk, what
//! a receipt covered is on disk, and nothing is there twice.
//!
//! Boards keep what no receipt covers and send it again, so a loss would heal itself unseen: the store is looked at after every kill,
//! before the program starts again. Another maker's device gets no receipts; it forgets what was acknowledged, and nothing heals that.
//!
//! `PROPSTICK_SEED` repeats a run; `PROPSTICK_LONG=1` kills five times as often.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // a test's helpers are part of the test

mod client;

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use propstick::engine::{Command, Input, Pace};
use propstick::house::Opened;
use propstick_tests::lots::Lot;
use propstick_tests::program::{Running, program};
use propstick_tests::recordings::{GARDEN, MAPPING};
use propstick_tests::stores::{self, difference};

use client::{Board, Device, Heard, Manner, Progress};

/// The board that has no clock.
const WITHOUT_CLOCK: &str = "urn:dev:mac:02005efffe000002";
/// The boards; the first two stand in the garden. The second has no clock: stored twice, a sample of it would be there at two instants.
const BOARDS: [(&str, Manner); 3] = [
    ("urn:dev:mac:02005efffe000001", Manner { has_clock: true, at_once: 1 }),
    (WITHOUT_CLOCK, Manner { has_clock: false, at_once: 1 }),
    ("urn:dev:mac:02005efffe000003", Manner { has_clock: true, at_once: 4 }),
];

#[test]
fn killed_in_mid_stream_the_program_has_lost_nothing_acknowledged_and_doubled_nothing() {
    let Some(program) = program() else { return };
    let seed = std::env::var("PROPSTICK_SEED").ok().and_then(|s| s.parse().ok()).unwrap_or_else(seed_of_the_clock);
    eprintln!("PROPSTICK_SEED={seed}");
    let kills = if std::env::var_os("PROPSTICK_LONG").is_some() { 100 } else { 20 };
    let mut lot = Lot(seed);
    let began = Instant::now();

    let place = Place::new(&program);
    let mut house = place.start();
    let progress = Arc::new(Progress::default());
    let mqtt = house.mqtt.unwrap();
    let boards: Vec<Board> = BOARDS
        .iter()
        .map(|&(urn, manner)| Board::start(urn, lot.next() as u32, manner, mqtt, Arc::clone(&progress)))
        .collect();
    let device = Device::start(mqtt, Arc::clone(&progress));

    let mut found = 0;
    for kill in 0..kills {
        // At any moment: while it starts, or after it has acknowledged some more.
        let more = progress.acknowledged() + if lot.below(4) == 0 { 0 } else { 1 + lot.below(300) };
        progress.until_acknowledged(more);
        std::thread::sleep(Duration::from_micros(lot.below(20_000) as u64));
        house.kill();
        // What was heard by now was said before it died.
        let kept = place.assert_kept(&progress.heard(), kill, seed);
        assert!(kept >= found, "seed {seed}, kill {kill}: {kept} samples, {found} at the kill before");
        found = kept;
        house = place.start_at(mqtt);
    }

    let sent: Vec<(&str, u32, u64)> = boards.into_iter().map(Board::finish).collect();
    let sent_by_device = device.finish();
    house.until_worked_out();
    let receipts = progress.heard().receipts;
    house.stop();
    for &(urn, queue, samples) in &sent {
        assert_eq!(receipts.get(&(urn.to_owned(), queue)), Some(&samples), "seed {seed}: the last receipt of {urn}");
    }
    place.assert_whole(&sent, sent_by_device, seed);
    eprintln!(
        "{kills} kills in {:.1} s: {} packs acknowledged, {} samples of boards, {sent_by_device} messages of a device",
        began.elapsed().as_secs_f64(),
        progress.acknowledged(),
        sent.iter().map(|s| s.2).sum::<u64>(),
    );
}

/// The data folder and what the program is started with.
struct Place {
    dir: tempfile::TempDir,
    program: PathBuf,
}

impl Place {
    fn new(program: &Path) -> Place {
        let place = Place { dir: tempfile::tempdir().unwrap(), program: program.to_owned() };
        std::fs::write(place.dir.path().join("garden.toml"), GARDEN).unwrap();
        place
    }

    fn data(&self) -> PathBuf {
        self.dir.path().join("data")
    }

    fn start(&self) -> Running {
        self.start_at(([127, 0, 0, 1], 0).into())
    }

    fn start_at(&self, mqtt: SocketAddr) -> Running {
        let text = |name: &str| self.dir.path().join(name).to_str().unwrap().to_owned();
        let config = text("propstick.toml");
        let roads = format!("[mqtt]\nlisten = \"{mqtt}\"\n[web]\nlisten = \"127.0.0.1:0\"\n{MAPPING}");
        std::fs::write(&config, roads).unwrap();
        let (data, garden) = (text("data"), text("garden.toml"));
        Running::start(&self.program, &["serve", "--data", &data, "--config", &config, "--garden", &garden])
    }

    /// Looks into a copy of the store, so that the program itself has to recover it; gives how many samples are there.
    fn assert_kept(&self, heard: &Heard, kill: usize, seed: u64) -> u64 {
        let copy = tempfile::tempdir().unwrap();
        for name in ["readings.db", "readings.db-wal"] {
            let file = self.data().join(name);
            if file.is_file() {
                std::fs::copy(&file, copy.path().join(name)).unwrap();
            }
        }
        let kept = Kept::in_folder(copy.path());
        let when = format!("seed {seed}, kill {kill}");
        for (urn, n) in heard.acknowledged.iter().flat_map(|(urn, all)| all.iter().map(move |n| (urn, *n))) {
            assert!(kept.has(urn, n), "{when}: sample {n} of {urn} was acknowledged and is not there");
        }
        for (&(ref urn, queue), &upto) in &heard.receipts {
            for n in 1..=upto {
                assert!(
                    kept.has(urn, n),
                    "{when}: sample {n} of {urn}, queue {queue:08x}, was receipted and is not there"
                );
            }
        }
        kept.assert_nothing_doubled(&when);
        kept.by_device.keys().map(|urn| kept.samples(urn)).sum()
    }

    /// Everything that was ever sent is there once, and everything is worked out from it.
    fn assert_whole(&self, sent: &[(&str, u32, u64)], by_device: u64, seed: u64) {
        let kept = Kept::in_folder(&self.data());
        let when = format!("seed {seed}, at the end");
        kept.assert_nothing_doubled(&when);
        for &(urn, queue, samples) in sent {
            assert!((1..=samples).all(|n| kept.has(urn, n)), "{when}: {urn} has a sample missing");
            assert_eq!(kept.samples(urn), samples, "{when}: samples of {urn}");
            let upto = stores::count(
                &self.data().join("readings.db"),
                &format!(
                    "SELECT upto FROM queue q JOIN device d ON d.id = q.device WHERE d.urn = '{urn}' AND q.queue = {queue}"
                ),
            );
            assert_eq!(upto, Ok(samples as i64), "{when}: upto of {urn}");
        }
        assert_eq!(kept.samples(client::DEVICE), by_device, "{when}: messages of the device");
        // Three values a sample, two a message of the device.
        for (urn, values) in sent.iter().map(|s| (s.0, 3 * s.2)).chain([(client::DEVICE, 2 * by_device)]) {
            if urn != WITHOUT_CLOCK {
                assert_eq!(kept.values.get(urn), Some(&values), "{when}: values of {urn}");
            }
        }
        let ledger = self.data().join("readings.db");
        assert_eq!(stores::count(&ledger, "SELECT count(*) FROM queue_gap"), Ok(0), "{when}: gaps");
        assert_eq!(stores::count(&ledger, "SELECT coalesce(sum(n), 0) FROM reject_total"), Ok(0), "{when}: refused");

        // What was worked out on the way through all these lives is what is worked out from nothing.
        let worked_out = stores::hours(&self.data()).unwrap();
        std::fs::remove_file(self.data().join("derived.db")).unwrap();
        let mut anew = Opened::open(&self.data(), None, Pace::Live).unwrap();
        anew.engine.step(Input::Command(Command::CatchUp)).unwrap();
        drop(anew);
        let anew = stores::hours(&self.data()).unwrap();
        assert!(!anew.is_empty() && worked_out == anew, "{when}: {}", difference(&worked_out, &anew));
    }
}

/// What stands in a store, by device: how often each sample is there. Boards send a sample's number as a value, the device's is in its
/// time. Two samples of a board without a clock may meet in one instant; then one of them stands among the variants.
struct Kept {
    by_device: BTreeMap<String, BTreeMap<u64, u64>>,
    /// How many values of each device.
    values: BTreeMap<String, u64>,
}

impl Kept {
    fn in_folder(folder: &Path) -> Kept {
        let db = rusqlite::Connection::open(folder.join("readings.db")).unwrap();
        let mut by_device: BTreeMap<String, BTreeMap<u64, u64>> = BTreeMap::new();
        let mut query = db
            .prepare(
                "SELECT d.urn, r.t, r.v FROM (SELECT series, t, v FROM reading UNION ALL SELECT series, t, v FROM variant) r
                 JOIN series s ON s.id = r.series JOIN device d ON d.id = s.device
                 WHERE s.channel = CASE d.kind WHEN 'board' THEN 'illuminance' ELSE 'air-temperature' END",
            )
            .unwrap();
        let mut rows = query.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let (urn, t, v): (String, i64, f64) = (row.get(0).unwrap(), row.get(1).unwrap(), row.get(2).unwrap());
            let n = if urn == client::DEVICE { client::device_number(t) } else { v as u64 };
            *by_device.entry(urn).or_default().entry(n).or_default() += 1;
        }
        let values = db
            .prepare(
                "SELECT d.urn, count(*) FROM reading r JOIN series s ON s.id = r.series JOIN device d ON d.id = s.device GROUP BY d.urn",
            )
            .unwrap()
            .query_map([], |r| Ok((r.get(0)?, r.get::<_, i64>(1)? as u64)))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        let with_two_values = format!(
            "SELECT count(*) FROM variant v JOIN series s ON s.id = v.series JOIN device d ON d.id = s.device WHERE d.urn <> '{WITHOUT_CLOCK}'"
        );
        let with_two_values: i64 = db.query_row(&with_two_values, [], |r| r.get(0)).unwrap();
        assert_eq!(with_two_values, 0, "samples with two values");
        Kept { by_device, values }
    }

    fn has(&self, urn: &str, n: u64) -> bool {
        self.by_device.get(urn).is_some_and(|all| all.contains_key(&n))
    }

    fn samples(&self, urn: &str) -> u64 {
        self.by_device.get(urn).map_or(0, |all| all.len() as u64)
    }

    fn assert_nothing_doubled(&self, when: &str) {
        for (urn, all) in &self.by_device {
            for (n, times) in all {
                assert_eq!(*times, 1, "{when}: sample {n} of {urn} is there {times} times");
            }
        }
    }
}

fn seed_of_the_clock() -> u64 {
    std::time::UNIX_EPOCH.elapsed().unwrap().as_nanos() as u64
}
