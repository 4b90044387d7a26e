//! What a message means: from an [`Envelope`] to readings, or to a refusal that says why.
//!
//! Pure: the same message read with the same book gives the same, whenever and however often. What is refused is refused as narrowly as can be: a
//! bad field alone, a pack only where its parts cannot be told apart. Nothing is converted here; a number is kept as sent, in the unit sent.

pub mod mapping;

mod field;
mod foreign;
mod refusal;
mod report;
mod time;
mod value;

pub(crate) use field::{Where, check_column, check_fields};
pub use mapping::Book;
pub use time::{AHEAD_ALLOWED_MS, EARLIEST};
pub(crate) use value::can_be_meant;

use propstick_wire::message::State;
use propstick_wire::senml::MAX_PACK_BYTES;
use propstick_wire::{BoardUrn, Topic, filter};

use crate::took::{BoardState, Envelope, Reason, Took};
use refusal::Refusal;

/// Messages of other makers' devices have at most this many bytes.
pub const MAX_FOREIGN_BYTES: usize = 16_384;

/// Reads one message.
///
/// A report gives its readings and refusals in the order of its records and then [`Took::Settled`], also where it is refused whole. A state gives
/// [`Took::Board`]. A message on a topic of a mapping gives the readings of its fields; where several mappings match, each reads it. Receipts and
/// settings are this program's own words and give nothing. Anything else gives [`Took::Reject`]; nothing is an error.
pub fn read(envelope: &Envelope, book: &Book) -> Vec<Took> {
    match Topic::parse(&envelope.topic) {
        Some(Topic::Report { board, queue, first, last }) => {
            report::read(envelope, &report::Numbers { board, queue, first, last })
        }
        Some(Topic::State { board }) => vec![state(envelope, board)],
        Some(Topic::Receipt { .. } | Topic::Settings { .. }) => Vec::new(),
        None => other(envelope, book),
    }
}

/// A message outside the contract.
fn other(envelope: &Envelope, book: &Book) -> Vec<Took> {
    let mut matching = book
        .mappings
        .iter()
        .filter(|mapping| !mapping::is_ours(&envelope.topic) && filter::matches(&mapping.topic, &envelope.topic))
        .peekable();
    if matching.peek().is_none() {
        let detail =
            "topic: no contract and no mapping knows it; allowed the topics of the contract and of the mappings";
        return vec![Refusal::of(envelope).because(Reason::UnknownTopic, detail.to_owned())];
    }
    matching.flat_map(|mapping| foreign::read(envelope, mapping)).collect()
}

/// What a board says of itself.
fn state(envelope: &Envelope, board: &str) -> Took {
    let device = BoardUrn::from_topic_part(board).map(|urn| urn.as_str().to_owned()).unwrap_or_default();
    let refusal = Refusal::of(envelope).by(&device);
    let place = format!("in state of {board}");
    if envelope.payload.len() > MAX_PACK_BYTES {
        let bytes = envelope.payload.len();
        return refusal
            .because(Reason::Oversized, format!("message: {bytes} bytes; allowed {MAX_PACK_BYTES}; {place}"));
    }
    let text = match std::str::from_utf8(&envelope.payload) {
        Ok(text) => text,
        Err(error) => return refusal.because(Reason::Malformed, refusal::not_utf8(error, &place)),
    };
    match State::parse(text) {
        Ok(_) => Took::Board(BoardState {
            device,
            arrived: envelope.arrived,
            retained: envelope.retain,
            payload: text.to_owned(),
        }),
        Err(error) => refusal.because(Reason::Malformed, format!("message: {error}; allowed a state as JSON; {place}")),
    }
}

#[cfg(test)]
mod tests;
