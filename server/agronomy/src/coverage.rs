//! How much of an hour was measured, and what was measured in it. A gap stays a gap.

use alloc::vec::Vec;

/// Milliseconds in an hour.
pub const HOUR_MS: i64 = 3_600_000;
/// Milliseconds before an hour's end that decide its cadence.
pub const CADENCE_WINDOW_MS: i64 = 24 * HOUR_MS;
/// How far back before the first hour asked for samples must be given for its figures to be exact: a sample reaches one and a half
/// cadences, at most as long as the window is, and its own cadence takes a window more.
pub const LOOK_BACK_MS: i64 = CADENCE_WINDOW_MS / 2 * 5;
/// The cadence of a series that has shown none yet: ten minutes. Our own choice.
pub const CADENCE_UNKNOWN_MS: i64 = 600_000;

/// A value at an instant: milliseconds since 1970 UTC, and the value in the quantity's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Instant, ms.
    pub t_ms: i64,
    /// Value.
    pub v: f64,
}

/// What one hour holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourCell {
    /// First instant of the hour, ms.
    pub from_ms: i64,
    /// Samples in it.
    pub n: u32,
    /// Milliseconds of it that were covered by a sample, 0 to 3,600,000.
    pub covered_ms: i64,
    /// Smallest value; meaningless where `n` is 0.
    pub min: f64,
    /// Greatest value; meaningless where `n` is 0.
    pub max: f64,
    /// Sum of the values, 0 where `n` is 0.
    pub sum: f64,
}

impl HourCell {
    /// Mean of the samples of the hour; none without a sample.
    pub fn mean(&self) -> Option<f64> {
        (self.n > 0).then(|| self.sum / f64::from(self.n))
    }
}

/// The hours `from_ms + k * 1 h`, k = 0..`hours`, of a series.
///
/// **Shape**: `samples` ascend in time and reach from [`LOOK_BACK_MS`] before `from_ms` to the first sample after the last hour;
/// the result has one cell for every hour asked for, empty ones included. A sample at exactly a boundary begins the new hour.
/// A sample covers until the next one, at most 1.5 cadences; the cadence of its hour is the median step between samples in the
/// 24 h before that hour's end ([`CADENCE_UNKNOWN_MS`] where there was no step). Nothing is interpolated.
/// A value that is no number is as if it were not there, but that the sample before it reaches no further.
/// **Source**: the rule of this project's design, section derived.db; no publication.
pub fn hour_cells(samples: &[Sample], from_ms: i64, hours: usize) -> Vec<HourCell> {
    let mut cells: Vec<HourCell> = (0..hours).map(|k| empty_cell(from_ms + k as i64 * HOUR_MS)).collect();
    let to_ms = from_ms + hours as i64 * HOUR_MS;
    // Only the last sample before the first hour can reach into it.
    let first = samples.partition_point(|s| s.t_ms < from_ms).saturating_sub(1);
    let mut cadence = HourCadence { window: CadenceWindow::new(samples), hour_end: i64::MIN, ms: CADENCE_UNKNOWN_MS };
    for (i, s) in samples.iter().enumerate().skip(first) {
        if s.t_ms >= to_ms {
            break;
        }
        if !is_number(s.v) {
            continue;
        }
        let reach = s.t_ms + cadence.of_hour_of(s.t_ms, from_ms) * 3 / 2;
        let end = samples.get(i + 1).map_or(reach, |next| next.t_ms.min(reach));
        if s.t_ms >= from_ms {
            let cell = &mut cells[((s.t_ms - from_ms) / HOUR_MS) as usize];
            cell.n += 1;
            cell.sum += s.v;
            cell.min = cell.min.min(s.v);
            cell.max = cell.max.max(s.v);
        }
        cover(&mut cells, from_ms, s.t_ms.max(from_ms), end.min(to_ms));
    }
    cells
}

/// A sum or mean over an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// First instant of the interval, ms.
    pub start_ms: i64,
    /// Its length, ms, above 0.
    pub span_ms: i64,
    /// Sum or mean, in the quantity's unit.
    pub v: f64,
}

