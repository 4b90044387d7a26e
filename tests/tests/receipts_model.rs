//! Receipts on a road that loses, repeats and reorders, with boards that crash and queues that run over: nothing is lost without
//! being counted, nothing is stored twice, and no board forgets what is not stored.
#![allow(clippy::unwrap_used, clippy::panic)]

use propstick::store::{Ledger, Readings};
use propstick_garden::decode::{self, Book};
use propstick_garden::took::{Envelope, Via};
use propstick_tests::boards::{House, SimBoard, Step, World};
use propstick_wire::message::Receipt;
use propstick_wire::senml::{Pack, Time, Value};
use propstick_wire::{BoardUrn, Millis, QueueId, Topic};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// The contract's words and nothing else: "The server stores sample n if n > upto or n lies in a gap; anything else is a repeat."
#[derive(Default)]
struct ByTheContract {
    /// By board and queue: how far, and what of it never came.
    queues: BTreeMap<(String, QueueId), (u64, BTreeSet<u64>)>,
    newest: BTreeMap<String, Receipt>,
    /// By board and identity: every instant it was stored at.
    stored: BTreeMap<(String, u32), Vec<i64>>,
}

impl House for ByTheContract {
    fn take(&mut self, topic: &str, payload: &str, arrived: Millis) -> Option<Receipt> {
        let Some(Topic::Report { board, queue, first, last }) = Topic::parse(topic) else { panic!("{topic}") };
        let pack = Pack::parse(payload).unwrap();
        let mut times: Vec<i64> = Vec::new();
        let (upto, gaps) = self.queues.entry((board.to_string(), queue)).or_default();
        let before = *upto;
        for record in pack.records() {
            let at = match record.time {
                Time::Absolute(at) => at.0,
                Time::Relative(ms) => arrived.0 + ms,
            };
            if times.last() != Some(&at) {
                assert!(times.last().is_none_or(|newest| *newest < at), "records ascend in time: {payload}");
                times.push(at);
            }
            let n = first + times.len() as u64 - 1;
            if !(n > before || gaps.contains(&n))
                || record.name.split_after(&urn_prefix(board)).unwrap() != "illuminance"
            {
                continue;
            }
            let Value::Number(identity) = record.value else { panic!("{payload}") };
            self.stored.entry((board.to_string(), identity as u32)).or_default().push(at);
        }
        assert_eq!(times.len() as u64, last - first + 1, "the count fits the range: {topic} {payload}");
        gaps.extend(before + 1..first);
        (first..=last).for_each(|n| {
            gaps.remove(&n);
        });
        *upto = before.max(last);
        let receipt = Receipt { queue, upto: *upto, at_s: arrived.0 / 1_000 };
        self.newest.insert(board.to_string(), receipt);
        Some(receipt)
    }

    fn kept_receipt(&self, board: &BoardUrn) -> Option<Receipt> {
        self.newest.get(&board.topic_part().to_string()).copied()
    }

    fn instants(&self, board: &BoardUrn, id: u32) -> Vec<i64> {
        self.stored.get(&(board.topic_part().to_string(), id)).cloned().unwrap_or_default()
    }

    fn restart(&mut self) {}
}

impl Accounts for ByTheContract {
    fn stored(&self) -> u64 {
        self.stored.values().map(|instants| instants.len() as u64).sum()
    }

    fn settled(&self) -> u64 {
        self.queues.values().map(|(upto, _)| upto).sum()
    }

    fn missing(&self) -> u64 {
        self.queues.values().map(|(_, gaps)| gaps.len() as u64).sum()
    }
}

/// The real thing: the program's decoding and its ledger, on a real file with full durability.
struct RealLedger {
    folder: tempfile::TempDir,
    ledger: Option<Ledger>,
    reader: rusqlite::Connection,
}

impl RealLedger {
    fn new() -> RealLedger {
        let folder = tempfile::tempdir().unwrap();
        let ledger = Some(Ledger::open(&RealLedger::file(&folder)).unwrap());
        let reader = rusqlite::Connection::open(RealLedger::file(&folder)).unwrap();
        RealLedger { folder, ledger, reader }
    }

