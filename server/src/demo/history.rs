//! The year that never was, as the messages it would have left.

use std::collections::VecDeque;

use propstick_garden::took::{Envelope, Via};
use propstick_wire::Millis;
use propstick_wire::millis::SECOND;

use super::boards::{Board, FRAME, PLANS, Sleeps};
use super::diary::Entry;
use super::faults::{Faults, Once, Trouble};
use super::live::LiveBoards;
use super::queue::Oddity;
use super::world::{STEP_MS, World};
use super::{DAY, replaced_at};

/// Samples in a report.
const REPORT: u64 = 3;
/// One pack in so many is delivered twice.
const TWICE: f64 = 1.0 / 700.0;
/// One receipt in so many is lost, so that the samples come again with the next ones.
const RECEIPT_LOST: f64 = 1.0 / 900.0;

/// The messages of the demo's boards between two instants, in the order of their arrival.
///
/// The same seed and instants give the same messages, byte for byte, on the same machine. Each board samples every five minutes and
/// reports three samples; the faults of the demo are among them, counted back from the end.
pub struct History {
    seed: u64,
    until: Millis,
    world: World,
    boards: Vec<Board>,
    pub(super) faults: Faults,
    /// Steps done.
    steps: u64,
    steps_in_all: u64,
    off: [bool; PLANS.len()],
    cut_short: [bool; PLANS.len()],
    ready: VecDeque<Envelope>,
    /// What the grower told and nobody has asked for yet, in order.
    told: Vec<(Millis, Entry)>,
}

impl History {
    /// Nothing is worked out before it is asked for. It begins with the first full five minutes not before `from`; an end before the
    /// beginning gives no messages.
    pub fn new(seed: u64, from: Millis, until: Millis) -> History {
        let begin = from.plus((-from.0).rem_euclid(STEP_MS));
        let steps_in_all = until.since(begin).max(0) / STEP_MS;
        let mut world = World::new(seed, begin);
        // What was told before the history begins is no part of it.
        world.told();
        History {
            seed,
            until,
            told: Vec::new(),
            world,
            boards: (0..PLANS.len()).filter_map(|n| Board::new(seed, n, begin)).collect(),
            faults: Faults::new(until, replaced_at(from)),
            steps: 0,
            steps_in_all: steps_in_all.unsigned_abs(),
            off: [false; PLANS.len()],
            cut_short: [false; PLANS.len()],
            ready: VecDeque::new(),
        }
    }

    /// About how many messages there are in all, for showing progress.
    pub fn messages_hint(&self) -> u64 {
        // All boards but the one that is replaced, and their states.
        let boards = PLANS.len() as u64 - 1;
        boards * (self.steps_in_all / REPORT + self.steps_in_all * STEP_MS.unsigned_abs() / DAY.unsigned_abs())
    }

    /// What the grower told before `at` and was not taken yet, in order. All that was told before a message arrived is there once that message is.
    pub fn told_before(&mut self, at: Millis) -> Vec<(Millis, Entry)> {
        let later = self.told.partition_point(|(told, _)| *told < at);
        self.told.drain(..later).collect()
    }

    /// The boards as they stand at the end, to go on over MQTT. Messages that were not taken yet are lost.
    pub fn into_live(mut self) -> LiveBoards {
        while self.steps < self.steps_in_all {
            self.step();
        }
        let now = self.world.at();
        let faults = &self.faults;
        let placed = |n: usize| !faults.has(n, Trouble::Off, now);
        let boards = self.boards.into_iter().enumerate().filter(|(n, _)| placed(*n)).map(|(_, board)| board).collect();
        LiveBoards::new(self.world, boards)
    }

    /// Five minutes: what is sampled and what of it arrives in them.
    fn step(&mut self) {
        let at = self.world.at();
        let mut arriving = Vec::new();
        for n in 0..self.boards.len() {
            self.work(n, at, &mut arriving);
        }
        arriving.sort_by_key(|envelope| envelope.arrived);
        self.ready.extend(arriving);
        self.steps += 1;
        self.world.advance_to(at.plus(STEP_MS));
        self.told.extend(self.world.told());
        self.told.sort_by_key(|(at, _)| *at);
    }

    fn work(&mut self, n: usize, step_at: Millis, arriving: &mut Vec<Envelope>) {
        let (board, faults) = (&mut self.boards[n], &self.faults);
        let at = step_at.plus(board.plan.phase_ms);
        if faults.has(n, Trouble::Off, at) {
            self.off[n] = true;
            return;
        }
        let back = std::mem::take(&mut self.off[n]);
        if back {
            board.restart("power-on");
        }
        board.humidity_stuck = faults.has(n, Trouble::HumidityStuck, at);
        let mut oddity = Oddity::None;
        match faults.once(n, at.plus(-STEP_MS), at) {
            Some(Once::Sample(odd)) => oddity = odd,
            Some(Once::CutShort) => self.cut_short[n] = true,
            None => {}
        }
        board.sample(at, &self.world.there(board.plan.at), oddity);

        let was_unheard = faults.has(n, Trouble::Unheard, at.plus(-STEP_MS));
        if faults.has(n, Trouble::Unheard, at) {
            return;
        }
        if was_unheard && n == FRAME && board.queue.dropped() > 0 {
            // A new battery ends its silence.
            board.battery_from = at;
            board.restart("power-on");
        }
        let mut sends_at = at.plus(700 + (board.chance.unit() * 1_800.0) as i64);
        if self.steps == 0 || back || was_unheard || self.steps % 288 == 3 * n as u64 {
            let state = board.state(at, Sleeps::AsBuilt).into_bytes();
            arriving.push(envelope(sends_at.plus(-200), board.urn.state_topic().to_string(), state));
        }
        if (self.steps + n as u64) % REPORT != REPORT - 1 && !was_unheard {
            return;
        }
        // The oldest first; the next only after the receipt.
        while let Some(pack) = board.queue.pack() {
            let odd = board.queue.is_odd() || self.cut_short[n];
            let mut message = envelope(sends_at, pack.topic, pack.payload);
            if std::mem::take(&mut self.cut_short[n]) {
                message.payload.truncate(message.payload.len() / 2);
            }
            let (twice, lost) = (board.chance.happens(TWICE) && !odd, board.chance.happens(RECEIPT_LOST) && !odd);
            if twice {
                let again = message.arrived.plus(6 * SECOND);
                arriving.push(Envelope { arrived: again, dup: true, ..message.clone() });
            }
            arriving.push(message);
            if lost {
                break;
            }
            board.queue.forget_upto(pack.last);
            sends_at = sends_at.plus(1_100 + (board.chance.unit() * 900.0) as i64);
        }
    }
}

impl Iterator for History {
    type Item = Envelope;

    fn next(&mut self) -> Option<Envelope> {
        while self.ready.is_empty() && self.steps < self.steps_in_all {
            self.step();
        }
        self.ready.pop_front()
    }
}

impl std::fmt::Debug for History {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "History(seed {}, {} of {} steps until {:?})", self.seed, self.steps, self.steps_in_all, self.until)
    }
}

/// A message as a broker hands it to a subscriber who was there when it came: a state is kept there, but arrives as news.
fn envelope(arrived: Millis, topic: String, payload: Vec<u8>) -> Envelope {
    Envelope { arrived, via: Via::Demo, topic, payload, qos: 1, retain: false, dup: false }
}
