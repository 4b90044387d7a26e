//! A sensor that stands still while it should have moved.

use super::constants as c;
use super::series::{Kind, SPIKE_CADENCE_MS, SPIKE_WINDOW_MS, Series, is_spike};
use super::{HUMIDITY_LIMIT_PCT, Mark, Marks, joined};
use crate::coverage::Sample;
use crate::psychrometrics::humidity_over_ice_pct;
use alloc::vec::Vec;

/// The longest stretch that is looked at as a whole: a day and night move everything.
pub(super) const WINDOW_MS: i64 = 24 * 3_600_000;
const MIN_MS: i64 = 60_000;
/// So long before a stretch it is looked for how fine a temperature's steps are.
pub(super) const FINE_WITHIN_MS: i64 = 120 * MIN_MS;

/// Room that [`super::mark_series`] works in; keep it from call to call and nothing is allocated.
#[derive(Debug, Default)]
pub struct Scratch {
    values: Extremes,
    beside: Extremes,
}

/// Marks the readings of every stretch, without a missing one and at most a day long, that stood still: a humidity while the temperature beside it moved or
/// for half a day; a temperature of fine steps that says one number for an hour, any other for half a day, or a whole one where the humidity beside it lives
/// or stands at saturation.
pub(super) fn mark(series: &Series<'_>, marks: &mut [Marks], scratch: &mut Scratch) {
    if series.kind == Kind::Soil {
        // Soil may stand still for a day and be right.
        return;
    }
    let still = if series.kind == Kind::Humidity { c::STILL_PCT.value } else { c::STILL_C.value };
    let Scratch { values, beside } = scratch;
    values.clear();
    beside.clear();
    let samples = series.samples;
    // Index after the last reading of the stretch, and the next of the series beside.
    let (mut end, mut next_beside) = (0, 0);
    let mut excuses = Excuses { series, at: 0 };
    let mut marked_to = 0;
    let mut damp = false;
    for first in 0..samples.len() {
        if end <= first {
            // A new stretch begins.
            values.clear();
            end = first;
            let Some(begins_damp) = excuses.may_stick(samples[first]) else {
                end = first + 1;
                continue;
            };
            damp = begins_damp;
        }
        while end < samples.len() {
            let s = samples[end];
            let follows = end == first || joined(samples[end - 1], s, series.cadence_ms);
            let within = s.t_ms - samples[first].t_ms <= WINDOW_MS;
            if !follows || !within || !values.would_span_less(s.v, still) || excuses.may_stick(s) != Some(damp) {
                break;
            }
            values.push(end, s.v);
            end += 1;
        }
        let last = end - 1;
        // The last reading stands for its own cadence.
        let length_ms = samples[last].t_ms - samples[first].t_ms + series.cadence_ms;
        let long = |minutes: f64| {
            length_ms >= (minutes * MIN_MS as f64) as i64 && end - first >= c::STUCK_READINGS.value as usize
        };
        let is_stuck = last > first
            && marked_to < end
            && match series.kind {
                Kind::Humidity => {
                    let (least_min, moved_c) = if damp {
                        (c::STUCK_DAMP_MIN.value, c::DAMP_MOVED_C.value)
                    } else {
                        (c::STUCK_MIN.value, c::BESIDE_MOVED_C.value)
                    };
                    let (from_ms, to_ms) = (samples[first].t_ms, samples[last].t_ms);
                    let temperature = series.beside.unwrap_or_default();
                    long(least_min)
                        && (span_beside(temperature, from_ms, to_ms, beside, &mut next_beside) >= moved_c
                            || (!damp && long(c::STUCK_ALONE_MIN.value)))
                }
                _ => {
                    long(c::STUCK_DAMP_MIN.value)
                        || (long(c::STUCK_ALONE_MIN.value)
                            && !is_excused(series, samples[first].t_ms, samples[last].t_ms))
                }
            };
        if is_stuck {
            for mark in &mut marks[first.max(marked_to)..end] {
                *mark = mark.with(Mark::Stuck);
            }
            marked_to = end;
        }
        values.forget_before(first + 1);
    }
    mark_hung(series, marks);
}

