//! The board's logic: what happened and when goes in, what is to be done comes out.

use crate::action::{Action, Actions};
use crate::link::{Flight, Link};
use crate::pack::{Pack, Packer};
use crate::record::{Anchor, Record};
use crate::ring::Ring;
use crate::sample::{Channels, Sample, Stamp, Values};
use crate::schedule::{self, Schedule};
use crate::uptime::{Clock, Uptime};
use propstick_wire::message::{BoardSettings, Receipt, RefusedKeys};
use propstick_wire::senml::MAX_PACK_BYTES;
use propstick_wire::{BoardUrn, Millis, QueueId};

/// What a board is told at its start.
#[derive(Clone, Copy, Debug)]
pub struct Setup {
    /// Its name.
    pub board: BoardUrn,
    /// What it measures.
    pub channels: Channels,
    /// Whether it cuts the connection between reports to save its battery.
    pub sleeps: bool,
    /// A number drawn at random at this start: the queue's name. Never one from a table, a counter or the last start.
    pub queue: QueueId,
    /// Another random number, for spreading its reports.
    pub seed: u64,
    /// The settings it kept, or the usual ones.
    pub settings: BoardSettings,
}

/// What happened.
#[derive(Clone, Copy, Debug)]
pub enum Event<'a> {
    /// Time has come that [`Actions::wake`] named, or anything else woke the board.
    Tick,
    /// The sensors were read.
    Sampled(Values),
    /// The connection stands, and the topics for receipts and settings are subscribed to.
    Connected,
    /// The connection is gone, or could not be made.
    Disconnected,
    /// A receipt came, kept by the broker or fresh. (Its time is not used: it may have waited for the board, nobody knows how long.)
    Receipt(Receipt),
    /// Settings came, as text.
    Settings(&'a str),
    /// A time server has told the time.
    Clock(Millis),
}

/// What was lost or passed over since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Samples dropped for want of room.
    pub dropped: u64,
    /// Samples of an earlier run of which nobody can say when they were taken: it had no clock to the end.
    pub undated: u64,
    /// Records at rest that could not be read.
    pub unreadable: u64,
    /// Receipts for another queue, or for samples never sent.
    pub strange_receipts: u64,
    /// Settings that were no message at all.
    pub bad_settings: u64,
    /// Times of day before 2020.
    pub bad_clock: u64,
}

impl Counts {
    /// All samples that were taken and will never reach the server.
    pub const fn lost(&self) -> u64 {
        self.dropped + self.undated
    }
}

/// The state of a board with room for `N` samples.
#[derive(Clone, Debug)]
pub struct Node<const N: usize> {
    pub(crate) setup: Setup,
    pub(crate) settings: BoardSettings,
    pub(crate) refused: RefusedKeys,
    pub(crate) schedule: Schedule,
    pub(crate) counts: Counts,
    pub(crate) samples: Ring<N>,
    pub(crate) clock: Clock,
    next_n: u64,
    sent_upto: u64,
    link: Link,
}

