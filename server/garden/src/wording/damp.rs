//! Damp in sentences: how wet leaves likely are, the risk by crop group as a level and what drives it, and where the week stands. Never a number for
//! the risk, and never a word about openings: those have their own rules.

use propstick_agronomy::disease::rows::Disease;
use propstick_agronomy::risk::groups::CropGroup;
use propstick_agronomy::risk::level::{Freshness, Level};
use propstick_agronomy::wetness::hours::Leaf;

use super::counts::count;
use super::level::level_to_do;
use crate::fold::{Figure, Why};
use crate::season::{GroupRisk, WeekStanding};

/// What damp is told of.
#[derive(Clone, Copy, Debug)]
pub struct DampHere<'a> {
    /// What leaves are likely like now.
    pub leaves: Leaf,
    /// Wet hours of the last 24, at the wettest spot.
    pub hours_24: Figure,
    /// Risk by crop group after the last noon-day that is over.
    pub risks: &'a [GroupRisk<'a>],
    /// Risk after the noon-day before that, where it is known.
    pub before: &'a [GroupRisk<'a>],
}

/// Damp as it is said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DampWords {
    /// Whether leaves are wet now, and how long they were.
    pub leaves: String,
    /// Risk by level, the highest first, with what to do to the plants.
    pub risks: Vec<RiskWords>,
    /// What the levels hang on, if anything.
    pub doubt: Option<String>,
    /// The risks that have changed, or are raised where they were not known before or where disease was found, or that none is known any more; none
    /// where there is no such news.
    pub short: Option<String>,
    /// "wet 11 to 15 h of 24", where that is known and above none.
    pub hours: Option<String>,
}

/// The risk of the crop groups of one level, in a sentence or two.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiskWords {
    /// The level; none where it is not known.
    pub level: Option<Level>,
    /// What is said of it.
    pub says: String,
}

/// The sentences of damp.
pub fn damp_words(here: DampHere<'_>) -> DampWords {
    DampWords {
        leaves: leaves(here),
        risks: risks(here),
        doubt: doubt(here.risks),
        short: short(here),
        hours: hours_short(&here.hours_24),
    }
}

/// "This week has been damper than seven of the nine other January weeks on record here: about 14 wet hours a day."
pub fn week_words(week: &WeekStanding) -> String {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let month = MONTHS.get((week.month as usize).wrapping_sub(1)).unwrap_or(&"such");
    let weeks = week.among.read.weeks();
    let drier = week.among.map(|place| place.drier);
    let (least, most) = (drier.low.min(drier.read).min(drier.high), drier.low.max(drier.read).max(drier.high));
    let of = format!("the {} other {month} weeks on record here", count(weeks));
    let place = match (least, most) {
        (least, _) if least == weeks => format!("damper than any of {of}"),
        (_, 0) => format!("no damper than any of {of}"),
        (least, most) if least == most => format!("damper than {} of {of}", count(least)),
        (least, most) => format!("damper than {} to {} of {of}", count(least), count(most)),
    };
    let h = week.wet_h_day;
    let (low, high) = (whole(h.low.min(h.high)), whole(h.low.max(h.high)));
    let hours = if low == high { format!("about {low}") } else { format!("{low} to {high}") };
    format!("This week has been {place}: {hours} wet hours a day.")
}

fn whole(hours: f64) -> i64 {
    hours.round() as i64
}

fn leaves(here: DampHere<'_>) -> String {
    let now = match here.leaves {
        Leaf::Wet => "Leaves are likely wet now",
        Leaf::Dry => "Leaves are likely dry now",
        Leaf::Frozen => "Leaves are likely frozen now",
        Leaf::Unknown => "Whether leaves are wet now is not known",
    };
    let Some((low, high)) = hours(&here.hours_24) else {
        let why = match here.hours_24.unknown {
            Some(Why::NotMeasured) => "nothing here measures temperature and humidity together",
            Some(Why::NoReading) => "there is no reading yet",
            Some(Why::Stale) => "the readings are too old",
            _ => "too little was measured",
        };
        return match here.leaves {
            Leaf::Unknown => format!("{now}, nor how long they were: {why}."),
            _ => format!("{now}. How long they were wet in the last 24 hours is not known: {why}."),
        };
    };
    let said = match (low, high, here.leaves) {
        (_, 0, Leaf::Wet) => format!("{now}, but were not in the last 24 hours"),
        (_, 0, _) => format!("{now}; they were not wet in the last 24 hours"),
        (24.., ..) => format!("{now}; they were wet all the last 24 hours"),
        _ => format!("{now}; they were wet for {} of the last 24 hours", range(low, high)),
    };
    let sensor = if high - low >= WIDE_H { "; the humidity sensor decides" } else { "" };
    format!("{said}{sensor}.")
}