/// Marks temperatures that are one number to the last digit for an hour, in a series that moved by finer steps in the two hours before. Not in one by the
/// hour: its steps come as finely of changed units as of a fine chip, and a day of cloud keeps a number.
fn mark_hung(series: &Series<'_>, marks: &mut [Marks]) {
    let samples = series.samples;
    if series.kind != Kind::Air || series.cadence_ms > SPIKE_CADENCE_MS {
        return;
    }
    let is_fine = |w: &[Sample]| {
        let step_c = (w[1].v - w[0].v).abs();
        step_c > 0.0 && step_c <= c::FINE_STEP_C.value + 1e-9 && joined(w[0], w[1], series.cadence_ms)
    };
    let mut first = 0;
    while first < samples.len() {
        let goes_on = |w: &&[Sample]| w[0].v == w[1].v && joined(w[0], w[1], series.cadence_ms);
        let end = first + 1 + samples[first..].windows(2).take_while(goes_on).count();
        let length_ms = samples[end - 1].t_ms - samples[first].t_ms + series.cadence_ms;
        let is_long = length_ms >= (c::STUCK_MIN.value * MIN_MS as f64) as i64;
        if is_long && end - first >= c::STUCK_READINGS.value as usize {
            let begin = samples.partition_point(|s| s.t_ms < samples[first].t_ms - FINE_WITHIN_MS);
            if samples[begin..=first].windows(2).any(is_fine) {
                marks[first..end].iter_mut().for_each(|mark| *mark = mark.with(Mark::Stuck));
            }
        }
        first = end;
    }
}

/// How long before and after a temperature that stands still a humidity that moves shows that the sensor lives.
const LIVES_WITHIN_MS: i64 = 6 * 3_600_000;

/// Whether the humidity beside a temperature that stands still shows that its sensor lives: it moved then or within six hours, one odd reading either way
/// left out; or it stood at saturation all the time, as in fog. Where some of it is missing nobody can tell.
fn is_excused(series: &Series<'_>, from_ms: i64, to_ms: i64) -> bool {
    let Some(humidity) = series.beside else { return false };
    let among =
        &humidity[humidity.partition_point(|s| s.t_ms < from_ms)..humidity.partition_point(|s| s.t_ms <= to_ms)];
    let near_ms = series.cadence_ms / 2 * 3;
    let (Some(head), Some(tail)) = (among.first(), among.last()) else { return !humidity.is_empty() };
    let holed = among.windows(2).any(|w| !joined(w[0], w[1], series.cadence_ms));
    if holed || head.t_ms - from_ms > near_ms || to_ms - tail.t_ms > near_ms {
        return true;
    }
    let sound = |s: &&Sample| (c::DRIEST_PCT.value..=HUMIDITY_LIMIT_PCT).contains(&s.v);
    let least = among.iter().filter(sound).map(|s| s.v).fold(f64::INFINITY, f64::min);
    let near = &humidity[humidity.partition_point(|s| s.t_ms < from_ms - LIVES_WITHIN_MS)
        ..humidity.partition_point(|s| s.t_ms <= to_ms + LIVES_WITHIN_MS)];
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for s in near.iter().filter(sound) {
        low = if s.v < low[0] { [s.v, low[0]] } else { [low[0], low[1].min(s.v)] };
        high = if s.v > high[0] { [s.v, high[0]] } else { [high[0], high[1].max(s.v)] };
    }
    high[1] - low[1] >= c::ALIVE_PCT.value || (least.is_finite() && least >= c::STILL_SATURATED_PCT.value)
}

/// Index of the first reading that says anything of the marks of those from `from_ms` on: with the readings before it left out of
/// [`super::mark_series`] they come out the same.
///
/// **Shape**: `samples` ascend in time, `cadence_ms` above 0; an index up to `samples.len()`. **Errors**: none. **Source**: the rules of this module: a
/// stretch that stood still holds no change as great as what counts as moving, and no missing reading.
pub fn needed_from(kind: Kind, cadence_ms: i64, samples: &[Sample], from_ms: i64) -> usize {
    // A spike asks for two hours, the reading before them, and that one's own neighbour.
    let near_ms = from_ms.saturating_sub(SPIKE_WINDOW_MS);
    let near = samples.partition_point(|s| s.t_ms < near_ms).saturating_sub(2);
    if kind == Kind::Soil {
        return near;
    }
    let least = if kind == Kind::Humidity { c::STILL_PCT.value } else { c::STILL_C.value };
    let far = samples.partition_point(|s| s.t_ms < from_ms.saturating_sub(WINDOW_MS));
    let parted = |i: &usize| {
        !joined(samples[i - 1], samples[*i], cadence_ms) || (samples[i - 1].v - samples[*i].v).abs() >= least - 1e-9
    };
    let still_from = (far.max(1)..=near).rev().find(parted).unwrap_or(far.min(near));
    if kind == Kind::Humidity {
        return still_from;
    }
    // What came before it says how fine its steps were.
    let Some(first) = samples.get(still_from) else { return still_from };
    samples.partition_point(|s| s.t_ms < first.t_ms.saturating_sub(FINE_WITHIN_MS))
}

/// What excuses standing still, reading by reading in the order of time.
struct Excuses<'a> {
    series: &'a Series<'a>,
    at: usize,
}

