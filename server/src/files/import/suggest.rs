//! What is made of a file before anybody decides: a form of our own, a table that is understood, one with open questions, or none of it.

use std::io;

use propstick_garden::exchange::Form;
use propstick_garden::table::propose::{Hints, Lost, Outcome, Proposal, propose};
use propstick_garden::table::{FileMapping, Order, Report, Stamp};
use propstick_wire::Millis;

use super::source::{Identity, OnDisk};
use super::take::{How, ImportTrouble, rehearse};
use crate::store::imports::Origin;
use crate::store::{Readings, StoreError};

/// What is made of a file.
#[derive(Clone, Debug)]
pub enum Suggestion {
    /// It is one of our own exports.
    Ours(Form, Report),
    /// It can be read like this, and then gives that.
    Understood(Box<Proposal>, Report),
    /// Something has to be said by a person first.
    Open(Box<Proposal>),
    /// It cannot be understood.
    Lost(Lost),
}

/// Looks at a file and says what is made of it. Nothing is stored.
///
/// # Errors
/// A file that cannot be read, or that looked readable and is not.
pub fn suggest(
    source: &OnDisk<'_>,
    identity: &Identity,
    hints: &Hints,
    now: Millis,
) -> Result<Suggestion, ImportTrouble> {
    if let Some(form) = identity.form {
        return Ok(Suggestion::Ours(form, rehearse(source, &How::Ours(form), now)?));
    }
    let outcome = propose(source, hints, now).map_err(|error: io::Error| ImportTrouble::Unreadable(error))?;
    Ok(match outcome {
        Outcome::Understood(proposal) => {
            let how = How::Mapping(Box::new(proposal.mapping.clone()));
            Suggestion::Understood(Box::new(proposal), rehearse(source, &how, now)?)
        }
        Outcome::Open(proposal) => Suggestion::Open(Box::new(proposal)),
        Outcome::Lost(lost) => Suggestion::Lost(lost),
    })
}

/// The mapping that a file of one is, or what is wrong with it.
///
/// # Errors
/// Key, what stands there and what is allowed.
pub fn mapping_from(text: &str) -> Result<How, String> {
    FileMapping::from_toml(text).map(|mapping| How::Mapping(Box::new(mapping))).map_err(|error| error.to_string())
}

/// The order of day, month and year of that word.
pub fn order_from(word: &str) -> Option<Order> {
    Order::ALL.into_iter().find(|order| order.word() == word)
}

/// The end of an interval of that word.
pub fn stamp_from(word: &str) -> Option<Stamp> {
    [Stamp::Start, Stamp::End].into_iter().find(|stamp| stamp.word() == word)
}

/// The imports that have taken in these very bytes before.
///
/// # Errors
/// What the store says.
pub fn known(readings: &Readings, identity: &Identity) -> Result<Vec<Origin>, StoreError> {
    Ok(readings.origins()?.into_iter().filter(|origin| origin.sha256.as_deref() == Some(&identity.sha256)).collect())
}
