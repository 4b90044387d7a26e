//! What is kept in mind of one series while it is read: never more than a table of its step lengths.

use std::collections::BTreeMap;

use propstick_wire::Millis;

use crate::table::SeriesReport;
use crate::took::SeriesKind;

/// So many different lengths of steps are told apart; further ones count for the next longer that is known.
const MOST_STEPS: usize = 2048;

#[derive(Debug, Default)]
pub(super) struct Seen {
    n: u64,
    first: Option<Millis>,
    last: Option<Millis>,
    before: Option<Millis>,
    min: f64,
    max: f64,
    /// How often each length of a step occurs, in milliseconds.
    steps: BTreeMap<i64, u64>,
    longest: Option<(Millis, Millis)>,
}

impl Seen {
    /// Takes a reading in the order of the file; gives by how many milliseconds its time goes back, if it does.
    pub(super) fn add(&mut self, at: Millis, v: f64) -> Option<i64> {
        let is_first = self.n == 0;
        self.n += 1;
        self.first = Some(self.first.map_or(at, |t| t.min(at)));
        self.last = self.last.max(Some(at));
        self.min = if is_first { v } else { self.min.min(v) };
        self.max = if is_first { v } else { self.max.max(v) };
        let before = self.before.replace(at)?;
        let step = at.since(before);
        if step < 0 {
            return Some(-step);
        }
        if step > 0 {
            let length = match self.steps.len() < MOST_STEPS || self.steps.contains_key(&step) {
                true => step,
                false => *self.steps.range(step..).next().map_or(self.steps.last_key_value()?.0, |(length, _)| length),
            };
            *self.steps.entry(length).or_default() += 1;
            if self.longest.is_none_or(|(from, to)| step > to.since(from)) {
                self.longest = Some((before, at));
            }
        }
        None
    }

    /// Its part of the report; the names in it are empty.
    pub(super) fn report(&self) -> SeriesReport {
        let cadence = self.median_step_ms();
        // Over 2.5 cadences is a gap, here as in the house.
        let is_gap = |step: i64| cadence.is_some_and(|c| step.saturating_mul(2) > c.saturating_mul(5));
        SeriesReport {
            device: String::new(),
            channel: String::new(),
            unit: String::new(),
            kind: SeriesKind::Instant,
            n: self.n,
            first: self.first,
            last: self.last,
            cadence_s: cadence.map(|ms| (ms + 500) / 1_000),
            gaps: self.steps.iter().filter(|(step, _)| is_gap(**step)).map(|(_, times)| times).sum(),
            longest_gap: self.longest.filter(|(from, to)| is_gap(to.since(*from))),
            min: self.min,
            max: self.max,
        }
    }

    fn median_step_ms(&self) -> Option<i64> {
        let half = self.steps.values().sum::<u64>().div_ceil(2);
        let mut so_far = 0;
        self.steps.iter().find_map(|(step, times)| {
            so_far += times;
            (so_far >= half).then_some(*step)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn series_with_a_hole_and_a_step_back_has_its_cadence_its_gap_and_its_ends() {
        let mut seen = Seen::default();
        let mut backs = Vec::new();
        for minutes in [0, 5, 10, 15, 40, 45, 44, 49] {
            backs.extend(seen.add(Millis(minutes * 60_000), -(minutes as f64)));
        }
        let r = seen.report();
        assert_eq!((r.n, r.first, r.last), (8, Some(Millis(0)), Some(Millis(49 * 60_000))));
        assert_eq!((r.cadence_s, r.gaps), (Some(300), 1));
        assert_eq!(r.longest_gap, Some((Millis(15 * 60_000), Millis(40 * 60_000))));
        assert_eq!((r.min, r.max), (-49.0, 0.0));
        assert_eq!(backs, [60_000]);
    }

    #[test]
    fn lengths_of_steps_do_not_grow_with_the_file() {
        let mut seen = Seen::default();
        let mut at = 0;
        for k in 1..10_000 {
            at += k;
            seen.add(Millis(at), 1.0);
        }
        assert_eq!(seen.steps.len(), MOST_STEPS);
        assert_eq!(seen.steps.values().sum::<u64>(), 9_998);
    }
}
