//! Traffic as a recording: messages made anew from what is kept of them, so that replaying them brings the same again.
//!
//! A message itself is not kept, its readings are: instant, value, arrival, and how the instant was found. So a message is made that says the same,
//! and every one is read back before it is written; what does not come back the same is left out and counted. Packs of our boards are numbered anew,
//! in one queue for each board, since the ledger does not keep which number a sample had. Messages of other makers' devices are made by their
//! mapping. What was refused is written as it was kept, unless it would bring readings that the ledger passed over.

mod foreign;
mod packs;
mod refused;

use core::fmt::Write;
use core::ops::ControlFlow;
use std::collections::BTreeMap;

use propstick_wire::{Millis, QueueId};

use super::{Outlet, json_text};
use crate::decode::{self, Book};
use crate::instant::to_rfc3339;
use crate::took::{DeviceKind, Envelope, Facts, RawReading, SeriesKey, Took, Via};
pub use refused::RefusedMessage;

/// A live reading as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept<'a> {
    /// Its series.
    pub series: &'a SeriesKey,
    /// Its instant.
    pub t: Millis,
    /// Its value as sent.
    pub v: f64,
    /// What is known of its message.
    pub facts: Facts,
}

impl Kept<'_> {
    fn is(&self, r: &RawReading) -> bool {
        self.t == r.t && self.v.to_bits() == r.v.to_bits() && self.facts == r.facts && *self.series == r.series
    }
}

/// What came of a recording.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recorded {
    /// Messages written.
    pub messages: u64,
    /// Readings in them that are kept so.
    pub readings: i64,
    /// Refused things in them.
    pub refused: u64,
    /// What was left out, by the reason, and how many readings or refused things that are.
    pub left_out: BTreeMap<String, u64>,
}

/// Writes a recording.
pub struct Recorder<'b> {
    book: &'b Book,
    queue: QueueId,
    next: BTreeMap<String, u64>,
    done: Recorded,
}

