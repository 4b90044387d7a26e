//! Marks of one series from its own readings: over, range, dead, saturated, step, spike, power_on, stuck.

use super::constants as c;
use super::stuck::{self, Scratch};
use super::{HUMIDITY_LIMIT_PCT, Mark, Marks};
use crate::coverage::Sample;
use crate::sourced::Sourced;
use libm::sqrt;

const MIN_MS: i64 = 60_000;
/// Steps and power-on values are looked for in series of at most this cadence, an hour.
pub(super) const STEP_CADENCE_MS: i64 = 60 * MIN_MS;
/// Spikes in series of at most this cadence: in an hour the air can rise and fall.
pub(super) const SPIKE_CADENCE_MS: i64 = 20 * MIN_MS;
/// The time before a reading whose deviation a spike is measured by.
pub(super) const SPIKE_WINDOW_MS: i64 = 120 * MIN_MS;

/// What a series measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Temperature of air or leaves, °C.
    Air,
    /// Temperature of soil, compost or water, °C.
    Soil,
    /// Relative humidity over water, %.
    Humidity,
}

/// Where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Under a cover.
    Inside,
    /// In the open.
    Outside,
}

/// A series to be marked, and what stands beside it.
#[derive(Clone, Copy, Debug)]
pub struct Series<'a> {
    /// What it measures.
    pub kind: Kind,
    /// Where it stands.
    pub place: Place,
    /// Its median step, ms, above 0: [`crate::coverage::cadence_ms`]. More than one and a half of it between readings and one is missing.
    pub cadence_ms: i64,
    /// Its readings, ascending in time.
    pub samples: &'a [Sample],
    /// What the same sensor measures beside it, ascending in time, where it does at all: of humidity the temperature, of a temperature the humidity.
    pub beside: Option<&'a [Sample]>,
}

/// Marks every reading of `series` from the series itself: over, range, dead, saturated, step, spike, power_on and stuck. They are added to what
/// `marks` holds.
///
/// **Shape**: `marks` has one place for each sample. A mark depends on readings at most [`Mark::reach_ms`] away, so the marks of a stretch are exact
/// where the series is given that much further on both sides; and no mark comes from a reading that is missing (but power_on, of which a gap is the
/// sign). Allocates only where `scratch` is still small. **Errors**: nothing is marked where lengths differ or the cadence is not above 0; a reading
/// that is no number is marked range. **Source**: climate sheet 7 (Zahumensky 2004 and others), [`super::constants`]; deviations, so that real
/// readings are not lost: a spike must come back, and its deviation is kept within bounds; stuck needs a temperature that moved meanwhile, or half a
/// day, or finer steps just before. **Accuracy**: all planted and real faults of `tests/` are found; of good readings of a year at three Irish stations none counts as missing,
/// of those of two tunnels at most 0.15 %.
///
/// ```
/// use propstick_agronomy::{coverage::Sample, quality::{Kind, Mark, Marks, Place, Scratch, Series, mark_series}};
/// // Humidity, every ten minutes: a value that goes and comes back.
/// let samples: Vec<Sample> = [95.0, 51.0, 95.0].iter().zip(0..).map(|(v, k)| Sample { t_ms: k * 600_000, v: *v }).collect();
/// let mut marks = [Marks::NONE; 3];
/// let series = Series { kind: Kind::Humidity, place: Place::Inside, cadence_ms: 600_000, samples: &samples, beside: None };
/// mark_series(&series, &mut marks, &mut Scratch::default());
/// assert_eq!(marks.map(|m| m.has(Mark::Spike)), [false, true, false]);
/// ```
pub fn mark_series(series: &Series<'_>, marks: &mut [Marks], scratch: &mut Scratch) {
    if marks.len() != series.samples.len() || series.cadence_ms <= 0 {
        return;
    }
    let rules = Rules::of(series);
    let mut beside = Beside { samples: series.beside.unwrap_or_default(), at: 0 };
    for (i, mark) in marks.iter_mut().enumerate() {
        let s = series.samples[i];
        *mark = mark.and(rules.alone(s, &mut beside)).and(rules.among(series.samples, i));
    }
    mark_hung(series, marks);
    stuck::mark(series, marks, scratch);
}

