//! What is kept of a series while its file is read: counts, ends and steps, in room that does not grow with it.

use std::collections::HashMap;

use propstick_wire::Millis;

use crate::table::report::SeriesReport;
use crate::took::SeriesKey;

/// Different steps that are told apart before they are rounded.
const MAX_STEPS: usize = 4096;
/// Stretches of ascending times without a hole that are told apart.
const MAX_RUNS: usize = 4096;
/// After so many readings, and after each four times as many, it is looked what a hole is.
const LOOK_AT: u64 = 32;

/// The running counts of one series.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    /// Its identity.
    pub key: SeriesKey,
    n: u64,
    min: f64,
    max: f64,
    /// The reading before, in the order of the file.
    pub last: Option<(Millis, f64)>,
    runs: Vec<(i64, i64)>,
    steps: Steps,
    longest: (i64, i64),
    /// A step longer than this begins a new stretch: another stretch may fill the hole.
    hole: i64,
    /// The steps that began one.
    holes: Vec<i64>,
    look_at: u64,
    /// Whether the last stretch runs from late to early.
    is_down: bool,
}

impl Tally {
    pub(super) fn new(key: SeriesKey) -> Tally {
        Tally {
            key,
            n: 0,
            min: f64::INFINITY,
            max: f64::NEG_INFINITY,
            last: None,
            runs: Vec::new(),
            steps: Steps::default(),
            longest: (0, 0),
            hole: i64::MAX,
            holes: Vec::new(),
            look_at: LOOK_AT,
            is_down: false,
        }
    }

    pub(super) fn take(&mut self, t: Millis, v: f64) {
        self.n += 1;
        self.min = self.min.min(v);
        self.max = self.max.max(v);
        self.last = Some((t, v));
        if self.n == self.look_at {
            self.look_at *= 4;
            self.hole = self.steps.median().map_or(i64::MAX, |cadence| cadence.saturating_mul(5) / 2);
        }
        let has_room = self.runs.len() < MAX_RUNS;
        match self.runs.last_mut() {
            Some((from, until)) if t.0 < *from && (self.is_down || from == until) => {
                let step = *from - t.0;
                self.is_down = true;
                self.steps.take(step);
                if step > self.hole && has_room {
                    self.holes.push(step);
                    self.runs.push((t.0, t.0));
                    return;
                }
                if step > self.longest.1 - self.longest.0 {
                    self.longest = (t.0, *from);
                }
                *from = t.0;
            }
            Some((_, until)) if t.0 == *until || (t.0 > *until && !self.is_down) => {
                let step = t.0 - *until;
                if step > 0 {
                    self.steps.take(step);
                    if step > self.hole && has_room {
                        self.holes.push(step);
                        self.runs.push((t.0, t.0));
                        return;
                    }
                    if step > self.longest.1 - self.longest.0 {
                        self.longest = (*until, t.0);
                    }
                }
                *until = t.0;
            }
            _ if has_room => {
                self.is_down = false;
                self.runs.push((t.0, t.0));
            }
            Some((from, until)) => {
                *from = t.0.min(*from);
                *until = t.0.max(*until);
            }
            None => {}
        }
    }

    /// The first and last instant in time.
    pub(super) fn ends(&self) -> Option<(Millis, Millis)> {
        let from = self.runs.iter().map(|run| run.0).min()?;
        let until = self.runs.iter().map(|run| run.1).max()?;
        Some((Millis(from), Millis(until)))
    }

    /// The report. Gaps are the steps of over 2.5 cadences within each stretch of ascending times, and the holes that no stretch covers.
    pub(super) fn report(mut self) -> SeriesReport {
        let ends = self.ends();
        let cadence = self.steps.median();
        let mut gaps = 0;
        let mut longest = self.longest;
        if let Some(cadence) = cadence {
            // Steps that began a new stretch are looked at as holes between stretches.
            let begun = self.holes.iter().filter(|step| 2 * **step > 5 * cadence).count() as u64;
            gaps = self.steps.gaps(cadence).saturating_sub(begun);
            self.runs.sort_unstable();
            let mut covered = self.runs.first().map_or(0, |run| run.1);
            for (from, until) in self.runs {
                if 2 * (from - covered) > 5 * cadence {
                    gaps += 1;
                    if from - covered > longest.1 - longest.0 {
                        longest = (covered, from);
                    }
                }
                covered = covered.max(until);
            }
        }
        SeriesReport {
            device: self.key.device,
            channel: self.key.channel,
            unit: self.key.unit_sent,
            kind: self.key.kind,
            n: self.n,
            first: ends.map(|ends| ends.0),
            last: ends.map(|ends| ends.1),
            cadence_s: cadence.map(|ms| (ms + 500) / 1000),
            gaps,
            longest_gap: (gaps > 0).then_some((Millis(longest.0), Millis(longest.1))),
            min: self.min,
            max: self.max,
        }
    }
}

/// How often each step occurs, in milliseconds; rounded down to a coarser grid once they are too many.
#[derive(Clone, Debug)]
struct Steps {
    grid: i64,
    counts: HashMap<i64, u64>,
    /// The step of late, whose count is not in `counts` yet.
    late: (i64, u64),
}

impl Default for Steps {
    fn default() -> Steps {
        Steps { grid: 1, counts: HashMap::new(), late: (0, 0) }
    }
}

impl Steps {
    fn take(&mut self, step: i64) {
        if self.late.0 != step {
            self.settle();
            self.late = (step, 0);
        }
        self.late.1 += 1;
    }

