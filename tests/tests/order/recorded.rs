//! Recordings as proptest invents them: packs of two boards with two queues each, and another maker's devices.

use std::collections::BTreeMap;

use propstick_tests::recordings::{Message, OUTDOORS, Part, TUNNEL, air, pack, report_topic};
use propstick_wire::Millis;
use proptest::prelude::*;

/// 2026-03-24T00:00:00Z, a few days before the clocks change.
const BEGIN_S: i64 = 1_774_310_400;
/// Usual distances of samples, in seconds.
const CADENCES: [i64; 7] = [60, 300, 600, 3_600, 6 * 3_600, 20 * 3_600, 30 * 3_600];

/// Something that a board or a device sends.
#[derive(Clone, Debug)]
pub enum Piece {
    /// A pack of a board.
    Pack(PackPlan),
    /// A message of another maker's device.
    Foreign(ForeignPlan),
}

/// A pack of a board.
#[derive(Clone, Debug)]
pub struct PackPlan {
    board: bool,
    queue: bool,
    samples: usize,
    cadence: usize,
    /// Seconds between the board's sample before and the first of this pack.
    pause_s: i64,
    /// Its first sample has the time of the board's last one, and another value.
    clashes: bool,
    /// A pack before it never comes.
    lost_before: bool,
    /// Seconds from its last sample to its arrival.
    delay_s: i64,
    odd: Odd,
    clock: BoardClock,
    /// It is delivered again so many seconds later.
    again_s: Option<i64>,
    /// It is sent again together with the pack before it.
    joined: bool,
}

/// What is odd about the middle sample of a pack.
#[derive(Clone, Copy, Debug)]
enum Odd {
    Nothing,
    Over100,
    Implausible,
    NotANumber,
    WrongUnit,
    /// Sent in another unit: another series at the same spot.
    Kelvin,
    NoHumidity,
    NoTemperature,
}

/// How a board dates its samples.
#[derive(Clone, Copy, Debug, PartialEq)]
enum BoardClock {
    Own,
    /// It has none: times count back from sending.
    Back,
    /// It lives in 1970.
    Wrong,
}

/// A message of another maker's device.
#[derive(Clone, Debug)]
pub struct ForeignPlan {
    placed: bool,
    /// Seconds between the message before of any device and this one.
    pause_s: i64,
    own_time: bool,
    delay_s: i64,
    /// Another message gives another value for its instant, so many seconds later; 0 for at once.
    other_s: Option<i64>,
    odd: Odd,
}

/// Any piece.
pub fn piece() -> impl Strategy<Value = Piece> {
    prop_oneof![3 => pack_plan().prop_map(Piece::Pack), 1 => foreign_plan().prop_map(Piece::Foreign)]
}

fn pack_plan() -> impl Strategy<Value = PackPlan> {
    let pause_s = prop_oneof![4 => Just(0_i64), 2 => 0_i64..7_200, 1 => 0_i64..260_000];
    let delay_s = prop_oneof![3 => 0_i64..10, 2 => 0_i64..90_000, 1 => 0_i64..300_000];
    let odd = odd();
    let clock = prop_oneof![6 => Just(BoardClock::Own), 1 => Just(BoardClock::Back), 1 => Just(BoardClock::Wrong)];
    let of_board = (any::<bool>(), prop::bool::weighted(0.25), 1_usize..6, 0..CADENCES.len(), pause_s);
    let of_road = (delay_s, odd, clock, prop::option::weighted(0.3, 1_i64..100_000));
    let rare = || prop::bool::weighted(0.15);
    (of_board, of_road, rare(), rare(), rare()).prop_map(
        |((board, queue, samples, cadence, pause_s), (delay_s, odd, clock, again_s), clashes, lost_before, joined)| {
            PackPlan {
                board,
                queue,
                samples,
                cadence,
                pause_s,
                clashes,
                lost_before,
                delay_s,
                odd,
                clock,
                again_s,
                joined,
            }
        },
    )
}

fn foreign_plan() -> impl Strategy<Value = ForeignPlan> {
    let pause_s = prop_oneof![4 => 200_i64..400, 1 => 0_i64..200_000];
    let other_s = prop::option::weighted(0.3, prop_oneof![Just(0_i64), 1_i64..5_000]);
    (prop::bool::weighted(0.8), pause_s, prop::bool::weighted(0.8), 0_i64..90_000, other_s, odd()).prop_map(
        |(placed, pause_s, own_time, delay_s, other_s, odd)| ForeignPlan {
            placed,
            pause_s,
            own_time,
            delay_s,
            other_s,
            odd,
        },
    )
}

fn odd() -> impl Strategy<Value = Odd> {
    prop_oneof![
        6 => Just(Odd::Nothing),
        1 => Just(Odd::Over100),
        1 => Just(Odd::Implausible),
        1 => Just(Odd::NotANumber),
        1 => Just(Odd::WrongUnit),
        2 => Just(Odd::Kelvin),
        1 => Just(Odd::NoHumidity),
        1 => Just(Odd::NoTemperature),
    ]
}

/// A message of a recording.
#[derive(Clone, Debug)]
pub struct Sent {
    /// The message.
    pub message: Message,
    /// It has numbers but no time of its own: its repeats are heard after it, or it would be another that dates its samples.
    pub is_dated_by_arrival: bool,
}

/// The messages of these pieces in the order of their arrival.
pub fn messages(pieces: &[Piece]) -> Vec<Sent> {
    let mut at = At::default();
    for piece in pieces {
        match piece {
            Piece::Pack(plan) => at.pack(plan),
            Piece::Foreign(plan) => at.foreign(plan),
        }
    }
    at.all.sort_by_key(|sent| sent.message.recv);
    at.all
}

