//! Who is there, as it stands in a garden file.

use serde::Deserialize;

use super::{GardenError, wrong};
use crate::model::{Presence, WEEKDAYS};

/// What stands for all weekdays.
const EVERY_DAY: &str = "every day";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PresenceText {
    who: String,
    days: DaysText,
    from: String,
    to: String,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum DaysText {
    One(String),
    Some(Vec<String>),
}

pub(super) fn presence(key: &str, p: &PresenceText) -> Result<Presence, GardenError> {
    if p.who.trim().is_empty() {
        return Err(wrong(format!("{key}.who"), "\"\": a name or a word such as \"neighbour\" was expected"));
    }
    let named: Vec<&str> = match &p.days {
        DaysText::One(word) if word == EVERY_DAY => WEEKDAYS.iter().map(|(_, word)| *word).collect(),
        DaysText::One(word) => vec![word],
        DaysText::Some(words) => words.iter().map(String::as_str).collect(),
    };
    if let Some(other) = named.iter().find(|word| !WEEKDAYS.iter().any(|(_, known)| known == *word)) {
        let known: Vec<&str> = WEEKDAYS.iter().map(|(_, word)| *word).collect();
        let says = format!("{other:?} is not one of {}; for all of them write days = {EVERY_DAY:?}", known.join(", "));
        return Err(wrong(format!("{key}.days"), says));
    }
    let days: Vec<_> = WEEKDAYS.iter().filter(|(_, word)| named.contains(word)).map(|(day, _)| *day).collect();
    if days.is_empty() {
        return Err(wrong(format!("{key}.days"), "is empty: name at least one weekday"));
    }
    let (from_min, to_min) = (minute(&format!("{key}.from"), &p.from)?, minute(&format!("{key}.to"), &p.to)?);
    if from_min >= to_min {
        let says = format!("{:?} must come after from = {:?}; write a night as two of them", p.to, p.from);
        return Err(wrong(format!("{key}.to"), says));
    }
    Ok(Presence { who: p.who.clone(), days, from_min, to_min })
}

/// Minutes since midnight of a time such as "07:30".
fn minute(key: &str, text: &str) -> Result<u32, GardenError> {
    let two = |part: &str| (part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit())).then(|| part.parse().ok());
    let parts = text.split_once(':').and_then(|(h, m)| Some((two(h)??, two(m)??)));
    parts.filter(|&(h, m): &(u32, u32)| m < 60 && h * 60 + m <= 1_440).map(|(h, m)| h * 60 + m).ok_or_else(|| {
        wrong(
            key,
            format!("{text:?} is no time of day; expected one between \"00:00\" and \"24:00\", such as \"07:30\""),
        )
    })
}
