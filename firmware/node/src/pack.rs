//! From queued samples to a report: which of them go into one pack, and its text.

use crate::sample::{Channels, Sample, Stamp};
use crate::uptime::{Clock, Uptime};
use propstick_wire::senml::{WriteError, Writer};
use propstick_wire::{BoardUrn, Decimal, Millis, QueueId};

/// A pack that is to be sent: samples `first` to `last` of `queue`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    /// The queue.
    pub queue: QueueId,
    /// Its oldest sample.
    pub first: u64,
    /// Its newest sample.
    pub last: u64,
    /// When it was made; times without a clock count back from here, so it is to be sent at once.
    pub made: Uptime,
}

/// Turns samples into packs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Packer<'n> {
    pub board: &'n BoardUrn,
    pub channels: Channels,
    pub clock: Clock,
    pub made: Uptime,
}

impl Packer<'_> {
    /// The largest pack that begins with the first of `samples`; `None` where there is none, or where not even one sample fits
    /// into `scratch`, which is as long as the longest message that may be sent.
    pub fn largest<'s>(&self, samples: impl Iterator<Item = &'s Sample>, scratch: &mut [u8]) -> Option<Pack> {
        let mut samples = samples.peekable();
        let first = **samples.peek()?;
        let (count, _) = self.write(samples, u64::MAX, scratch);
        let more = count.checked_sub(1)?;
        Some(Pack { queue: first.queue, first: first.n, last: first.n + more, made: self.made })
    }

    /// The text of `pack`; `None` where its samples are no longer all there.
    pub fn text<'s, 'b>(
        &self,
        pack: &Pack,
        samples: impl Iterator<Item = &'s Sample>,
        buffer: &'b mut [u8],
    ) -> Option<&'b str> {
        let wanted = pack.last.checked_sub(pack.first)?.checked_add(1)?;
        let from = samples.skip_while(|sample| (sample.queue, sample.n) != (pack.queue, pack.first));
        let (count, text) = Packer { made: pack.made, ..*self }.write(from, wanted, buffer);
        text.filter(|_| count == wanted)
    }

    /// Writes samples until `limit` is reached, no more fit, or one may not share the pack: a pack holds one queue without a
    /// missing number, and times of one kind, each later than the one before, because the server tells samples apart by them.
    fn write<'s, 'b>(
        &self,
        samples: impl Iterator<Item = &'s Sample>,
        limit: u64,
        buffer: &'b mut [u8],
    ) -> (u64, Option<&'b str>) {
        let mut open: Option<Open<'_, '_>> = None;
        let mut buffer = Some(buffer);
        let mut count = 0;
        for sample in samples {
            let time = self.told(sample);
            let pack = match &mut open {
                Some(pack) if pack.takes(sample, time) => pack,
                Some(_) => break,
                none => match buffer.take().and_then(|buffer| Open::new(self.board, buffer, time)) {
                    Some(pack) => none.insert(pack),
                    None => break,
                },
            };
            if count == limit || pack.add(self.channels, sample, time).is_err() {
                break;
            }
            count += 1;
        }
        (count, open.and_then(|pack| pack.writer.finish().ok()))
    }

    fn told(&self, sample: &Sample) -> Told {
        match sample.at {
            Stamp::Utc(at) => Told::At(at),
            Stamp::Since(uptime) => match self.clock.utc(uptime) {
                Some(at) => Told::At(at),
                None => Told::Ago(-i64::try_from(self.made.since(uptime)).unwrap_or(i64::MAX)),
            },
        }
    }
}

/// Time of a sample as it goes into a pack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Told {
    At(Millis),
    /// Milliseconds before sending, as a negative number.
    Ago(i64),
}

/// A pack being written.
struct Open<'b, 'n> {
    writer: Writer<'b, 'n>,
    base_ms: i64,
    newest: Option<(QueueId, u64, Told)>,
}

impl<'b, 'n> Open<'b, 'n> {
    fn new(board: &'n BoardUrn, buffer: &'b mut [u8], time: Told) -> Option<Open<'b, 'n>> {
        let (base_time, base_ms) = match time {
            Told::At(at) => (Some(at), at.0),
            Told::Ago(_) => (None, 0),
        };
        let writer = Writer::begin_board(buffer, board, base_time).ok()?;
        Some(Open { writer, base_ms, newest: None })
    }

    fn takes(&self, sample: &Sample, time: Told) -> bool {
        self.newest.is_none_or(|(queue, n, before)| {
            let later = match (before, time) {
                (Told::At(before), Told::At(time)) => time > before,
                (Told::Ago(before), Told::Ago(time)) => time > before,
                _ => false,
            };
            later && sample.queue == queue && sample.n == n + 1
        })
    }

    /// Adds all records of the sample, or none of them.
    fn add(&mut self, channels: Channels, sample: &Sample, time: Told) -> Result<(), WriteError> {
        let offset_ms = match time {
            Told::At(at) => at.0.saturating_sub(self.base_ms),
            Told::Ago(ms) => ms,
        };
        let before = self.writer.mark();
        for (place, channel) in channels.iter().enumerate() {
            if let Some(number) = sample.values.at(place) {
                let value = Decimal::new(i64::from(number), channel.places);
                if let Err(why) = self.writer.record(channel.name, channel.unit, value, offset_ms) {
                    self.writer.back_to(before);
                    return Err(why);
                }
            }
        }
        self.newest = Some((sample.queue, sample.n, time));
        Ok(())
    }
}