impl Excuses<'_> {
    /// Whether standing still at this reading would be a fault, and if so whether it is a damp one, which may stand still for longer; none over ice,
    /// at saturation, and where nobody can tell.
    fn may_stick(&mut self, s: Sample) -> Option<bool> {
        if !s.v.is_finite() {
            return None;
        }
        if self.series.kind != Kind::Humidity {
            return Some(false);
        }
        let damp = s.v >= c::STILL_BELOW_PCT.value;
        if s.v >= c::STILL_SATURATED_PCT.value {
            return None;
        }
        // Where a temperature belongs to it and is missing, nobody can tell.
        let Some(beside) = self.series.beside else { return (!damp).then_some(false) };
        let half_ms = self.series.cadence_ms / 2;
        while beside.get(self.at).is_some_and(|b| b.t_ms < s.t_ms - half_ms) {
            self.at += 1;
        }
        let near = beside.get(self.at).filter(|b| b.t_ms <= s.t_ms + half_ms && b.v.is_finite());
        let off_ice = |b: &Sample| {
            let over_ice = humidity_over_ice_pct(b.v, s.v);
            over_ice.is_none_or(|pct| (pct - 100.0).abs() > c::STILL_OVER_ICE_PCT.value)
        };
        near.is_some_and(off_ice).then_some(damp)
    }
}

/// How far the series beside moved from `from_ms` to `to_ms`; both only ever grow from call to call.
fn span_beside(beside: &[Sample], from_ms: i64, to_ms: i64, extremes: &mut Extremes, next: &mut usize) -> f64 {
    while let Some(s) = beside.get(*next).filter(|s| s.t_ms <= to_ms) {
        if is_sound(beside, *next) {
            extremes.push(*next, s.v);
        }
        *next += 1;
    }
    extremes.forget_before(beside.partition_point(|s| s.t_ms < from_ms));
    extremes.span()
}

/// Whether a temperature can have been the air's: within its range, and no lone jump there and back.
fn is_sound(samples: &[Sample], k: usize) -> bool {
    let v = samples[k].v;
    let neighbours = (k.checked_sub(1).and_then(|b| samples.get(b)), samples.get(k + 1));
    let is_lone = matches!(neighbours, (Some(b), Some(a)) if is_spike(b.v, v, a.v, c::SPIKE_INSIDE_C[0].value));
    (c::COLDEST_C.value..=c::WARMEST_AIR_C.value).contains(&v) && !is_lone
}

/// Lowest and highest of the values in a window that moves on: two rows of candidates, as deques that share their room.
#[derive(Debug, Default)]
struct Extremes {
    lowest: Row,
    highest: Row,
}

/// Candidates in the order of their index; those before `start` are done with.
#[derive(Debug, Default)]
struct Row {
    kept: Vec<(usize, f64)>,
    start: usize,
}

impl Row {
    fn push(&mut self, index: usize, value: f64, beats: impl Fn(f64, f64) -> bool) {
        while self.kept.len() > self.start && self.kept.last().is_some_and(|(_, v)| !beats(*v, value)) {
            self.kept.pop();
        }
        self.kept.push((index, value));
    }

    fn forget_before(&mut self, index: usize) {
        while self.kept.get(self.start).is_some_and(|(i, _)| *i < index) {
            self.start += 1;
        }
        if self.start == self.kept.len() {
            self.clear();
        } else if self.start > 1_024 {
            self.kept.drain(..self.start);
            self.start = 0;
        }
    }

    fn first(&self) -> Option<f64> {
        self.kept.get(self.start).map(|(_, v)| *v)
    }

    fn clear(&mut self) {
        self.kept.clear();
        self.start = 0;
    }
}

impl Extremes {
    fn push(&mut self, index: usize, value: f64) {
        self.lowest.push(index, value, |kept, new| kept < new);
        self.highest.push(index, value, |kept, new| kept > new);
    }

    fn forget_before(&mut self, index: usize) {
        self.lowest.forget_before(index);
        self.highest.forget_before(index);
    }

    fn span(&self) -> f64 {
        self.highest.first().zip(self.lowest.first()).map_or(0.0, |(high, low)| high - low)
    }

    /// Whether the window would span less than `limit` with `value` in it.
    fn would_span_less(&self, value: f64, limit: f64) -> bool {
        let low = self.lowest.first().map_or(value, |v| v.min(value));
        let high = self.highest.first().map_or(value, |v| v.max(value));
        // Readings of 0.1 °C resolution that change by their last digit have moved.
        high - low < limit - 1e-9
    }

    fn clear(&mut self) {
        self.lowest.clear();
        self.highest.clear();
    }
}
