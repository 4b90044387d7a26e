//! Invented boards on an unreliable road: real board logic, a memory at rest, crashes, and a network that loses, repeats and
//! reorders. What stands at the far end is a [`House`].

use propstick_node::{Action, Actions, Channel, Channels, Event, Node, Record, Setup, Uptime, Values, Vitals};
use propstick_wire::message::{BoardSettings, Receipt, State};
use propstick_wire::senml::MAX_PACK_BYTES;
use propstick_wire::{BoardUrn, Millis, QueueId};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// The far end of the road.
pub trait House {
    /// Takes a report that arrived, commits it, and answers with the receipt.
    fn take(&mut self, topic: &str, payload: &str, arrived: Millis) -> Option<Receipt>;
    /// The receipt that the broker keeps for a board.
    fn kept_receipt(&self, board: &BoardUrn) -> Option<Receipt>;
    /// Every instant at which the sample with this identity is stored: none, or one if all is well.
    fn instants(&self, board: &BoardUrn, id: u32) -> Vec<i64>;
    /// The house ends and starts again; what it committed must be there.
    fn restart(&mut self);
}

/// Samples that a board of these tests can hold; few, so that queues run over.
pub const ROOM: usize = 6;

/// The two channels: the first carries the sample's identity, the second something that follows from it.
pub static CHANNELS: [Channel; 2] =
    [Channel { name: "illuminance", unit: "lx", places: 0 }, Channel { name: "air-humidity", unit: "%RH", places: 2 }];

/// What can happen to the world.
#[derive(Clone, Debug)]
pub enum Step {
    /// Time goes by; boards do what is due.
    Wait {
        /// How long.
        ms: i64,
    },
    /// One of the reports on the road arrives; it may stay on the road and arrive again.
    Arrives {
        /// Which, modulo their number.
        which: usize,
        /// Whether it stays.
        again: bool,
    },
    /// One of the reports on the road is lost.
    Lost {
        /// Which, modulo their number.
        which: usize,
    },
    /// One of the receipts on the road reaches its board; it may stay and come again.
    Answered {
        /// Which, modulo their number.
        which: usize,
        /// Whether it stays.
        again: bool,
    },
    /// One of the receipts on the road is lost.
    Unanswered {
        /// Which, modulo their number.
        which: usize,
    },
    /// A board's connection breaks; it comes back when the board asks for it, unless the network stays down.
    Cut {
        /// Which board, modulo their number.
        board: usize,
        /// Whether the network is down from now on, or up again.
        stays_down: bool,
    },
    /// A board loses its power after so many further actions, in the middle of writing if the next one is to keep something.
    Crash {
        /// Which board, modulo their number.
        board: usize,
        /// Actions until then.
        after: usize,
    },
    /// The house starts again and sends each board its kept receipt.
    HouseRestarts,
    /// A receipt for a queue that nobody has comes along.
    StrangeReceipt {
        /// Which board, modulo their number.
        board: usize,
        /// How far it claims to reach.
        upto: u64,
    },
}

/// One board with its memory at rest, and the truth about its samples.
pub struct SimBoard {
    /// Its name.
    pub urn: BoardUrn,
    /// Whether it gets the time of day whenever it is connected.
    pub has_clock: bool,
    /// Every sample that was taken and kept: its identity, and when it was taken.
    pub taken: BTreeMap<u32, i64>,
    /// Samples that a full queue dropped.
    pub dropped: BTreeSet<u32>,
    /// Samples that a start gave up because nobody could date them.
    pub undated: BTreeSet<u32>,
    /// What the board itself counted as dropped, over all its lives; filled in by [`World::settle`].
    pub counted_dropped: u64,
    /// How often it has started again.
    pub restarts: u64,
    node: Node<ROOM>,
    rest: Vec<Vec<u8>>,
    wake: Uptime,
    booted_at: i64,
    connected: bool,
    network_down: bool,
    crash_in: Option<usize>,
}

/// A report on the road.
struct Mail {
    topic: String,
    payload: String,
    sent: i64,
}