/// The hours `from_ms + k * 1 h`, k = 0..`hours`, of sums or means over intervals of at most an hour.
///
/// **Shape**: in any order, each interval once; the result has one cell for every hour asked for, empty ones included. An interval belongs as a whole
/// to the hour in which it starts and covers its length there, all of them together at most the hour. `min`, `max` and `sum` are those of the values; one that is no number is left out.
/// **Source**: the rule of this project's design, section derived.db; no publication.
pub fn interval_cells(intervals: &[Interval], from_ms: i64, hours: usize) -> Vec<HourCell> {
    let mut cells: Vec<HourCell> = (0..hours).map(|k| empty_cell(from_ms + k as i64 * HOUR_MS)).collect();
    for i in intervals.iter().filter(|i| i.start_ms >= from_ms && is_number(i.v)) {
        let Some(cell) = cells.get_mut(((i.start_ms - from_ms) / HOUR_MS) as usize) else { continue };
        cell.n += 1;
        cell.covered_ms = (cell.covered_ms + i.span_ms).min(HOUR_MS);
        cell.min = cell.min.min(i.v);
        cell.max = cell.max.max(i.v);
        cell.sum += i.v;
    }
    cells
}

/// Median step of the samples whose later end lies in `[until_ms - 24 h, until_ms)`; none where there is no step.
///
/// **Shape**: `samples` ascend in time. With an even number of steps the greater of the middle two.
pub fn cadence_ms(samples: &[Sample], until_ms: i64) -> Option<i64> {
    CadenceWindow::new(samples).before(until_ms)
}

/// [`cadence_ms`] of one hour after another, quick where most steps are alike: what it answers is the same, in whatever order it is asked.
///
/// ```
/// use propstick_agronomy::coverage::{CadenceWindow, HOUR_MS, Sample, cadence_ms};
/// let samples: Vec<Sample> = (0..300).map(|k| Sample { t_ms: k * 600_000, v: 8.0 }).collect();
/// let mut window = CadenceWindow::new(&samples);
/// assert!((1..60).all(|h| window.before(h * HOUR_MS) == cadence_ms(&samples, h * HOUR_MS)));
/// ```
#[derive(Clone, Debug)]
pub struct CadenceWindow<'a> {
    samples: &'a [Sample],
    /// First sample of the window and first one after it.
    from: usize,
    to: usize,
    /// A step, and how many of the window's are as long.
    usual: i64,
    as_usual: usize,
    steps: Vec<i64>,
}

impl<'a> CadenceWindow<'a> {
    /// Over `samples`, which ascend in time.
    pub const fn new(samples: &'a [Sample]) -> CadenceWindow<'a> {
        CadenceWindow { samples, from: 0, to: 0, usual: 0, as_usual: 0, steps: Vec::new() }
    }

    /// The median step in `[until_ms - 24 h, until_ms)`, as [`cadence_ms`] has it.
    pub fn before(&mut self, until_ms: i64) -> Option<i64> {
        let from_ms = until_ms.saturating_sub(CADENCE_WINDOW_MS);
        let samples = self.samples;
        let moved_on =
            samples.get(self.to.wrapping_sub(1)).is_some_and(|last| (from_ms..until_ms).contains(&last.t_ms));
        if !moved_on || self.from > 0 && samples[self.from - 1].t_ms >= from_ms {
            self.to = samples.partition_point(|s| s.t_ms < until_ms);
            self.from = samples[..self.to].partition_point(|s| s.t_ms < from_ms);
            self.as_usual = self.each_step().filter(|step| *step == self.usual).count();
        }
        while let Some(next) = samples.get(self.to).filter(|s| s.t_ms < until_ms) {
            self.as_usual += usize::from(next.t_ms - samples[self.to - 1].t_ms == self.usual);
            self.to += 1;
        }
        while samples[self.from..self.to].first().is_some_and(|s| s.t_ms < from_ms) {
            let step = self.each_step().next();
            self.as_usual -= usize::from(step == Some(self.usual));
            self.from += 1;
        }
        let n = (self.to - self.from).checked_sub(1).filter(|n| *n > 0)?;
        // A board keeps its cadence: a step that more than half of them share is the median.
        if self.as_usual <= n / 2 {
            let mut steps = core::mem::take(&mut self.steps);
            steps.clear();
            steps.extend(self.each_step());
            self.usual = *steps.select_nth_unstable(n / 2).1;
            self.as_usual = steps.iter().filter(|step| **step == self.usual).count();
            self.steps = steps;
        }
        Some(self.usual)
    }

    /// The steps that both samples of lie in the window: one that began before says nothing of the cadence within it.
    fn each_step(&self) -> impl Iterator<Item = i64> + '_ {
        self.samples[self.from..self.to].windows(2).map(|w| w[1].t_ms - w[0].t_ms)
    }
}

