//! Refusals, said plainly: what, value, allowed, where.

use crate::took::{Envelope, Reason, Reject, Took};

/// So many bytes of a refused message are kept.
const KEPT_BYTES: usize = 4096;

/// What all refusals out of one message have in common.
#[derive(Clone, Copy)]
pub(super) struct Refusal<'a> {
    envelope: &'a Envelope,
    device: Option<&'a str>,
    pack: Option<(u32, u64, u64)>,
}

impl<'a> Refusal<'a> {
    pub(super) fn of(envelope: &'a Envelope) -> Refusal<'a> {
        Refusal { envelope, device: None, pack: None }
    }

    pub(super) fn by(self, device: &'a str) -> Refusal<'a> {
        Refusal { device: Some(device), ..self }
    }

    pub(super) fn in_pack(self, queue: u32, first: u64, last: u64) -> Refusal<'a> {
        Refusal { pack: Some((queue, first, last)), ..self }
    }

    pub(super) fn because(&self, reason: Reason, detail: String) -> Took {
        let Envelope { arrived, topic, payload, .. } = self.envelope;
        Took::Reject(Reject {
            at: *arrived,
            device: self.device.map(str::to_owned),
            topic: topic.clone(),
            reason,
            detail,
            payload: payload[..payload.len().min(KEPT_BYTES)].to_vec(),
            pack: self.pack,
        })
    }
}

/// Against a message without a time that counts, delivered as retained: arrival cannot stand for it.
pub(super) const NO_TIME: &str =
    "time: none of its own, and delivered as retained, so of unknown age; allowed a time from 2020 to arrival";

pub(super) fn not_utf8(error: std::str::Utf8Error, place: &str) -> String {
    format!("message: at byte {} it is no text; allowed UTF-8; {place}", error.valid_up_to())
}

/// At most 40 characters of what was sent, so that a refusal stays a sentence.
pub(super) fn shortened(sent: &str) -> String {
    match sent.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &sent[..end]),
        None => sent.to_owned(),
    }
}