/// All boards, the road and the house.
pub struct World<H> {
    /// The far end.
    pub house: H,
    /// The boards.
    pub boards: Vec<SimBoard>,
    /// The longest that a report was on the road before it arrived, in milliseconds.
    pub longest_road_ms: i64,
    now: i64,
    up: Vec<Mail>,
    down: Vec<(usize, Receipt)>,
    next_id: u32,
    dice: u64,
}

/// What goes on in a board: events that wait for their turn.
type Agenda = VecDeque<Happening>;

enum Happening {
    Tick,
    Sampled,
    Connected,
    Disconnected,
    Receipt(Receipt),
    Clock,
}

impl<H: House> World<H> {
    /// So many boards that start now, `has_clock` telling of each whether it can learn the time of day.
    pub fn new(house: H, has_clock: &[bool]) -> World<H> {
        let now = 1_772_971_200_123;
        let mut world = World {
            house,
            boards: Vec::new(),
            longest_road_ms: 0,
            now,
            up: Vec::new(),
            down: Vec::new(),
            next_id: 0,
            dice: 0x2545_f491_4f6c_dd1d,
        };
        for (place, &has_clock) in has_clock.iter().enumerate() {
            let urn = BoardUrn::from_eui48([2, 0, 0x5e, 0x10, 0, place as u8]);
            let node = world.boot(place, urn, &[]);
            world.boards.push(SimBoard {
                urn,
                has_clock,
                taken: BTreeMap::new(),
                dropped: BTreeSet::new(),
                undated: BTreeSet::new(),
                counted_dropped: 0,
                restarts: 0,
                node,
                rest: Vec::new(),
                wake: Uptime(0),
                booted_at: now,
                connected: false,
                network_down: false,
                crash_in: None,
            });
        }
        world
    }

    /// Lets one thing happen.
    pub fn step(&mut self, step: &Step) {
        match *step {
            Step::Wait { ms } => self.wait(ms),
            Step::Arrives { which, again } => self.arrives(which, again),
            Step::Lost { which } => drop(pick(&mut self.up, which)),
            Step::Answered { which, again } => {
                if let Some((board, receipt)) = pick(&mut self.down, which) {
                    if again {
                        self.down.push((board, receipt));
                    }
                    self.happens(board, Happening::Receipt(receipt));
                }
            }
            Step::Unanswered { which } => drop(pick(&mut self.down, which)),
            Step::Cut { board, stays_down } => {
                let board = board % self.boards.len();
                self.boards[board].network_down = stays_down;
                if std::mem::take(&mut self.boards[board].connected) {
                    self.happens(board, Happening::Disconnected);
                }
            }
            Step::Crash { board, after } => {
                let board = board % self.boards.len();
                self.boards[board].crash_in = Some(after);
            }
            Step::HouseRestarts => {
                self.house.restart();
                for (place, board) in self.boards.iter().enumerate() {
                    self.down.extend(self.house.kept_receipt(&board.urn).map(|receipt| (place, receipt)));
                }
            }
            Step::StrangeReceipt { board, upto } => {
                let queue = QueueId(0xdead_0000);
                let board = board % self.boards.len();
                self.happens(board, Happening::Receipt(Receipt { queue, upto, at_s: 0 }));
            }
        }
    }

    /// A good network from here on, until every board has handed over all that it held, and something newer.
    ///
    /// # Panics
    /// Where that does not come about within a day of the world's time.
    pub fn settle(&mut self) {
        for board in &mut self.boards {
            board.network_down = false;
            board.crash_in = None;
        }
        let newest = self.next_id;
        // After many failures the next report is due only an hour later.
        for _ in 0..8_640 {
            self.wait(10_000);
            while !(self.up.is_empty() && self.down.is_empty()) {
                self.arrives(0, false);
                if let Some((board, receipt)) = pick(&mut self.down, 0) {
                    self.happens(board, Happening::Receipt(receipt));
                }
            }
            if self.boards.iter().all(|board| self.is_through(board, newest)) {
                self.boards.iter_mut().for_each(SimBoard::count);
                return;
            }
        }
        assert!(self.boards.is_empty(), "boards still hold old samples after a day of good network");
    }

    /// Whether a board holds nothing up to `newest` and has got something newer through.
    fn is_through(&self, board: &SimBoard, newest: u32) -> bool {
        let held = board.held();
        let has_newer = board.taken.range(newest + 1..).any(|(id, _)| !self.house.instants(&board.urn, *id).is_empty());
        held.range(..=newest).next().is_none() && has_newer
    }