/// Stretches longer than 2.5 cadences without a sample, as `(last sample before, first sample after)` in ms.
///
/// **Shape**: `samples` ascend in time; `cadence_ms` is above 0.
pub fn gaps(samples: &[Sample], cadence_ms: i64) -> Vec<(i64, i64)> {
    let limit = cadence_ms * 5 / 2;
    samples.windows(2).filter(|w| w[1].t_ms - w[0].t_ms > limit).map(|w| (w[0].t_ms, w[1].t_ms)).collect()
}

/// Whether a value can be added up: no NaN, no infinity, nothing whose sum could become one.
fn is_number(v: f64) -> bool {
    v.abs() <= 1e200
}

fn empty_cell(from_ms: i64) -> HourCell {
    HourCell { from_ms, n: 0, covered_ms: 0, min: f64::INFINITY, max: f64::NEG_INFINITY, sum: 0.0 }
}

struct HourCadence<'a> {
    window: CadenceWindow<'a>,
    hour_end: i64,
    ms: i64,
}

impl HourCadence<'_> {
    fn of_hour_of(&mut self, t_ms: i64, any_boundary_ms: i64) -> i64 {
        let end = any_boundary_ms + ((t_ms - any_boundary_ms).div_euclid(HOUR_MS) + 1) * HOUR_MS;
        if end != self.hour_end {
            self.hour_end = end;
            self.ms = self.window.before(end).unwrap_or(CADENCE_UNKNOWN_MS);
        }
        self.ms
    }
}