    fn file(folder: &tempfile::TempDir) -> std::path::PathBuf {
        folder.path().join("readings.db")
    }

    fn number(&self, sql: &str) -> u64 {
        self.reader.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap() as u64
    }
}

impl House for RealLedger {
    fn take(&mut self, topic: &str, payload: &str, arrived: Millis) -> Option<Receipt> {
        let envelope = Envelope {
            arrived,
            via: Via::Broker,
            topic: topic.to_string(),
            payload: payload.as_bytes().to_vec(),
            qos: 1,
            retain: false,
            dup: false,
        };
        let took = decode::read(&envelope, &Book::default());
        let committed = self.ledger.as_mut().unwrap().commit(&took).unwrap();
        assert_eq!(committed.refused, 0, "{topic} {payload}");
        let due = committed.receipts.first().unwrap();
        Some(Receipt { queue: QueueId(due.queue), upto: due.upto, at_s: due.at.0 / 1_000 })
    }

    fn kept_receipt(&self, board: &BoardUrn) -> Option<Receipt> {
        let receipts = Readings::open(&RealLedger::file(&self.folder)).unwrap().receipts().unwrap();
        let ours = receipts.into_iter().find(|(urn, ..)| urn == board.as_str());
        ours.map(|(_, queue, upto, at)| Receipt { queue: QueueId(queue), upto, at_s: at.0 / 1_000 })
    }

    fn instants(&self, board: &BoardUrn, id: u32) -> Vec<i64> {
        let sql = "SELECT r.t FROM series s JOIN device d ON d.id = s.device
            JOIN (SELECT series, t, v FROM reading UNION ALL SELECT series, t, v FROM variant) r ON r.series = s.id
            WHERE d.urn = ?1 AND s.channel = 'illuminance' AND r.v = ?2";
        let mut query = self.reader.prepare_cached(sql).unwrap();
        query.query_map((board.as_str(), id), |row| row.get(0)).unwrap().map(Result::unwrap).collect()
    }

    fn restart(&mut self) {
        self.ledger = None;
        self.ledger = Some(Ledger::open(&RealLedger::file(&self.folder)).unwrap());
    }
}

impl Accounts for RealLedger {
    fn stored(&self) -> u64 {
        let of = |table: &str, channel: &str| {
            self.number(&format!(
                "SELECT count(*) FROM {table} r JOIN series s ON s.id = r.series WHERE s.channel = '{channel}'"
            ))
        };
        let [first, second] = ["illuminance", "air-humidity"].map(|c| of("reading", c) + of("variant", c));
        assert_eq!(first, second, "both channels of every sample");
        first
    }

    fn settled(&self) -> u64 {
        self.number("SELECT coalesce(sum(upto), 0) FROM queue")
    }

    fn missing(&self) -> u64 {
        self.number("SELECT coalesce(sum(last - first + 1), 0) FROM queue_gap")
    }
}

/// What a house says of itself, over all boards.
trait Accounts: House {
    /// Samples stored.
    fn stored(&self) -> u64;
    /// Highest numbers settled, summed over the queues.
    fn settled(&self) -> u64;
    /// Samples that never came.
    fn missing(&self) -> u64;
}

fn urn_prefix(part: &str) -> String {
    format!("{}_", BoardUrn::from_topic_part(part).unwrap())
}

/// What must hold once everything that could arrive has arrived.
fn check<H: Accounts>(world: &World<H>) {
    for board in &world.boards {
        check_samples(board, world);
        // A crash between dropping a sample and striking it from the memory at rest brings it back, to be dropped once more.
        let dropped = board.dropped.len() as u64;
        assert!(
            (dropped..=dropped + board.restarts).contains(&board.counted_dropped),
            "{dropped} drops, {} counted in {} restarts",
            board.counted_dropped,
            board.restarts
        );
    }
    // What the house counts as missing are the numbers that no stored sample has.
    let house = &world.house;
    assert_eq!(house.settled() - house.missing(), house.stored(), "settled less missing is stored");
}