impl<const N: usize> Node<N> {
    /// A board that has just started, with what it finds at rest: the records of earlier runs, oldest first.
    ///
    /// Each start begins a queue of its own. The earlier samples keep their queue and number and go first, so no number is ever
    /// given twice, whatever was lost of the memory at rest.
    pub fn start<'r>(setup: Setup, records: impl Iterator<Item = &'r [u8]> + Clone, now: Uptime) -> Node<N> {
        let mut node = Node {
            setup,
            settings: setup.settings,
            refused: RefusedKeys::default(),
            schedule: Schedule::new(setup.settings.sample_s, setup.settings.report_s, setup.seed, now),
            counts: Counts::default(),
            samples: Ring::default(),
            clock: Clock::UNKNOWN,
            next_n: 1,
            sent_upto: 0,
            link: Link::Down,
        };
        let layout = setup.channels.layout();
        let read = records.map(|bytes| Record::decode(bytes, layout));
        for record in read.clone() {
            match record {
                Ok(Record::Sample(sample)) => node.take_back(sample, read.clone().flatten()),
                Ok(Record::Anchor(_)) => {}
                Err(_) => node.counts.unreadable += 1,
            }
        }
        while node.samples.iter().any(|sample| sample.queue == node.setup.queue) {
            node.setup.queue = QueueId(node.setup.queue.0.wrapping_add(1));
        }
        node
    }

    /// One sample of an earlier run. Without a time of day, and without an anchor that gives it one, it is of no use to anybody.
    fn take_back(&mut self, mut sample: Sample, records: impl Iterator<Item = Record>) {
        if let Stamp::Since(uptime) = sample.at {
            let anchor = records.filter_map(|record| match record {
                Record::Anchor(anchor) if anchor.queue == sample.queue => Some(anchor),
                _ => None,
            });
            match anchor.last().and_then(|anchor| Clock::ahead_by(anchor.ahead_ms).utc(uptime)) {
                Some(at) => sample.at = Stamp::Utc(at),
                None => {
                    self.counts.undated += 1;
                    return;
                }
            }
        }
        if self.samples.push(sample).is_some() {
            self.counts.dropped += 1;
        }
    }

    /// Takes in what happened at `now` and says what is to be done, in that order, and when to come back at the latest.
    pub fn step(&mut self, event: Event<'_>, now: Uptime) -> Actions {
        let mut out = Actions::default();
        match event {
            Event::Tick => {}
            Event::Sampled(values) => self.sampled(values, now, &mut out),
            Event::Connected => {
                self.link = Link::Up { since: now, reporting: true, flight: None };
                out.push(Action::PublishState);
            }
            Event::Disconnected => self.disconnected(now),
            Event::Receipt(receipt) => self.received(receipt, &mut out),
            Event::Settings(text) => self.set(text, now, &mut out),
            Event::Clock(utc) => self.set_clock(utc, now, &mut out),
        }
        if self.schedule.take_sample(now) {
            out.push(Action::Sample);
        }
        self.talk(now, &mut out);
        out.wake = self.wake(now);
        out
    }

    /// The text of a pack that [`Action::Publish`] names; `None` where its samples are gone, which a later step has then made up for.
    pub fn pack_text<'b>(&self, pack: &Pack, buffer: &'b mut [u8]) -> Option<&'b str> {
        self.packer(pack.made).text(pack, self.samples.iter(), buffer)
    }

    /// The record of a sample or an anchor that [`Action::Keep`] names, as bytes for the memory at rest.
    pub fn record_bytes(&self, record: &Record) -> [u8; crate::record::RECORD_BYTES] {
        record.encode(self.setup.channels.layout())
    }

    /// What was lost or passed over since the start.
    pub fn counts(&self) -> Counts {
        self.counts
    }

    /// The samples held, oldest first.
    pub fn samples(&self) -> impl Iterator<Item = &Sample> {
        self.samples.iter()
    }

    /// The queue of this run.
    pub fn queue(&self) -> QueueId {
        self.setup.queue
    }

    /// The settings in force.
    pub fn settings(&self) -> &BoardSettings {
        &self.settings
    }

    fn packer(&self, made: Uptime) -> Packer<'_> {
        Packer { board: &self.setup.board, channels: self.setup.channels, clock: self.clock, made }
    }

    fn sampled(&mut self, values: Values, now: Uptime, out: &mut Actions) {
        let values = values.without(self.off_mask());
        if values.is_empty() {
            // It could not be told from a sample that never was; the silence of the sensors shows in the state.
            return;
        }
        let at = self.clock.utc(now).map_or(Stamp::Since(now), Stamp::Utc);
        let sample = Sample { queue: self.setup.queue, n: self.next_n, at, values };
        self.next_n += 1;
        out.push(Action::Keep(Record::Sample(sample)));
        if let Some(oldest) = self.samples.push(sample) {
            self.counts.dropped += 1;
            out.push(Action::Forget { queue: oldest.queue, upto: oldest.n });
        }
    }

    fn off_mask(&self) -> u8 {
        let channels = self.setup.channels.iter().enumerate();
        channels.fold(
            0,
            |mask, (place, channel)| if self.settings.off.has(channel.name) { mask | 1 << place } else { mask },
        )
    }

    fn received(&mut self, receipt: Receipt, out: &mut Actions) {
        let Receipt { queue, upto, .. } = receipt;
        let oldest = self.samples.first().map(|sample| sample.queue);
        // What an earlier run has sent is not known any more; its queue's random name vouches for the receipt.
        let ours = if queue == self.setup.queue { upto <= self.sent_upto } else { oldest == Some(queue) };
        if !ours {
            self.counts.strange_receipts += 1;
            return;
        }
        let mut forgotten = false;
        while self.samples.first().is_some_and(|sample| sample.queue == queue && sample.n <= upto) {
            self.samples.pop();
            forgotten = true;
        }
        if forgotten {
            out.push(Action::Forget { queue, upto });
            self.schedule.succeeded();
        }
        if let Link::Up { flight, .. } = &mut self.link {
            flight.take_if(|flight| flight.pack.queue == queue && flight.pack.last <= upto);
        }
    }

    fn set(&mut self, text: &str, now: Uptime, out: &mut Actions) {
        match self.settings.apply(text) {
            Ok(refused) => {
                self.refused = refused;
                self.schedule.set_periods(self.settings.sample_s, self.settings.report_s, now);
                if matches!(self.link, Link::Up { .. }) {
                    out.push(Action::PublishState);
                }
            }
            Err(_) => self.counts.bad_settings += 1,
        }
    }

    fn set_clock(&mut self, utc: Millis, now: Uptime, out: &mut Actions) {
        if !self.clock.set(utc, now) {
            self.counts.bad_clock += 1;
            return;
        }
        let undated = |sample: &Sample| sample.queue == self.setup.queue && matches!(sample.at, Stamp::Since(_));
        if let (true, Some(ahead_ms)) = (self.samples.iter().any(undated), self.clock.ahead_ms()) {
            out.push(Action::Keep(Record::Anchor(Anchor { queue: self.setup.queue, ahead_ms })));
        }
    }

    fn disconnected(&mut self, now: Uptime) {
        match self.link {
            Link::Down => {}
            Link::Up { reporting: false, .. } => self.schedule.lost_idle(now),
            Link::Up { .. } | Link::Connecting { .. } => self.schedule.failed(now),
        }
        self.link = Link::Down;
    }

    /// Whatever the connection allows and the schedule wants.
    fn talk(&mut self, now: Uptime, out: &mut Actions) {
        match self.link {
            Link::Down => {
                let due = !self.setup.sleeps || self.schedule.report_is_due(now);
                if due && self.schedule.may_connect(now) {
                    self.link = Link::Connecting { until: now.plus(schedule::CONNECT_LIMIT_MS) };
                    out.push(Action::Connect);
                }
            }
            Link::Connecting { until } => {
                if now >= until {
                    self.give_up(now, out);
                }
            }
            Link::Up { since, reporting, flight } => self.report(since, reporting, flight, now, out),
        }
    }

    fn report(&mut self, since: Uptime, reporting: bool, flight: Option<Flight>, now: Uptime, out: &mut Actions) {
        if flight.is_some_and(|flight| now < flight.until) || !(reporting || self.schedule.report_is_due(now)) {
            return;
        }
        let tries = flight.map_or(0, |flight| flight.tries);
        if tries == schedule::PACK_TRIES {
            self.give_up(now, out);
            return;
        }
        let mut scratch = [0; MAX_PACK_BYTES];
        if let Some(pack) = self.packer(now).largest(self.samples.iter(), &mut scratch) {
            if pack.queue == self.setup.queue {
                self.sent_upto = self.sent_upto.max(pack.last);
            }
            let flight = Flight { pack, until: now.plus(schedule::RECEIPT_WAIT_MS), tries: tries + 1 };
            self.link = Link::Up { since, reporting: true, flight: Some(flight) };
            out.push(Action::Publish(pack));
        } else if self.setup.sleeps && now < since.plus(schedule::LISTEN_MS) {
            self.link = Link::Up { since, reporting: true, flight: None };
        } else {
            self.schedule.reported(now);
            self.link = if self.setup.sleeps { Link::Down } else { Link::Up { since, reporting: false, flight: None } };
            if self.setup.sleeps {
                out.push(Action::Disconnect);
            }
        }
    }

    fn give_up(&mut self, now: Uptime, out: &mut Actions) {
        self.schedule.failed(now);
        self.link = Link::Down;
        out.push(Action::Disconnect);
    }

    fn wake(&self, now: Uptime) -> Uptime {
        let talk = match self.link {
            Link::Down if self.setup.sleeps => self.schedule.next_try(),
            Link::Down => self.schedule.connect_at(),
            Link::Connecting { until } => until,
            Link::Up { flight: Some(flight), .. } => flight.until,
            Link::Up { since, reporting: true, .. } => since.plus(schedule::LISTEN_MS),
            Link::Up { .. } => self.schedule.report_at(),
        };
        self.schedule.sample_at().min(talk).max(now)
    }
}
