//! Reports of our boards.

use std::cmp::Ordering;

use propstick_wire::json::JsonText;
use propstick_wire::senml::{MAX_PACK_BYTES, MAX_RECORDS, Name, Pack, Record, SenmlFault, Time, Value};
use propstick_wire::urn::CHANNEL_SEPARATOR;
use propstick_wire::{BoardUrn, Millis, Quantity, QueueId};

use super::refusal::{NO_TIME, Refusal, not_utf8, shortened};
use super::time;
use super::value::{Given, meant};
use crate::took::{DeviceKind, Envelope, Facts, RawReading, Reason, Sample, SeriesKey, SeriesKind, Settled, Took};

/// What the topic of a report says.
pub(super) struct Numbers<'a> {
    pub(super) board: &'a str,
    pub(super) queue: QueueId,
    pub(super) first: u64,
    pub(super) last: u64,
}

/// Reads a report: readings and refusals, then that its samples are settled. A topic that claims more samples than a pack can hold settles no
/// more than that: what it did not bring must not count as heard when it comes after all.
pub(super) fn read(envelope: &Envelope, numbers: &Numbers<'_>) -> Vec<Took> {
    let Numbers { board, queue, first, last } = *numbers;
    let device = BoardUrn::from_topic_part(board).map(|urn| urn.as_str().to_owned()).unwrap_or_default();
    let report = Report {
        envelope,
        numbers,
        device: &device,
        refusal: Refusal::of(envelope).by(&device).in_pack(queue.0, first, last),
    };
    let mut took = match report.samples() {
        Ok((items, stamps)) => report.took(&items, &stamps),
        Err((reason, detail)) => vec![report.refusal.because(reason, format!("{detail}; in report of {board}"))],
    };
    took.push(Took::Settled(Settled {
        device: device.clone(),
        queue: queue.0,
        first,
        last: last.min(first.saturating_add(MAX_RECORDS as u64 - 1)),
        arrived: envelope.arrived,
    }));
    took
}

struct Report<'a> {
    envelope: &'a Envelope,
    numbers: &'a Numbers<'a>,
    device: &'a str,
    refusal: Refusal<'a>,
}

/// A record, its channel, and the place of its sample in the report.
struct Item<'a> {
    record: Record<'a>,
    channel: String,
    place: usize,
}

/// The instant of a sample and how it was found.
#[derive(Clone, Copy)]
struct Stamp {
    at: Millis,
    facts: Facts,
}

impl<'a> Report<'a> {
    /// The records, and the instants of the samples in order. An error is what speaks against the pack as a whole.
    fn samples(&self) -> Result<(Vec<Item<'a>>, Vec<Stamp>), (Reason, String)> {
        let bytes = self.envelope.payload.len();
        if bytes > MAX_PACK_BYTES {
            return Err((Reason::Oversized, format!("message: {bytes} bytes; allowed {MAX_PACK_BYTES}")));
        }
        let text = std::str::from_utf8(&self.envelope.payload)
            .map_err(|error| (Reason::Malformed, not_utf8(error, "as SenML JSON")))?;
        let pack = Pack::parse(text).map_err(|error| {
            let reason = match error.fault {
                SenmlFault::TooLong { .. } | SenmlFault::TooMany => Reason::Oversized,
                _ => Reason::Malformed,
            };
            (reason, format!("message: {error}; allowed SenML as JSON"))
        })?;
        let mut items = Vec::new();
        let mut times: Vec<Time> = Vec::new();
        for record in pack.records() {
            let Some(channel) = self.channel(record.name) else {
                let sent = shortened(&record.name.to_string());
                let detail = format!("board: {sent} in the message; allowed {}{CHANNEL_SEPARATOR}channel", self.device);
                return Err((Reason::WrongBoard, detail));
            };
            match times.last().map(|last| (*last, order(*last, record.time))) {
                Some((_, Some(Ordering::Equal))) => {}
                None | Some((_, Some(Ordering::Greater))) => times.push(record.time),
                Some((last, _)) => {
                    let (next, last) = (said(record.time), said(last));
                    let detail = format!("times: {next} after {last}; allowed ascending times of one kind");
                    return Err((Reason::Malformed, detail));
                }
            }
            items.push(Item { record, channel, place: times.len() - 1 });
        }
        let expected = (self.numbers.last - self.numbers.first).saturating_add(1);
        if times.len() as u64 != expected {
            let Numbers { first, last, .. } = self.numbers;
            let detail = format!("samples: {} in the message; allowed {expected} ({first} to {last})", times.len());
            return Err((Reason::WrongCount, detail));
        }
        let stamps = times.iter().map(|sent| self.stamp(*sent, &times)).collect();
        Ok((items, stamps))
    }