fn check_samples<H: House>(board: &SimBoard, world: &World<H>) {
    for (&id, &taken) in &board.taken {
        match world.house.instants(&board.urn, id)[..] {
            [] => {
                let counted = board.dropped.contains(&id) || board.undated.contains(&id);
                assert!(counted || board.held().contains(&id), "sample {id} of {} is lost and uncounted", board.urn);
            }
            // Without a clock a sample is dated from its arrival: late by what it spent on the road.
            [at] if board.has_clock => assert_eq!(at, taken, "instant of sample {id}"),
            [at] => assert!((0..=world.longest_road_ms).contains(&(at - taken)), "sample {id}: {at} for {taken}"),
            ref more => panic!("sample {id} is stored {} times", more.len()),
        }
    }
}

/// Anything may happen; most of the time goes by and messages come through, so that worlds get somewhere.
fn any_step() -> impl Strategy<Value = Step> {
    let which = 0..8_usize;
    prop_oneof![
        8 => (1..2_000_000_i64).prop_map(|ms| Step::Wait { ms }),
        2 => (1..30_000_i64).prop_map(|ms| Step::Wait { ms }),
        6 => (which.clone(), prop::bool::weighted(0.3)).prop_map(|(which, again)| Step::Arrives { which, again }),
        2 => which.clone().prop_map(|which| Step::Lost { which }),
        6 => (which.clone(), prop::bool::weighted(0.3)).prop_map(|(which, again)| Step::Answered { which, again }),
        2 => which.clone().prop_map(|which| Step::Unanswered { which }),
        1 => (which.clone(), any::<bool>()).prop_map(|(board, stays_down)| Step::Cut { board, stays_down }),
        2 => (which.clone(), 0..6_usize).prop_map(|(board, after)| Step::Crash { board, after }),
        1 => Just(Step::HouseRestarts),
        1 => (which, 0..10_u64).prop_map(|(board, upto)| Step::StrangeReceipt { board, upto }),
    ]
}

fn live<H: Accounts>(house: H, clocks: &[bool], steps: &[Step]) {
    let mut world = World::new(house, clocks);
    steps.iter().for_each(|step| world.step(step));
    world.settle();
    check(&world);
}

fn any_life() -> impl Strategy<Value = (Vec<bool>, Vec<Step>)> {
    (prop::collection::vec(any::<bool>(), 1..4), prop::collection::vec(any_step(), 1..160))
}

proptest! {
    #[test]
    fn prop_boards_and_a_house_by_the_contract_lose_and_double_nothing((clocks, steps) in any_life()) {
        live(ByTheContract::default(), &clocks, &steps);
    }
}

proptest! {
    // Each of these writes a real file, commit by commit.
    #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases / 8))]
    #[test]
    fn prop_boards_and_the_real_ledger_lose_and_double_nothing((clocks, steps) in any_life()) {
        live(RealLedger::new(), &clocks, &steps);
    }
}

#[test]
fn quiet_world_stores_every_sample_and_counts_no_drop() {
    let mut world = World::new(ByTheContract::default(), &[true]);
    for _ in 0..200 {
        world.step(&Step::Wait { ms: 60_000 });
        world.step(&Step::Arrives { which: 0, again: false });
        world.step(&Step::Answered { which: 0, again: false });
    }
    world.settle();
    let board = &world.boards[0];
    assert!(board.taken.len() >= 40 && board.dropped.is_empty(), "{} taken", board.taken.len());
    assert_eq!(world.house.stored.len() + board.held().len(), board.taken.len());
}

#[test]
fn network_down_for_hours_drops_and_counts_the_oldest_and_shows_them_missing() {
    let mut world = World::new(ByTheContract::default(), &[true]);
    world.step(&Step::Cut { board: 0, stays_down: true });
    world.step(&Step::Wait { ms: 3 * 3_600_000 });
    world.settle();
    let board = &world.boards[0];
    let missing = world.house.missing() as usize;
    // One may be dropped while it is on the road and arrive after all.
    let gone = board.dropped.iter().filter(|id| world.house.instants(&board.urn, **id).is_empty()).count();
    assert!(gone > 20, "{gone} gone");
    assert_eq!((board.counted_dropped as usize, missing), (board.dropped.len(), gone));
}