/// Marks the readings of an air temperature that repeats what a hung bus says, for an hour and in a dozen readings: air that hovers there flickers. (Soil that
/// freezes stands there for days.)
fn mark_hung(series: &Series<'_>, marks: &mut [Marks]) {
    if series.kind != Kind::Air || series.cadence_ms > STEP_CADENCE_MS {
        return;
    }
    let samples = series.samples;
    let mut first = 0;
    while first < samples.len() {
        if !c::HUNG_C.iter().any(|hung| samples[first].v == hung.value) {
            first += 1;
            continue;
        }
        let mut end = first + 1;
        while end < samples.len()
            && samples[end].v == samples[first].v
            && super::joined(samples[end - 1], samples[end], series.cadence_ms)
        {
            end += 1;
        }
        let length_ms = samples[end - 1].t_ms - samples[first].t_ms + series.cadence_ms;
        if end - first >= c::STUCK_READINGS.value as usize && length_ms >= (c::STUCK_MIN.value * MIN_MS as f64) as i64 {
            marks[first..end].iter_mut().for_each(|mark| *mark = mark.with(Mark::Dead));
        }
        first = end;
    }
}

/// Whether a reading between two others is a spike, given the standard deviation of those before: `|x - before| + |x - after| > 4 s`, and it comes
/// back.
///
/// All in the quantity's unit. **Errors**: none; not for what is no number. **Source**: Zahumensky 2004, climate sheet 7; that it must come back, to
/// at least half way, is ours (troubles page 5): a fall that stays is a door.
///
/// ```
/// use propstick_agronomy::quality::is_spike;
/// // Climate sheet 7: 10.0, 10.1, 16.0, 10.2, 10.1 with s 0.1.
/// assert!(is_spike(10.1, 16.0, 10.2, 0.1) && !is_spike(10.0, 10.1, 10.2, 0.1) && !is_spike(10.1, 16.0, 16.2, 0.1));
/// ```
pub fn is_spike(before: f64, value: f64, after: f64, deviation: f64) -> bool {
    let (up, down) = (value - before, value - after);
    let comes_back = up * down > 0.0 && (after - before).abs() <= 0.5 * up.abs().min(down.abs());
    comes_back && up.abs() + down.abs() > c::SPIKE_DEVIATIONS.value * deviation
}

/// What holds for one kind of series at one place.
struct Rules {
    kind: Kind,
    cadence_ms: i64,
    lowest: f64,
    highest: f64,
    /// Fastest change in a minute, and the greatest there is from one reading to the next.
    step_per_min: f64,
    step_most: f64,
    /// Least and greatest deviation that a spike is measured by.
    spike: [f64; 2],
}

impl Rules {
    fn of(series: &Series<'_>) -> Rules {
        let inside = series.place == Place::Inside;
        let (lowest, highest) = match series.kind {
            Kind::Air => (c::COLDEST_C.value, c::WARMEST_AIR_C.value),
            Kind::Soil => (c::COLDEST_C.value, c::WARMEST_SOIL_C.value),
            Kind::Humidity => (c::DRIEST_PCT.value, HUMIDITY_LIMIT_PCT),
        };
        let (per_min, most) = match (series.kind, inside) {
            (Kind::Air, true) => (c::STEP_INSIDE_C_MIN.value, c::STEP_MOST_C.value),
            (Kind::Air, false) => (c::STEP_OUTSIDE_C_MIN.value, c::STEP_MOST_C.value),
            (Kind::Soil, _) => (c::STEP_SOIL_C_MIN.value, c::STEP_MOST_C.value),
            (Kind::Humidity, true) => (c::STEP_INSIDE_PCT_MIN.value, c::STEP_MOST_PCT.value),
            (Kind::Humidity, false) => (c::STEP_OUTSIDE_PCT_MIN.value, c::STEP_MOST_PCT.value),
        };
        let value = |pair: &[Sourced; 2]| [pair[0].value, pair[1].value];
        Rules {
            kind: series.kind,
            cadence_ms: series.cadence_ms,
            lowest,
            highest,
            step_per_min: per_min,
            step_most: most,
            spike: match (series.kind, inside) {
                (Kind::Humidity, true) => value(&c::SPIKE_INSIDE_PCT),
                (Kind::Humidity, false) => value(&c::SPIKE_OUTSIDE_PCT),
                (_, true) => value(&c::SPIKE_INSIDE_C),
                (_, false) => value(&c::SPIKE_OUTSIDE_C),
            },
        }
    }