    fn wait(&mut self, ms: i64) {
        let until = self.now + ms;
        // Whoever is due first goes first.
        while let Some((at, board)) = self.boards.iter().enumerate().map(|(k, b)| (b.wakes_at(), k)).min() {
            if at > until {
                break;
            }
            self.now = self.now.max(at);
            self.happens(board, Happening::Tick);
        }
        self.now = until;
    }

    fn arrives(&mut self, which: usize, again: bool) {
        let Some(mail) = pick(&mut self.up, which) else { return };
        self.longest_road_ms = self.longest_road_ms.max(self.now - mail.sent);
        let board = self.boards.iter().position(|board| mail.topic.contains(&board.urn.topic_part().to_string()));
        let receipt = self.house.take(&mail.topic, &mail.payload, Millis(self.now));
        self.down.extend(board.zip(receipt));
        if again {
            self.up.push(mail);
        }
    }

    /// Something happens to a board, and everything that follows from it at once.
    fn happens(&mut self, board: usize, first: Happening) {
        let mut agenda = Agenda::from([first]);
        while let Some(next) = agenda.pop_front() {
            let actions = self.one_event(board, &next);
            self.boards[board].wake = actions.wake;
            for action in actions.iter() {
                if self.crashes(board, action) {
                    return;
                }
                self.carry_out(board, action, &mut agenda);
            }
        }
    }

    fn one_event(&mut self, place: usize, happening: &Happening) -> Actions {
        let now = self.now;
        let board = &mut self.boards[place];
        let uptime = board.uptime(now);
        let before = board.held();
        let event = match happening {
            Happening::Tick => Event::Tick,
            Happening::Connected => Event::Connected,
            Happening::Disconnected => Event::Disconnected,
            Happening::Receipt(receipt) => Event::Receipt(*receipt),
            Happening::Clock => Event::Clock(Millis(now)),
            Happening::Sampled => {
                self.next_id += 1;
                let mut values = Values::NONE;
                values.set(0, self.next_id as i32);
                values.set(1, (self.next_id % 10_000) as i32);
                Event::Sampled(values)
            }
        };
        let actions = board.node.step(event, uptime);
        for gone in before.difference(&board.held()) {
            if matches!(happening, Happening::Receipt(_)) {
                let stored = self.house.instants(&board.urn, *gone);
                assert!(!stored.is_empty(), "sample {gone} was forgotten and is not stored");
            } else {
                board.dropped.insert(*gone);
            }
        }
        actions
    }

    fn carry_out(&mut self, place: usize, action: Action, agenda: &mut Agenda) {
        let now = self.now;
        let board = &mut self.boards[place];
        match action {
            Action::Sample => agenda.push_back(Happening::Sampled),
            Action::Keep(record) => {
                if let Record::Sample(sample) = record {
                    board.taken.insert(identity(&sample.values), now);
                }
                board.rest.push(board.node.record_bytes(&record).to_vec());
            }
            Action::Forget { queue, upto } => board.strike(queue, upto),
            Action::Connect => {
                if board.network_down {
                    return;
                }
                board.connected = true;
                if board.has_clock {
                    agenda.push_back(Happening::Clock);
                }
                agenda.push_back(Happening::Connected);
                agenda.extend(self.house.kept_receipt(&board.urn).map(Happening::Receipt));
            }
            Action::Disconnect => board.connected = false,
            Action::PublishState => {
                let vitals =
                    Vitals { boot: 1, reset: "power-on", fw: "0", battery_v: None, signal_dbw: None, faults: &[] };
                let mut buffer = [0; 1_024];
                let text = board.node.state_text(&vitals, board.uptime(now), &mut buffer);
                assert!(text.is_ok_and(|text| State::parse(text).is_ok()), "a state that cannot be read");
            }
            Action::Publish(pack) => {
                let mut buffer = [0; MAX_PACK_BYTES];
                let text = board.node.pack_text(&pack, &mut buffer);
                assert!(text.is_some(), "{pack:?} names samples that are gone");
                let topic = board.urn.report_topic(pack.queue, pack.first, pack.last).to_string();
                let payload = text.unwrap_or_default().to_string();
                self.up.push(Mail { topic, payload, sent: now });
            }
        }
    }