/// Hours apart from which it is said that the sensor decides.
const WIDE_H: i64 = 3;

/// Least and most whole hours; none where unknown.
fn hours(figure: &Figure) -> Option<(i64, i64)> {
    let value = figure.value?;
    let (low, high) = (figure.low.unwrap_or(value).min(value), figure.high.unwrap_or(value).max(value));
    Some((whole(low), whole(high)))
}

fn range(low: i64, high: i64) -> String {
    match (low, high) {
        (0, high) => format!("up to {high}"),
        (low, high) if low == high => format!("about {low}"),
        (low, high) => format!("{low} to {high}"),
    }
}

fn risks(here: DampHere<'_>) -> Vec<RiskWords> {
    let mut all = Vec::new();
    for level in Level::ALL.into_iter().rev() {
        let of_level: Vec<&GroupRisk<'_>> = here.risks.iter().filter(|r| r.shown.level == Some(level)).collect();
        if !of_level.is_empty() {
            let to_do = level_to_do(level, here.leaves).map(|what| format!(" {what}")).unwrap_or_default();
            let says = format!("{}.{to_do}", at_level(level, &of_level, here.before));
            all.push(RiskWords { level: Some(level), says });
        }
    }
    let unknown: Vec<String> =
        here.risks.iter().filter(|r| r.shown.level.is_none()).map(|r| crop(r.group).to_string()).collect();
    if !unknown.is_empty() {
        let says = format!("Risk not known for {}: too little was measured in the last days.", listed(&unknown));
        all.push(RiskWords { level: None, says });
    }
    all
}

/// "High risk: downy mildew on lettuce (up from some) and spinach, grey mould on tomatoes".
fn at_level(level: Level, risks: &[&GroupRisk<'_>], before: &[GroupRisk<'_>]) -> String {
    let mut by_disease: Vec<(&str, Vec<String>)> = Vec::new();
    for risk in risks {
        let on = match changed(risk, before) {
            Some(was) if was < level => format!("{} (up from {})", crop(risk.group), level_word(was)),
            Some(was) => format!("{} (down from {})", crop(risk.group), level_word(was)),
            None => crop(risk.group).to_string(),
        };
        let what = disease(risk.by);
        match by_disease.iter_mut().find(|(named, _)| *named == what) {
            Some((_, crops)) => crops.push(on),
            None => by_disease.push((what, vec![on])),
        }
    }
    let what: Vec<String> = by_disease.iter().map(|(what, crops)| format!("{what} on {}", listed(crops))).collect();
    let head = match level {
        Level::Low => "Little risk",
        Level::Some => "Some risk",
        Level::Raised => "Raised risk",
        Level::High => "High risk",
    };
    format!("{head}: {}", what.join("; "))
}

/// The level before, where it was another.
fn changed(risk: &GroupRisk<'_>, before: &[GroupRisk<'_>]) -> Option<Level> {
    let was = before.iter().find(|b| b.group == risk.group)?.shown.level?;
    (risk.shown.level? != was).then_some(was)
}

