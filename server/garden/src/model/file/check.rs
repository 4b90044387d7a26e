//! What every part of a garden file is held against: ranges, words, names and instants.

use propstick_wire::Millis;

use super::{GardenError, wrong};

/// A number must lie within both ends.
pub(super) fn in_range(key: &str, v: f64, low: f64, high: f64) -> Result<(), GardenError> {
    if (low..=high).contains(&v) {
        return Ok(());
    }
    Err(wrong(key, format!("{v} is not between {low} and {high}")))
}

/// A number that is told must lie within both ends.
pub(super) fn maybe_in_range(key: &str, v: Option<f64>, low: f64, high: f64) -> Result<(), GardenError> {
    v.map_or(Ok(()), |v| in_range(key, v, low, high))
}

/// One of the words there are.
pub(super) fn word<T: Copy, const N: usize>(
    key: &str,
    found: &str,
    all: [T; N],
    name: impl Fn(T) -> &'static str,
) -> Result<T, GardenError> {
    all.into_iter().find(|&t| name(t) == found).ok_or_else(|| {
        let allowed = all.map(&name).join(", ");
        wrong(key, format!("{found:?} is not one of {allowed}"))
    })
}

/// A short name that nothing else has.
pub(super) fn slug<'a>(key: &str, found: &str, mut taken: impl Iterator<Item = &'a str>) -> Result<(), GardenError> {
    let fits = !found.is_empty()
        && found.len() <= 40
        && found.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !fits {
        return Err(wrong(key, format!("{found:?}: use a to z, 0 to 9 and '-', at most 40 of them")));
    }
    if taken.any(|t| t == found) {
        return Err(wrong(key, format!("{found:?} is taken already")));
    }
    Ok(())
}

/// A name of something that is there.
pub(super) fn known<'a>(key: &str, found: &str, all: impl Iterator<Item = &'a str> + Clone) -> Result<(), GardenError> {
    if all.clone().any(|a| a == found) {
        return Ok(());
    }
    let list: Vec<&str> = all.collect();
    let list = if list.is_empty() { "there is none yet".to_owned() } else { format!("known: {}", list.join(", ")) };
    Err(wrong(key, format!("{found:?} is not known here; {list}")))
}

/// A stretch of time, from its first instant to the first one after it, if it has ended.
pub(super) fn stretch(key: &str, from: &str, to: Option<&str>) -> Result<(Millis, Option<Millis>), GardenError> {
    let start = instant(&format!("{key}.from"), from)?;
    let end = to.map(|t| instant(&format!("{key}.to"), t)).transpose()?;
    if end.is_some_and(|e| e <= start) {
        return Err(wrong(format!("{key}.to"), "must come after from"));
    }
    Ok((start, end))
}

fn instant(key: &str, text: &str) -> Result<Millis, GardenError> {
    crate::instant::from_rfc3339(text)
        .ok_or_else(|| wrong(key, format!("{text:?} is no instant; expected one like \"2026-03-01T08:00:00Z\"")))
}