type Samples = Vec<(i64, Vec<Part<'static>>)>;
/// Samples with the number of the first.
type Numbered = (u64, Samples);

/// Where the boards and devices are.
#[derive(Default)]
struct At {
    all: Vec<Sent>,
    /// Seconds since the beginning that a board has come to.
    clock_s: BTreeMap<bool, i64>,
    /// The next number of each queue, and the pack before.
    queues: BTreeMap<(bool, bool), (u64, Option<Numbered>)>,
    foreign_s: i64,
    /// Grows with every value, so that no two are alike by accident.
    values: i64,
}

impl At {
    fn send(&mut self, recv: Millis, topic: &str, payload: String, is_dated_by_arrival: bool) {
        self.all.push(Sent { message: Message::new(recv, topic, payload), is_dated_by_arrival });
    }

    fn value(&mut self) -> f64 {
        self.values += 1;
        ((self.values * 37) % 211) as f64 / 10.0 + (self.values as f64) / 1_024.0
    }

    fn sample(&mut self, odd: Odd) -> Vec<Part<'static>> {
        let (t, rh) = (self.value(), 60.0 + self.value());
        let mut parts = air(t, rh);
        match odd {
            Odd::Nothing => {}
            Odd::Over100 => parts[1].2 = "103.2".to_owned(),
            Odd::Implausible => parts[1].2 = "340".to_owned(),
            Odd::NotANumber => parts[0].2 = "nan".to_owned(),
            Odd::WrongUnit => parts[0].1 = "lx",
            Odd::Kelvin => parts[0] = ("air-temperature", "K", (t + 273.15).to_string()),
            Odd::NoHumidity => parts.truncate(1),
            Odd::NoTemperature => {
                parts.remove(0);
            }
        }
        parts.push(("soil-temperature-2", "Cel", (t / 2.0).to_string()));
        parts
    }

    fn pack(&mut self, plan: &PackPlan) {
        let board = if plan.board { TUNNEL } else { OUTDOORS };
        let queue = if plan.queue { 0xb } else { 0xa };
        let cadence = CADENCES[plan.cadence];
        let last = self.clock_s.get(&plan.board).copied();
        let first_s = last.map_or(0, |l| if plan.clashes { l } else { l + cadence + plan.pause_s });
        let samples: Samples = (0..plan.samples)
            .map(|k| {
                (first_s + k as i64 * cadence, self.sample(if k == plan.samples / 2 { plan.odd } else { Odd::Nothing }))
            })
            .collect();
        let last_s = samples[samples.len() - 1].0;
        self.clock_s.insert(plan.board, last_s);
        let (next, before) = self.queues.remove(&(plan.board, plan.queue)).unwrap_or((1, None));
        let first = if plan.lost_before { next + 3 } else { next };
        let upto = first + samples.len() as u64 - 1;
        let recv = Millis((BEGIN_S + last_s + plan.delay_s) * 1_000);
        let topic = report_topic(board, queue, first, upto);
        let own = plan.clock == BoardClock::Own;
        let payload = match plan.clock {
            BoardClock::Own => pack(board, Some(BEGIN_S), &samples),
            // The last sample was taken a second before sending.
            BoardClock::Back => pack(board, None, &moved(&samples, -last_s - 1)),
            BoardClock::Wrong => pack(board, Some(0), &samples),
        };
        self.send(recv, &topic, payload.clone(), !own);
        if let Some(again_s) = plan.again_s {
            self.send(recv.plus(again_s * 1_000), &topic, payload, !own);
        }
        // Samples that wait longer are packed anew with those that came after them.
        let joins = |(from, samples): &Numbered| {
            plan.joined && own && from + samples.len() as u64 == first && samples.last().is_some_and(|l| l.0 < first_s)
        };
        if let Some((from, mut both)) = before.filter(joins) {
            both.extend(samples.iter().cloned());
            let topic = report_topic(board, queue, from, upto);
            let recv = recv.plus(plan.again_s.unwrap_or(60) * 1_000);
            self.send(recv, &topic, pack(board, Some(BEGIN_S), &both), false);
        }
        self.queues.insert((plan.board, plan.queue), (upto + 1, own.then_some((first, samples))));
    }

    fn foreign(&mut self, plan: &ForeignPlan) {
        self.foreign_s += plan.pause_s;
        let topic = if plan.placed { "site/3/air" } else { "site/4/air" };
        let own_s = BEGIN_S + self.foreign_s;
        let time = if plan.own_time { format!("\"ts\":{own_s},") } else { String::new() };
        let recv_s = own_s + plan.delay_s;
        let payload = self.foreign_payload(&time, plan.odd);
        self.send(Millis(recv_s * 1_000), topic, payload, false);
        if let Some(other_s) = plan.other_s {
            let payload = self.foreign_payload(&time, Odd::Nothing);
            self.send(Millis((recv_s + other_s) * 1_000), topic, payload, false);
        }
    }

    fn foreign_payload(&mut self, time: &str, odd: Odd) -> String {
        let (mut t, mut rh) = (self.value().to_string(), (60.0 + self.value()).to_string());
        match odd {
            Odd::Nothing | Odd::Kelvin => {}
            Odd::Over100 => rh = "103.2".to_owned(),
            Odd::Implausible => rh = "340".to_owned(),
            Odd::NotANumber => t = "nan".to_owned(),
            Odd::WrongUnit => t = "\"warm\"".to_owned(),
            Odd::NoHumidity => rh = "null".to_owned(),
            Odd::NoTemperature => t = "null".to_owned(),
        }
        format!("{{{time}\"t\":{t},\"rh\":{rh}}}")
    }
}

fn moved(samples: &Samples, by_s: i64) -> Samples {
    samples.iter().map(|(t, parts)| (t + by_s, parts.clone())).collect()
}