    /// What a reading shows by itself.
    fn alone(&self, s: Sample, beside: &mut Beside<'_>) -> Marks {
        let mut marks = Marks::NONE;
        if !(self.lowest..=self.highest).contains(&s.v) {
            marks = marks.with(Mark::Range);
        }
        if self.kind == Kind::Humidity {
            if s.v > 100.0 {
                marks = marks.with(Mark::Over);
            }
            if s.v >= c::SATURATED_PCT.value {
                marks = marks.with(Mark::Saturated);
            }
        } else if s.v == c::LOST_C.value {
            marks = marks.with(Mark::Dead);
        }
        // Humidity 0 with a temperature of exactly 0 is what a dead bus sends: neither is one.
        if s.v == 0.0 && beside.at(s.t_ms, self.cadence_ms) == Some(0.0) {
            marks = marks.with(Mark::Dead);
        }
        marks
    }

    /// What it shows among the readings before and after it.
    fn among(&self, samples: &[Sample], i: usize) -> Marks {
        let mut marks = Marks::NONE;
        let s = samples[i];
        let before = (i > 0).then(|| samples[i - 1]).filter(|b| self.joined(*b, s));
        let after = samples.get(i + 1).copied().filter(|a| self.joined(s, *a));
        if self.cadence_ms <= STEP_CADENCE_MS {
            if let Some(b) = before {
                let minutes = ((s.t_ms - b.t_ms) as f64 / MIN_MS as f64).max(1.0);
                if (s.v - b.v).abs() > (self.step_per_min * minutes).min(self.step_most) {
                    marks = marks.with(Mark::Step);
                }
            }
            if self.kind != Kind::Humidity && s.v == c::POWER_ON_C.value {
                let apart = |other: Sample| (s.v - other.v).abs() > c::POWER_ON_APART_C.value;
                let neighbours = [before, after];
                let mut beside = neighbours.into_iter().flatten();
                if beside.clone().count() > 0 && beside.all(apart) {
                    marks = marks.with(Mark::PowerOn);
                }
            }
        }
        if let (Some(b), Some(a), true) = (before, after, self.cadence_ms <= SPIKE_CADENCE_MS) {
            // The cheap half first: hardly any reading gets further.
            if is_spike(b.v, s.v, a.v, self.spike[0]) && is_spike(b.v, s.v, a.v, self.deviation(samples, i)) {
                marks = marks.with(Mark::Spike);
            }
        }
        marks
    }

    /// Standard deviation of the two hours before reading `i`, kept within bounds; the upper bound where some of it is missing.
    fn deviation(&self, samples: &[Sample], i: usize) -> f64 {
        let from_ms = samples[i].t_ms - SPIKE_WINDOW_MS;
        let first = samples[..i].partition_point(|s| s.t_ms < from_ms);
        let window = &samples[first..i];
        let whole = first > 0
            && samples[first - 1..i].windows(2).all(|w| self.joined(w[0], w[1]))
            && window.len() >= 3
            && window.iter().all(|s| s.v.is_finite());
        if !whole {
            return self.spike[1];
        }
        let n = window.len() as f64;
        let mean = window.iter().map(|s| s.v).sum::<f64>() / n;
        let square = window.iter().map(|s| (s.v - mean) * (s.v - mean)).sum::<f64>();
        sqrt(square / (n - 1.0)).clamp(self.spike[0], self.spike[1])
    }

    /// Whether no reading is missing between two.
    fn joined(&self, a: Sample, b: Sample) -> bool {
        super::joined(a, b, self.cadence_ms)
    }
}

/// A series that is walked along beside another.
struct Beside<'a> {
    samples: &'a [Sample],
    at: usize,
}

impl Beside<'_> {
    /// The reading at `t_ms`, at most half a cadence off; none where there is none.
    fn at(&mut self, t_ms: i64, cadence_ms: i64) -> Option<f64> {
        while self.samples.get(self.at).is_some_and(|s| s.t_ms < t_ms - cadence_ms / 2) {
            self.at += 1;
        }
        self.samples.get(self.at).filter(|s| s.t_ms <= t_ms + cadence_ms / 2).map(|s| s.v)
    }
}