fn doubt(risks: &[GroupRisk<'_>]) -> Option<String> {
    let known = || risks.iter().filter(|r| r.shown.level.is_some());
    let mut all = Vec::new();
    // Groups that may stand anywhere within the same range are told together.
    let mut ranges: Vec<((Level, Level), Vec<String>)> = Vec::new();
    for risk in known().filter(|r| r.shown.range.0 != r.shown.range.1) {
        match ranges.iter_mut().find(|(range, _)| *range == risk.shown.range) {
            Some((_, crops)) => crops.push(crop(risk.group).to_string()),
            None => ranges.push((risk.shown.range, vec![crop(risk.group).to_string()])),
        }
    }
    let ranges: Vec<String> = ranges
        .iter()
        .map(|((low, high), crops)| format!("{} to {} for {}", level_word(*low), level_word(*high), listed(crops)))
        .collect();
    if !ranges.is_empty() {
        all.push(format!("The humidity sensor decides: it may be {}.", ranges.join(", ")));
    }
    if known().any(|r| r.shown.freshness == Freshness::Stale) {
        all.push("The last day was not measured well enough, so this is how it stood before.".to_string());
    }
    let found: Vec<String> = known().filter(|r| r.found_lately).map(|r| crop(r.group).to_string()).collect();
    if !found.is_empty() {
        all.push(format!("Disease was found here lately, so {} counts one level higher.", listed(&found)));
    }
    (!all.is_empty()).then(|| all.join(" "))
}

fn short(here: DampHere<'_>) -> Option<String> {
    if !here.risks.is_empty() && here.risks.iter().all(|r| r.shown.level.is_none()) {
        let was_known = here.before.iter().any(|r| r.shown.level.is_some());
        return was_known
            .then(|| "Damp risk is no longer known: too little was measured in the last days.".to_string());
    }
    let mut parts = Vec::new();
    for level in Level::ALL.into_iter().rev() {
        let was_known = |r: &GroupRisk<'_>| here.before.iter().any(|b| b.group == r.group && b.shown.level.is_some());
        // A level that stands for weeks says nothing any more: what changed does, what is raised when it is first known, and where disease was found.
        let is_news = |r: &GroupRisk<'_>| {
            changed(r, here.before).is_some() || (level >= Level::Raised && (r.found_lately || !was_known(r)))
        };
        let told = |r: &&GroupRisk<'_>| r.shown.level == Some(level) && is_news(r);
        let of_level: Vec<&GroupRisk<'_>> = here.risks.iter().filter(told).collect();
        if !of_level.is_empty() {
            parts.push(format!("{}.", at_level(level, &of_level, here.before)));
        }
    }
    (!parts.is_empty()).then(|| parts.join(" "))
}

fn hours_short(hours_24: &Figure) -> Option<String> {
    let (low, high) = hours(hours_24)?;
    (high > 0).then(|| format!("wet {} h of 24", range(low, high).trim_start_matches("about ")))
}

/// "lettuce", "lettuce and spinach", "lettuce, spinach and onions".
pub(super) fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

const fn level_word(level: Level) -> &'static str {
    match level {
        Level::Low => "little",
        Level::Some => "some",
        Level::Raised => "raised",
        Level::High => "high",
    }
}

/// A crop group as it is said.
const fn crop(group: CropGroup) -> &'static str {
    match group {
        CropGroup::Lettuce => "lettuce",
        CropGroup::Spinach => "spinach",
        CropGroup::Brassica => "brassicas",
        CropGroup::Onion => "onions",
        CropGroup::Tomato => "tomatoes",
        CropGroup::Cucurbit => "cucumbers",
        CropGroup::PeaBean => "peas and beans",
        CropGroup::Seedling => "seedlings",
    }
}

/// A disease as it is said beside the crop that has it.
const fn disease(disease: Disease) -> &'static str {
    match disease {
        Disease::LettuceDownyMildew
        | Disease::SpinachDownyMildew
        | Disease::BrassicaDownyMildew
        | Disease::OnionDownyMildew
        | Disease::CucurbitDownyMildew => "downy mildew",
        Disease::SpinachWhiteRust => "white rust",
        Disease::WhiteBlister => "white blister",
        Disease::DarkLeafSpot => "dark leaf spot",
        Disease::OnionLeafBlight => "leaf blight",
        Disease::GreyMould => "grey mould",
        Disease::LateBlight => "blight",
        Disease::BeanRust => "rust",
    }
}

#[cfg(test)]
mod tests;