fn cover(cells: &mut [HourCell], from_ms: i64, start_ms: i64, end_ms: i64) {
    let mut at = start_ms;
    while at < end_ms {
        let k = (at - from_ms) / HOUR_MS;
        let hour_end = from_ms + (k + 1) * HOUR_MS;
        let until = end_ms.min(hour_end);
        cells[k as usize].covered_ms += until - at;
        at = until;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use alloc::vec;
    use proptest::prelude::*;

    const MIN: i64 = 60_000;

    fn every(step_min: i64, from_min: i64, to_min: i64) -> Vec<Sample> {
        (0..)
            .map(|k| from_min + k * step_min)
            .take_while(|t| *t < to_min)
            .map(|t| Sample { t_ms: t * MIN, v: t as f64 })
            .collect()
    }

    #[test]
    fn steady_series_covers_whole_hours() {
        let s = every(10, 0, 24 * 60);
        let cells = hour_cells(&s, 5 * HOUR_MS, 3);
        assert!(cells.iter().all(|c| c.n == 6 && c.covered_ms == HOUR_MS), "{cells:?}");
        assert_eq!((cells[0].min, cells[0].max, cells[0].mean()), (300.0, 350.0, Some(325.0)));
    }

    #[test]
    fn sample_at_the_boundary_begins_the_new_hour() {
        let cells = hour_cells(&every(60, 0, 240), 0, 3);
        assert_eq!(cells.iter().map(|c| (c.n, c.min)).collect::<Vec<_>>(), [(1, 0.0), (1, 60.0), (1, 120.0)]);
    }

    #[test]
    fn silence_is_not_covered_beyond_one_and_a_half_cadences() {
        // Ten-minute samples until 05:50, then nothing until 08:00.
        let mut s = every(10, 0, 6 * 60);
        s.extend(every(10, 8 * 60, 9 * 60));
        let cells = hour_cells(&s, 5 * HOUR_MS, 4);
        assert_eq!(cells[0].covered_ms, HOUR_MS);
        assert_eq!((cells[1].n, cells[1].covered_ms), (0, 5 * MIN));
        assert_eq!((cells[2].n, cells[2].covered_ms, cells[2].mean()), (0, 0, None));
        assert_eq!(gaps(&s, cadence_ms(&s, 9 * HOUR_MS).unwrap()), vec![(350 * MIN, 480 * MIN)]);
    }

    #[test]
    fn uneven_steps_use_their_median_so_a_lost_sample_is_half_covered() {
        // Steps of 4, 5 and 6 minutes in turn, as one measured set in the data has them.
        let s: Vec<Sample> =
            [0, 4, 10, 15, 19, 25, 30, 34, 40, 45, 49, 55].map(|m| Sample { t_ms: m * MIN, v: 1.0 }).into();
        assert_eq!(cadence_ms(&s, HOUR_MS), Some(5 * MIN));
        assert_eq!(hour_cells(&s, 0, 1)[0].covered_ms, HOUR_MS);
    }

    #[test]
    fn cells_do_not_depend_on_where_the_asking_starts() {
        let mut quick = every(10, 0, 20 * 60);
        quick.extend(every(5, 31 * 60, 80 * 60));
        // One reading in 20 hours reaches 30 hours ahead, by a step that began 20 hours before it.
        let mut slow = every(20 * 60, 0, 81 * 60);
        slow.extend(every(1, 109 * 60 + 14, 109 * 60 + 18));
        for s in [quick, slow] {
            let all = hour_cells(&s, 0, 112);
            for (first, expected) in all.iter().enumerate() {
                let from_ms = first as i64 * HOUR_MS;
                let near: Vec<Sample> = s.iter().copied().filter(|x| x.t_ms >= from_ms - LOOK_BACK_MS).collect();
                assert_eq!(hour_cells(&near, from_ms, 1)[0], *expected, "hour {first}");
            }
        }
    }

    #[test]
    fn sum_belongs_to_the_hour_in_which_its_interval_starts() {
        // Half-hourly rain: 0.2 from 05:30, 0.4 from 06:00, 0.1 from 06:30, and three quarters of an hour from 06:45.
        let half = 30 * MIN;
        let rain = [(330, half, 0.2), (360, half, 0.4), (390, half, 0.1), (405, 45 * MIN, 0.3)];
        let rain = rain.map(|(at, span_ms, v)| Interval { start_ms: at * MIN, span_ms, v });
        let cells = interval_cells(&rain, 5 * HOUR_MS, 3);
        let found: Vec<(u32, i64, f64)> =
            cells.iter().map(|c| (c.n, c.covered_ms, (c.sum * 10.0).round() / 10.0)).collect();
        assert_eq!(found, [(1, half, 0.2), (3, HOUR_MS, 0.8), (0, 0, 0.0)]);
        assert_eq!((cells[1].min, cells[1].max), (0.1, 0.4));
    }

    #[test]
    fn lone_sample_covers_a_quarter_of_an_hour() {
        let cells = hour_cells(&[Sample { t_ms: 0, v: 3.0 }], 0, 1);
        assert_eq!((cells[0].n, cells[0].covered_ms), (1, 15 * MIN));
    }

    fn by_sorting(samples: &[Sample], until_ms: i64) -> Option<i64> {
        let within: Vec<i64> =
            samples.iter().map(|s| s.t_ms).filter(|t| (until_ms - 24 * HOUR_MS..until_ms).contains(t)).collect();
        let mut sorted: Vec<i64> = within.windows(2).map(|w| w[1] - w[0]).collect();
        sorted.sort_unstable();
        sorted.get(sorted.len() / 2).copied()
    }

    proptest! {
        #[test]
        fn prop_cadence_is_the_middle_of_the_sorted_steps_of_a_day(
            steps in proptest::collection::vec(prop_oneof![4 => Just(10_i64), 1 => 1_i64..400], 0..300), asked in proptest::collection::vec(0_i64..9_000, 1..40),
        ) {
            let mut at = 0;
            let mut samples = vec![Sample { t_ms: 0, v: 0.0 }];
            for step in steps {
                at += step;
                samples.push(Sample { t_ms: at * MIN, v: 0.0 });
            }
            // One window asked for now this, now that time, and the same times in order.
            let (mut window, mut ordered) = (CadenceWindow::new(&samples), CadenceWindow::new(&samples));
            let mut in_order = asked.clone();
            in_order.sort_unstable();
            for (until, late) in asked.into_iter().zip(in_order) {
                prop_assert_eq!(window.before(until * MIN), by_sorting(&samples, until * MIN));
                prop_assert_eq!(ordered.before(late * MIN), by_sorting(&samples, late * MIN));
            }
        }
    }
}
