//! What is wrong with a thing that somebody told, and the checks that both kinds of things share.

use propstick_wire::Millis;

use crate::instant::{from_rfc3339, to_rfc3339};

/// Nothing is kept from before this: 2000-01-01.
pub const NOT_BEFORE: Millis = Millis(946_684_800_000);

/// Why a thing told is not kept: where it is wrong, what stands there, and what may.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{at}: {value:?} {says}; allowed: {allowed}")]
pub struct Untold {
    /// The key, such as `what` or `look.sky`.
    pub at: String,
    /// What stands there; empty where nothing does.
    pub value: String,
    /// What is wrong, to follow the value in a sentence.
    pub says: String,
    /// What is allowed.
    pub allowed: String,
}

impl Untold {
    /// Something wrong at a key.
    pub fn new(
        at: impl Into<String>,
        value: impl Into<String>,
        says: impl Into<String>,
        allowed: impl Into<String>,
    ) -> Untold {
        Untold { at: at.into(), value: value.into(), says: says.into(), allowed: allowed.into() }
    }
}

/// The instant a thing was done or seen; `now` where none was told.
pub(super) fn instant(text: Option<&str>, now: Millis) -> Result<Millis, Untold> {
    let Some(text) = text else { return Ok(now) };
    let allowed = || format!("an instant like 2026-03-01T08:00:00Z, from 2000 on and not after {}", to_rfc3339(now));
    let wrong = |says: &str| Untold::new("t", text, says, allowed());
    match from_rfc3339(text) {
        None => Err(wrong("is no instant")),
        Some(t) if t < NOT_BEFORE => Err(wrong("lies before 2000")),
        Some(t) if t > now => Err(wrong("lies in the future")),
        Some(t) => Ok(t),
    }
}

/// One of `all` by its word.
pub(super) fn word<T: Copy>(at: &str, found: &str, all: &[T], name: impl Fn(T) -> &'static str) -> Result<T, Untold> {
    all.iter().copied().find(|&one| name(one) == found).ok_or_else(|| {
        let words: Vec<&str> = all.iter().map(|&one| name(one)).collect();
        Untold::new(at, found, "is not known here", words.join(", "))
    })
}

/// A slug that must be one of `all`.
pub(super) fn known<'a>(at: &str, found: &str, all: impl Iterator<Item = &'a str>) -> Result<(), Untold> {
    let all: Vec<&str> = all.collect();
    if all.contains(&found) {
        return Ok(());
    }
    let allowed = if all.is_empty() { "the garden has none".to_owned() } else { all.join(", ") };
    Err(Untold::new(at, found, "is not known here", allowed))
}

/// A number that must lie between two others.
pub(super) fn in_range(at: &str, v: f64, low: f64, high: f64, unit: &str) -> Result<f64, Untold> {
    if (low..=high).contains(&v) {
        return Ok(v);
    }
    Err(Untold::new(at, v.to_string(), "cannot be meant", format!("{low} to {high} {unit}")))
}