impl<'b> Recorder<'b> {
    /// A recorder that makes messages of other makers' devices by the mappings of `book`, and numbers packs of every board in `queue`, which must be
    /// none that a refused message names.
    pub fn new(book: &'b Book, queue: QueueId) -> Recorder<'b> {
        Recorder { book, queue, next: BTreeMap::new(), done: Recorded::default() }
    }

    /// Writes all messages that arrived at one instant: `kept` is what is kept of them, `refused` what was refused then. `is_kept` says whether the
    /// ledger has a reading's value for its instant from a message that arrived before.
    pub fn moment(
        &mut self,
        arrived: Millis,
        kept: &[Kept<'_>],
        refused: &[RefusedMessage<'_>],
        is_kept: &mut dyn FnMut(&RawReading) -> bool,
        out: &mut Outlet<'_>,
    ) -> ControlFlow<()> {
        let mut rest: Vec<&Kept<'_>> = kept.iter().collect();
        for messages in refused::messages(refused) {
            self.refused_again(arrived, messages, kept, &mut rest, is_kept, out)?;
        }
        rest.sort_by(|a, b| order(a).cmp(&order(b)).then(a.v.total_cmp(&b.v)));
        for of_device in rest.chunk_by(|a, b| a.series.device == b.series.device && a.facts == b.facts) {
            let Some(first) = of_device.first() else { continue };
            for mut layer in layers(of_device) {
                if first.series.device_kind != DeviceKind::Board {
                    self.foreign(arrived, &layer, out)?;
                    continue;
                }
                if first.facts.time_kind() == Facts::TIME_REPLACED
                    && layer.last().is_some_and(|k| k.t != arrived)
                    && let Some(anchor) = anchor(arrived, first, kept)
                {
                    layer.push(anchor);
                    // Twice in the recording, once in the ledger.
                    self.done.readings -= 1;
                }
                self.packs(arrived, &layer, out)?;
            }
        }
        ControlFlow::Continue(())
    }

    /// Writes the newest word of a board.
    pub fn state(
        &mut self,
        board: &propstick_wire::BoardUrn,
        arrived: Millis,
        retain: bool,
        payload: &str,
        out: &mut Outlet<'_>,
    ) -> ControlFlow<()> {
        let topic = board.state_topic().to_string();
        self.write(&envelope(arrived, topic, payload.as_bytes().to_vec(), retain), out)
    }

    /// What came of it.
    pub fn done(self) -> Recorded {
        self.done
    }

    /// Writes a message if reading it brings exactly what is kept; false where it does not.
    fn write_if_same(
        &mut self,
        message: &Envelope,
        wanted: &[&Kept<'_>],
        out: &mut Outlet<'_>,
    ) -> ControlFlow<(), bool> {
        let mut open: Vec<&Kept<'_>> = wanted.to_vec();
        for took in decode::read(message, self.book) {
            match took {
                Took::Reading(r) => match open.iter().position(|k| k.is(&r)) {
                    Some(place) => drop(open.swap_remove(place)),
                    None => return ControlFlow::Continue(false),
                },
                Took::Settled(_) => {}
                Took::Board(_) | Took::Reject(_) => return ControlFlow::Continue(false),
            }
        }
        if !open.is_empty() {
            return ControlFlow::Continue(false);
        }
        self.done.readings += wanted.len() as i64;
        match self.write(message, out) {
            ControlFlow::Break(()) => ControlFlow::Break(()),
            ControlFlow::Continue(()) => ControlFlow::Continue(true),
        }
    }

    fn write(&mut self, message: &Envelope, out: &mut Outlet<'_>) -> ControlFlow<()> {
        self.done.messages += 1;
        let payload = String::from_utf8_lossy(&message.payload);
        let _ = writeln!(
            out,
            "{{\"recv\":\"{}\",\"topic\":{},\"payload\":{},\"qos\":{},\"retain\":{},\"dup\":false}}",
            to_rfc3339(message.arrived),
            json_text(&message.topic),
            json_text(&payload),
            message.qos,
            message.retain
        );
        out.line_done()
    }

    fn leave_out(&mut self, why: String, times: usize) {
        *self.done.left_out.entry(why).or_default() += times as u64;
    }
}

/// The times of a pack that cannot be believed count back from the last of them, which stands for the arrival. A part that has lost that one to another
/// part borrows it: a repeat leaves no trace.
fn anchor<'k, 's>(arrived: Millis, of: &Kept<'_>, kept: &'k [Kept<'s>]) -> Option<&'k Kept<'s>> {
    kept.iter().find(|k| k.t == arrived && k.facts == of.facts && k.series.device == of.series.device)
}

/// Readings of one device and one way of knowing the time lie together, by instant.
fn order<'a>(k: &'a Kept<'_>) -> (&'a str, Facts, Millis, &'a SeriesKey) {
    (&k.series.device, k.facts, k.t, k.series)
}

/// Sorted readings, so parted that no series has two values for one instant in a part: one message could not say both.
fn layers<'k, 's>(sorted: &[&'k Kept<'s>]) -> Vec<Vec<&'k Kept<'s>>> {
    let mut layers: Vec<Vec<&Kept<'_>>> = vec![Vec::new()];
    let mut depth = 0;
    for (place, k) in sorted.iter().enumerate() {
        let is_again =
            place.checked_sub(1).and_then(|p| sorted.get(p)).is_some_and(|b| b.t == k.t && b.series == k.series);
        depth = if is_again { depth + 1 } else { 0 };
        if layers.len() == depth {
            layers.push(Vec::new());
        }
        if let Some(layer) = layers.get_mut(depth) {
            layer.push(k);
        }
    }
    layers
}

fn envelope(arrived: Millis, topic: String, payload: Vec<u8>, retain: bool) -> Envelope {
    Envelope { arrived, via: Via::Replay, topic, payload, qos: 1, retain, dup: false }
}

#[cfg(test)]
mod tests;