    /// The instant of a sample. Where the times sent cannot be, arrival stands for the last of them, and the others keep their distance to it, so that
    /// the samples of one pack stay apart.
    fn stamp(&self, sent: Time, all: &[Time]) -> Stamp {
        let arrived = self.envelope.arrived;
        if let Some((at, facts)) = self.trusted(sent) {
            return Stamp { at, facts };
        }
        let last = all.iter().rev().find(|time| self.trusted(**time).is_none()).map_or(0, |time| position(*time));
        let kept = arrived.plus(position(sent).saturating_sub(last));
        let at = if time::counts(kept, arrived) { kept } else { arrived };
        Stamp { at, facts: Facts::TIME_REPLACED }
    }

    /// The instant that is meant, if what was sent can be meant.
    fn trusted(&self, sent: Time) -> Option<(Millis, Facts)> {
        let arrived = self.envelope.arrived;
        match sent {
            Time::Absolute(own) => time::counts(own, arrived).then_some((own, Facts::TIME_OWN)),
            Time::Relative(ms) => {
                let at = arrived.plus(ms);
                (ms <= 0 && time::counts(at, arrived)).then_some((at, Facts::TIME_RELATIVE))
            }
        }
    }

    fn took(&self, items: &[Item<'_>], stamps: &[Stamp]) -> Vec<Took> {
        let retained = self.envelope.retain;
        let mut took = Vec::with_capacity(items.len() + 1);
        let mut told = None;
        for Item { record, channel, place } in items {
            let Some(stamp) = stamps.get(*place) else { break };
            let n = self.numbers.first.saturating_add(*place as u64);
            if retained && stamp.facts != Facts::TIME_OWN {
                // One refusal a sample, not one a record.
                if told != Some(n) {
                    told = Some(n);
                    took.push(self.refuse(n, (Reason::NoTime, NO_TIME.to_owned())));
                }
                continue;
            }
            took.push(match self.reading(record, channel, stamp, n) {
                Ok(reading) => Took::Reading(reading),
                Err(objection) => self.refuse(n, objection),
            });
        }
        took
    }

    fn reading(
        &self,
        record: &Record<'_>,
        channel: &str,
        stamp: &Stamp,
        n: u64,
    ) -> Result<RawReading, (Reason, String)> {
        let given = match record.value {
            Value::Number(number) => Given::Number(number),
            Value::Bool(truth) => Given::Truth(truth),
            Value::NotANumber(raw) => Given::Other(raw),
            Value::Text(text) | Value::Data(text) => Given::Other(text.raw()),
            Value::None => Given::Other("a sum and no value"),
        };
        let unit = record.unit.map(|unit: JsonText<'_>| unit.to_string());
        let (v, unit_sent) = meant(channel, given, unit.as_deref())?;
        let is_rain = matches!(Quantity::from_channel(channel), Some((Quantity::Rain, _)));
        let facts = if self.envelope.retain { stamp.facts.and(Facts::RETAINED) } else { stamp.facts };
        Ok(RawReading {
            series: SeriesKey {
                device: self.device.to_owned(),
                device_kind: DeviceKind::Board,
                mapping: None,
                channel: channel.to_owned(),
                unit_sent,
                // A board's rain is what fell since its sample before.
                kind: if is_rain { SeriesKind::Sum } else { SeriesKind::Instant },
                span_s: 0,
                stamp_end: is_rain,
            },
            t: stamp.at,
            v,
            arrived: self.envelope.arrived,
            facts,
            sample: Some(Sample { queue: self.numbers.queue.0, n }),
        })
    }

    fn refuse(&self, n: u64, (reason, detail): (Reason, String)) -> Took {
        // A board may pack a sample anew, with others; what is refused of it is one thing all the same.
        let refusal = self.refusal.in_pack(self.numbers.queue.0, n, n);
        refusal.because(reason, format!("{detail}; in report of {}, sample {n}", self.numbers.board))
    }

    /// The channel of a record, if it is one of this board.
    fn channel(&self, name: Name<'_>) -> Option<String> {
        let rest = name.split_after(self.device)?.split_after(CHANNEL_SEPARATOR)?;
        (!rest.is_empty()).then(|| rest.to_string())
    }
}

/// How `next` lies to `last`; `None` for times of two kinds.
fn order(last: Time, next: Time) -> Option<Ordering> {
    match (last, next) {
        (Time::Absolute(_), Time::Absolute(_)) | (Time::Relative(_), Time::Relative(_)) => {
            Some(position(next).cmp(&position(last)))
        }
        _ => None,
    }
}

fn position(time: Time) -> i64 {
    match time {
        Time::Absolute(Millis(ms)) | Time::Relative(ms) => ms,
    }
}

fn said(time: Time) -> String {
    let ms = position(time);
    let seconds = ms as f64 / 1000.0;
    match time {
        Time::Absolute(_) => format!("{seconds} s since 1970"),
        Time::Relative(_) => format!("{seconds} s from now"),
    }
}