    fn settle(&mut self) {
        if self.late.1 > 0 {
            *self.counts.entry(self.late.0 / self.grid * self.grid).or_default() += self.late.1;
            self.late.1 = 0;
        }
        while self.counts.len() > MAX_STEPS {
            self.grid *= 10;
            for (step, times) in std::mem::take(&mut self.counts) {
                *self.counts.entry(step / self.grid * self.grid).or_default() += times;
            }
        }
    }

    /// The middle step; the lower of two.
    fn median(&mut self) -> Option<i64> {
        self.settle();
        let mut all: Vec<(i64, u64)> = self.counts.iter().map(|(step, times)| (*step, *times)).collect();
        all.sort_unstable();
        let total: u64 = all.iter().map(|(_, times)| times).sum();
        let mut before = 0;
        for (step, times) in all {
            before += times;
            if 2 * before >= total {
                return Some(step);
            }
        }
        None
    }

    /// Steps of over 2.5 cadences.
    fn gaps(&self, cadence: i64) -> u64 {
        self.counts.iter().filter(|(step, _)| 2 * **step > 5 * cadence).map(|(_, times)| times).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::took::{DeviceKind, SeriesKind};
    use propstick_wire::millis::MINUTE;

    fn tally() -> Tally {
        Tally::new(SeriesKey {
            device: "urn:propstick:a".to_owned(),
            device_kind: DeviceKind::File,
            mapping: Some("a".to_owned()),
            channel: "light".to_owned(),
            unit_sent: "W/m2".to_owned(),
            kind: SeriesKind::Instant,
            span_s: 0,
            stamp_end: false,
        })
    }

    fn report_of(minutes: &[i64]) -> SeriesReport {
        let mut tally = tally();
        minutes.iter().for_each(|at| tally.take(Millis(at * MINUTE), *at as f64));
        tally.report()
    }

    #[test]
    fn logger_begun_anew_with_its_clock_an_hour_back_leaves_no_gap_where_it_measured_before() {
        // Every quarter of an hour for a day; then one stamp 57 minutes back, and on in step behind the last: as three real files have it.
        let mut tally = tally();
        (0..96).for_each(|k| tally.take(Millis(k * 15 * MINUTE), 1.0));
        tally.take(Millis((95 * 15 - 57) * MINUTE), 1.0);
        (96..192).for_each(|k| tally.take(Millis(k * 15 * MINUTE), 1.0));
        let report = tally.report();
        assert_eq!((report.cadence_s, report.gaps, report.longest_gap), (Some(900), 0, None));
    }

    #[test]
    fn file_that_begins_with_the_newest_row_has_its_cadence_and_its_gaps() {
        let mut tally = tally();
        (0..200).filter(|k| !(50..60).contains(k)).rev().for_each(|k| tally.take(Millis(k * 15 * MINUTE), 1.0));
        let report = tally.report();
        let at = |k: i64| Millis(k * 15 * MINUTE);
        assert_eq!((report.cadence_s, report.gaps, report.longest_gap), (Some(900), 1, Some((at(49), at(60)))));
    }

    #[test]
    fn gap_that_a_later_part_of_the_file_fills_is_none() {
        let mut tally = tally();
        (0..96).chain(192..288).chain(96..192).for_each(|k| tally.take(Millis(k * 15 * MINUTE), 1.0));
        assert_eq!(tally.report().gaps, 0);
    }

    #[test]
    fn gaps_are_steps_of_over_two_and_a_half_cadences() {
        let report = report_of(&[0, 10, 20, 30, 55, 65, 91, 101]);
        assert_eq!((report.n, report.cadence_s, report.gaps), (8, Some(600), 1));
        assert_eq!(report.longest_gap, Some((Millis(65 * MINUTE), Millis(91 * MINUTE))));
        assert_eq!((report.first, report.last), (Some(Millis(0)), Some(Millis(101 * MINUTE))));
        assert_eq!((report.min, report.max), (0.0, 101.0));
    }

    #[test]
    fn one_reading_or_none_but_the_same_has_no_cadence() {
        assert_eq!((report_of(&[7]).cadence_s, report_of(&[7]).gaps), (None, 0));
        assert_eq!((report_of(&[7, 7]).cadence_s, report_of(&[7, 7]).longest_gap), (None, None));
    }

    #[test]
    fn stretches_out_of_order_are_put_in_order_before_holes_are_counted() {
        // The later stretch first, then one that begins before it and overlaps its beginning, then one long before.
        let report = report_of(&[100, 110, 120, 90, 95, 105, 0, 10, 20]);
        assert_eq!((report.cadence_s, report.gaps), (Some(600), 1));
        assert_eq!(report.longest_gap, Some((Millis(20 * MINUTE), Millis(90 * MINUTE))));
        assert_eq!((report.first, report.last), (Some(Millis(0)), Some(Millis(120 * MINUTE))));
    }

    #[test]
    fn steps_of_all_lengths_stay_within_their_room() {
        let mut tally = tally();
        let mut at = 0;
        for number in 0..40_000_i64 {
            at += 600_000 + number * 7 % 39_989;
            tally.take(Millis(at), 1.0);
        }
        assert!(tally.steps.counts.len() <= MAX_STEPS);
        let report = tally.report();
        assert_eq!((report.cadence_s, report.gaps), (Some(620), 0));
    }
}
