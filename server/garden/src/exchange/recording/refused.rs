//! What was refused, as it was kept.

use core::ops::ControlFlow;

use propstick_wire::senml::MAX_PACK_BYTES;
use propstick_wire::{Millis, Topic};

use super::{Kept, Outlet, Recorder, envelope};
use crate::decode::{self, MAX_FOREIGN_BYTES};
use crate::took::{Envelope, RawReading, Reason, Reject, Took};

/// A refusal cuts what it keeps of a message at this length.
const KEPT_BYTES: usize = 4096;
/// A message is filled up to the length it had, but no further than this.
const LONGEST_BYTES: usize = 128 << 10;

/// A refused thing as it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RefusedMessage<'a> {
    /// Topic of its message.
    pub topic: &'a str,
    /// Its payload, as far as it is kept.
    pub payload: &'a [u8],
    /// The reason as a word.
    pub reason: &'a str,
    /// The reason in plain words.
    pub detail: &'a str,
}

/// Refused things of one message lie together. The same message may have come more often, as often as one of them occurs; a numbered pack counts once,
/// however often it came.
pub(super) fn messages<'r, 'a>(refused: &'r [RefusedMessage<'a>]) -> Vec<Vec<&'r RefusedMessage<'a>>> {
    let mut messages: Vec<Vec<&RefusedMessage<'_>>> = Vec::new();
    for r in refused {
        let is_pack = matches!(Topic::parse(r.topic), Some(Topic::Report { .. }));
        let is_of = |m: &&mut Vec<&RefusedMessage<'_>>| {
            m.iter().all(|o| {
                (o.topic, o.payload) == (r.topic, r.payload)
                    && (is_pack || (o.reason, o.detail) != (r.reason, r.detail))
            })
        };
        match messages.iter_mut().find(is_of) {
            Some(message) => message.push(r),
            None => messages.push(vec![r]),
        }
    }
    messages
}

impl Recorder<'_> {
    /// Writes a message of which something was refused, if it is refused for the same reason again and brings nothing that the ledger does not have. What
    /// it brings of `kept` is taken out of `rest`.
    pub(super) fn refused_again(
        &mut self,
        arrived: Millis,
        message: Vec<&RefusedMessage<'_>>,
        kept: &[Kept<'_>],
        rest: &mut Vec<&Kept<'_>>,
        is_kept: &mut dyn FnMut(&RawReading) -> bool,
        out: &mut Outlet<'_>,
    ) -> ControlFlow<()> {
        let Some(first) = message.first() else { return ControlFlow::Continue(()) };
        if core::str::from_utf8(first.payload).is_err() {
            self.leave_out(
                "refused messages that are no text: a line of a recording cannot carry them".to_owned(),
                message.len(),
            );
            return ControlFlow::Continue(());
        }
        // Whether it was delivered as retained is not kept. What else it brought tells, or, where that was the reason, the reason.
        let payload = filled_up(first);
        let as_delivered = |retain| envelope(arrived, first.topic.to_owned(), payload.clone(), retain);
        let both = [as_delivered(false), as_delivered(true)];
        let again: Vec<(&Envelope, Vec<RawReading>)> =
            both.iter().filter_map(|written| Some((written, self.brings(written, &message)?))).collect();
        if again.is_empty() {
            let why = "refused messages that would not be refused for the same reason again";
            self.leave_out(why.to_owned(), message.len());
            return ControlFlow::Continue(());
        }
        let is_there = |r: &RawReading| kept.iter().any(|k| k.is(r));
        let Some((written, brings)) =
            again.into_iter().find(|(_, brings)| brings.iter().all(|r| is_there(r) || is_kept(r)))
        else {
            let why =
                "refused messages with readings besides, which the ledger passed over or took from a later message";
            self.leave_out(why.to_owned(), message.len());
            return ControlFlow::Continue(());
        };
        for r in &brings {
            if let Some(place) = rest.iter().position(|k| k.is(r)) {
                rest.swap_remove(place);
                self.done.readings += 1;
            }
        }
        self.done.refused += message.len() as u64;
        self.write(written, out)
    }

    /// The readings of a message; none where it is not refused for all those reasons.
    fn brings(&self, written: &Envelope, message: &[&RefusedMessage<'_>]) -> Option<Vec<RawReading>> {
        let mut brings = Vec::new();
        let mut rejects: Vec<Reject> = Vec::new();
        for took in decode::read(written, self.book) {
            match took {
                Took::Reading(r) => brings.push(r),
                Took::Reject(r) => rejects.push(r),
                Took::Settled(_) => {}
                Took::Board(_) => return None,
            }
        }
        let again = |m: &&RefusedMessage<'_>| rejects.iter().any(|r| r.reason.word() == m.reason);
        message.iter().all(again).then_some(brings)
    }
}

/// The payload; where only the beginning of one that was too long is kept, with blanks up to the length it had.
fn filled_up(refused: &RefusedMessage<'_>) -> Vec<u8> {
    let mut payload = refused.payload.to_vec();
    if payload.len() >= KEPT_BYTES && refused.reason == Reason::Oversized.word() {
        let is_ours = Topic::parse(refused.topic).is_some();
        let least = if is_ours { MAX_PACK_BYTES + 1 } else { MAX_FOREIGN_BYTES + 1 };
        let said = refused.detail.strip_prefix("message: ").and_then(|d| d.split(' ').next()?.parse::<usize>().ok());
        payload.resize(said.unwrap_or(least).clamp(least, LONGEST_BYTES), b' ');
    }
    payload
}
