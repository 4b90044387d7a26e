//! When the leaves of a structure were wet, as stretches to be drawn and read out.

use std::collections::BTreeMap;

use propstick_agronomy::coverage::HOUR_MS;
use propstick_agronomy::wetness::hours::{Leaf, WetHour};
use propstick_wire::Millis;

/// What the leaves of a structure were likely like, anywhere in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BandLeaves {
    /// Nothing is known of them.
    Unknown,
    /// At or below 0 °C: neither wet nor drying.
    Frozen,
    /// Dry wherever it is known.
    Dry,
    /// Wet by the humidity sensor's error alone: as read they were not.
    Possible,
    /// Wet as read.
    Likely,
}

impl BandLeaves {
    /// Its word in answers.
    pub const fn word(self) -> &'static str {
        match self {
            BandLeaves::Unknown => "unknown",
            BandLeaves::Frozen => "frozen",
            BandLeaves::Dry => "dry",
            BandLeaves::Possible => "possible",
            BandLeaves::Likely => "likely",
        }
    }

    fn of(hour: &WetHour) -> BandLeaves {
        let leaf = hour.leaf();
        match (leaf.read, leaf.high) {
            (Leaf::Wet, _) => BandLeaves::Likely,
            (_, Leaf::Wet) => BandLeaves::Possible,
            (Leaf::Dry, _) => BandLeaves::Dry,
            (Leaf::Frozen, _) => BandLeaves::Frozen,
            (Leaf::Unknown, _) => BandLeaves::Unknown,
        }
    }
}

/// A stretch in which the leaves stayed as they were.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BandStretch {
    /// Its first instant.
    pub from: Millis,
    /// The first instant after it.
    pub to: Millis,
    /// What the leaves were like.
    pub leaves: BandLeaves,
}

/// How long before now nothing needs to be known yet, ms: the hour that goes on, and a board that reports each quarter of an hour. Our own choice.
const NOT_YET_MS: i64 = HOUR_MS + HOUR_MS / 2;

/// What the leaves were like in `[from, to)` as far as it lies before `now`, by the hours of all spots together: of spots that differ the wettest
/// counts. Stretches follow each other without a hole; an hour nobody knows is unknown, except that the last one before `now` is left out.
pub fn leaf_band(spots: &[&[WetHour]], (from, to): (Millis, Millis), now: Millis) -> Vec<BandStretch> {
    let to = to.min(now);
    let mut hours: BTreeMap<i64, BandLeaves> = BTreeMap::new();
    for hour in spots.iter().flat_map(|hours| hours.iter()) {
        let leaves = hours.entry(hour.from_ms).or_insert(BandLeaves::Unknown);
        *leaves = (*leaves).max(BandLeaves::of(hour));
    }
    let mut band = Vec::new();
    let mut at = from;
    for (hour, leaves) in hours {
        let (begins, ends) = (Millis(hour).max(from), Millis(hour + HOUR_MS).min(to));
        if ends > begins {
            push(&mut band, at, begins, BandLeaves::Unknown);
            push(&mut band, begins, ends, leaves);
            at = ends;
        }
    }
    push(&mut band, at, to, BandLeaves::Unknown);
    let not_yet =
        |last: &BandStretch| last.leaves == BandLeaves::Unknown && last.to == now && now.since(last.from) <= NOT_YET_MS;
    if band.last().is_some_and(not_yet) {
        band.pop();
    }
    band
}

fn push(band: &mut Vec<BandStretch>, from: Millis, to: Millis, leaves: BandLeaves) {
    if to <= from {
        return;
    }
    match band.last_mut() {
        Some(last) if last.leaves == leaves && last.to == from => last.to = to,
        _ => band.push(BandStretch { from, to, leaves }),
    }
}

#[cfg(test)]
mod tests {
    use super::BandLeaves::{Dry, Frozen, Likely, Possible, Unknown};
    use super::*;
    use propstick_agronomy::runs::Runs;

    const ALL: i64 = HOUR_MS;

    fn hour(k: i64, wet_ms: (i64, i64, i64), t_c: f64) -> WetHour {
        let (low, read, high) = wet_ms;
        let wet_ms = Runs { low, read, high };
        WetHour { covered_ms: HOUR_MS, wet_ms, t_c: Some(t_c), ..WetHour::unknown(k * HOUR_MS) }
    }

    fn band(spots: &[&[WetHour]], from_h: i64, to_h: i64, now_min: i64) -> Vec<(f64, f64, BandLeaves)> {
        let span = (Millis(from_h * HOUR_MS), Millis(to_h * HOUR_MS));
        let hours = |at: Millis| at.0 as f64 / HOUR_MS as f64;
        let found = leaf_band(spots, span, Millis(now_min * 60_000));
        found.into_iter().map(|s| (hours(s.from), hours(s.to), s.leaves)).collect()
    }

    #[test]
    fn hours_alike_are_one_stretch_and_those_nobody_knows_are_unknown() {
        let hours = [
            hour(0, (ALL, ALL, ALL), 8.0),
            hour(1, (0, ALL, ALL), 8.0),
            hour(2, (0, 0, ALL), 8.0),
            hour(3, (0, 0, 0), 8.0),
            hour(6, (ALL, ALL, ALL), -1.0),
        ];
        let wanted =
            vec![(0.0, 2.0, Likely), (2.0, 3.0, Possible), (3.0, 4.0, Dry), (4.0, 6.0, Unknown), (6.0, 7.0, Frozen)];
        assert_eq!(band(&[&hours], 0, 24, 7 * 60), wanted);
        assert_eq!(band(&[], 0, 2, 48 * 60), vec![(0.0, 2.0, Unknown)]);
    }

    #[test]
    fn wettest_spot_counts_and_a_spot_that_knows_nothing_takes_nothing_away() {
        let (wet, dry) = ([hour(0, (0, 0, ALL), 8.0)], [hour(0, (0, 0, 0), 8.0), hour(1, (0, 0, 0), 8.0)]);
        let unknown = [WetHour::unknown(HOUR_MS)];
        assert_eq!(band(&[&dry, &wet, &unknown], 0, 2, 120), vec![(0.0, 1.0, Possible), (1.0, 2.0, Dry)]);
    }

    #[test]
    fn nothing_is_said_of_what_is_to_come_and_the_running_hour_is_no_gap_until_it_is_long() {
        let hours = [hour(0, (ALL, ALL, ALL), 8.0)];
        assert_eq!(band(&[&hours], 0, 24, 30), vec![(0.0, 0.5, Likely)], "cut off at now");
        assert_eq!(band(&[&hours], 0, 24, 60 + 90), vec![(0.0, 1.0, Likely)]);
        assert_eq!(band(&[&hours], 0, 24, 60 + 91), vec![(0.0, 1.0, Likely), (1.0, 151.0 / 60.0, Unknown)]);
        assert_eq!(band(&[&hours], 0, 2, 600), vec![(0.0, 1.0, Likely), (1.0, 2.0, Unknown)], "a stretch long past");
        assert_eq!(band(&[&hours], 5, 24, 60), vec![], "all of it is to come");
    }
}