    /// Whether the board's power fails before this action.
    fn crashes(&mut self, place: usize, next: Action) -> bool {
        match &mut self.boards[place].crash_in {
            None => return false,
            Some(0) => {}
            Some(left) => {
                *left -= 1;
                return false;
            }
        }
        if let Action::Keep(record) = next {
            // Half a record is written; its sample never was.
            let bytes = self.boards[place].node.record_bytes(&record);
            self.boards[place].rest.push(bytes[..bytes.len() / 2].to_vec());
        }
        self.restart(place);
        true
    }

    fn restart(&mut self, place: usize) {
        let rest = std::mem::take(&mut self.boards[place].rest);
        let node = self.boot(place, self.boards[place].urn, &rest);
        let now = self.now;
        let board = &mut self.boards[place];
        let before = board.held();
        board.count();
        board.node = node;
        board.rest = rest.into_iter().filter(|bytes| bytes.len() == propstick_node::RECORD_BYTES).collect();
        board.crash_in = None;
        board.connected = false;
        board.restarts += 1;
        board.booted_at = now;
        board.wake = Uptime(0);
        let lost: BTreeSet<u32> =
            before.difference(&board.held()).copied().filter(|id| board.taken.contains_key(id)).collect();
        let counts = board.node.counts();
        assert!(lost.len() as u64 <= counts.undated, "a start lost {lost:?} and counted {counts:?}");
        board.undated.extend(lost);
    }

    fn boot(&mut self, place: usize, urn: BoardUrn, rest: &[Vec<u8>]) -> Node<ROOM> {
        self.dice ^= self.dice << 13;
        self.dice ^= self.dice >> 7;
        self.dice ^= self.dice << 17;
        let setup = Setup {
            board: urn,
            channels: channels(),
            // Every other board stays connected.
            sleeps: place.is_multiple_of(2),
            queue: QueueId((self.dice >> 16) as u32),
            seed: self.dice,
            settings: BoardSettings::default(),
        };
        Node::start(setup, rest.iter().map(Vec::as_slice), Uptime(0))
    }
}

impl SimBoard {
    fn uptime(&self, now: i64) -> Uptime {
        Uptime((now - self.booted_at) as u64)
    }

    fn wakes_at(&self) -> i64 {
        self.booted_at + self.wake.0 as i64
    }

    /// The samples that it holds, by their identity.
    pub fn held(&self) -> BTreeSet<u32> {
        self.node.samples().map(|sample| identity(&sample.values)).collect()
    }

    /// Adds this life's counts to those of all lives.
    fn count(&mut self) {
        self.counted_dropped += self.node.counts().dropped;
    }

    /// Strikes from the memory at rest what was forgotten, and anchors that date nothing any more.
    fn strike(&mut self, queue: QueueId, upto: u64) {
        let layout = channels().layout();
        let records: Vec<Option<Record>> = self.rest.iter().map(|bytes| Record::decode(bytes, layout).ok()).collect();
        let struck = records.iter().rposition(
            |record| matches!(record, Some(Record::Sample(sample)) if sample.queue == queue && sample.n <= upto),
        );
        let Some(struck) = struck else { return };
        let left: BTreeSet<QueueId> = records[struck + 1..]
            .iter()
            .filter_map(|record| if let Some(Record::Sample(sample)) = record { Some(sample.queue) } else { None })
            .collect();
        let mut place = 0;
        self.rest.retain(|_| {
            let keep = match records[place] {
                Some(Record::Anchor(anchor)) => left.contains(&anchor.queue),
                _ => place > struck,
            };
            place += 1;
            keep
        });
    }
}

#[allow(clippy::expect_used)]
fn channels() -> Channels {
    Channels::new(&CHANNELS).expect("a table that can be sent")
}

/// The identity that a sample carries as its first value.
fn identity(values: &Values) -> u32 {
    values.at(0).and_then(|number| u32::try_from(number).ok()).unwrap_or(0)
}

fn pick<T>(from: &mut Vec<T>, which: usize) -> Option<T> {
    if from.is_empty() { None } else { Some(from.remove(which % from.len())) }
}
