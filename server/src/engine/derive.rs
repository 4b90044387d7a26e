//! Which hours have to be worked out again after news, and working them out.

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::Datelike;
use propstick_agronomy::coverage::{HOUR_MS, HourCell, Interval, LOOK_BACK_MS, Sample, hour_cells, interval_cells};
use propstick_garden::fold::{HourRow, date_of, hour_shift_ms, of_air};
use propstick_garden::model::{Garden, Measure, Placement};
use propstick_garden::season::{MARKED_AHEAD_MS, MARKED_BACK_MS, kind_of};
use propstick_wire::Millis;
use propstick_wire::millis::SECOND;
use propstick_wire::quantity::Quantity;

use super::tails::Tails;
use crate::store::derived::HoursOf;
use crate::store::readings::{Series, Span};
use crate::store::{Readings, StoreError, placed};

/// How far the cover of a sample can reach: one and a half times the longest cadence there is, 24 h.
const REACH: i64 = 36 * HOUR_MS;
/// How far the cadence a sample shows can reach.
const CADENCE_REACH: i64 = 24 * HOUR_MS;
/// Two stretches nearer than this are worked out as one.
const NEAR: i64 = 48 * HOUR_MS;
/// Most hours worked out in one go.
const CHUNK: i64 = 30 * 24 * HOUR_MS;

/// A quantity at a spot.
pub(super) type Place = (String, Quantity);

/// Stretches of readings that are new, by spot and quantity: first and last instant.
#[derive(Default)]
pub(super) struct News {
    by_place: BTreeMap<Place, Vec<(Millis, Millis)>>,
}

impl News {
    /// Nothing is new.
    pub(super) fn is_empty(&self) -> bool {
        self.by_place.is_empty()
    }

    /// Notes that readings from `from` to `to`, both included, are new.
    pub(super) fn note(&mut self, spot: &str, quantity: Quantity, from: Millis, to: Millis) {
        let stretches = match self.by_place.get_mut(&(spot.to_owned(), quantity)) {
            Some(known) => known,
            None => self.by_place.entry((spot.to_owned(), quantity)).or_default(),
        };
        if let Some(last) = stretches.last_mut()
            && last.0.0 - NEAR <= to.0
            && from.0 <= last.1.0 + NEAR
        {
            *last = (last.0.min(from), last.1.max(to));
            return;
        }
        stretches.push((from, to));
    }

    /// Takes everything noted, with stretches that lie near each other joined.
    pub(super) fn take(&mut self) -> Vec<(Place, Vec<(Millis, Millis)>)> {
        let mut all: Vec<_> = std::mem::take(&mut self.by_place).into_iter().collect();
        for (_, stretches) in &mut all {
            stretches.sort_unstable();
            let mut joined: Vec<(Millis, Millis)> = Vec::new();
            for &(from, to) in stretches.iter() {
                match joined.last_mut() {
                    Some(last) if from.0 <= last.1.0 + NEAR => last.1 = last.1.max(to),
                    _ => joined.push((from, to)),
                }
            }
            *stretches = joined;
        }
        all
    }
}

/// Where the readings of a spot come from.
pub(super) struct Sources<'a> {
    pub(super) garden: &'a Garden,
    pub(super) series: &'a [Series],
    pub(super) tails: &'a Tails,
    pub(super) readings: &'a Readings,
}

impl Sources<'_> {
    /// What was measured of a quantity at a spot in `span`.
    pub(super) fn samples(&self, spot: &str, quantity: Quantity, span: Span) -> Result<Vec<Sample>, StoreError> {
        placed::samples(self.garden, self.instants(spot, quantity), span, |series, cut| {
            match self.tails.within(series, cut) {
                Some(points) => Ok(Cow::Borrowed(points)),
                None => self.readings.run(series, cut),
            }
        })
    }

    /// The same with sums and means of at most an hour, which stand at the beginning of their interval; at one instant a value of that instant counts.
    pub(super) fn sampled(&self, spot: &str, quantity: Quantity, span: Span) -> Result<Vec<Sample>, StoreError> {
        let mut all = self.samples(spot, quantity, span)?;
        let intervals = self.intervals(spot, quantity, span)?;
        if !intervals.is_empty() {
            all.extend(intervals.into_iter().map(|i| Sample { t_ms: i.start_ms, v: i.v }));
            // Stable: of one instant what stood first stays first.
            all.sort_by_key(|s| s.t_ms);
            all.dedup_by_key(|s| s.t_ms);
        }
        Ok(all)
    }

    /// What was summed up or averaged of a quantity at a spot over intervals that begin in `span`, of those that an hour can hold.
    pub(super) fn intervals(&self, spot: &str, quantity: Quantity, span: Span) -> Result<Vec<Interval>, StoreError> {
        let mut all = Vec::new();
        for placed in placed::placed(self.garden, self.series, spot, quantity) {
            let span_ms = placed.1.span_s.saturating_mul(SECOND);
            if placed.1.is_of_instants() || !(1..=HOUR_MS).contains(&span_ms) {
                continue;
            }
            let samples = placed::samples(self.garden, std::iter::once(placed), span, |series, cut| {
                match self.tails.within(series, cut) {
                    Some(points) => Ok(Cow::Borrowed(points)),
                    None => self.readings.run(series, cut),
                }
            })?;
            all.extend(samples.into_iter().map(|s| Interval { start_ms: s.t_ms, span_ms, v: s.v }));
        }
        // Where two series tell of one beginning, the shorter interval counts, and then the smaller value: whatever was heard first.
        all.sort_by(|a, b| a.start_ms.cmp(&b.start_ms).then(a.span_ms.cmp(&b.span_ms)).then(a.v.total_cmp(&b.v)));
        all.dedup_by_key(|i| i.start_ms);
        Ok(all)
    }

    /// The series placed at a spot for a quantity whose numbers are values at an instant.
    fn instants<'a>(&'a self, spot: &'a str, quantity: Quantity) -> impl Iterator<Item = (&'a Placement, &'a Series)> {
        placed::placed(self.garden, self.series, spot, quantity).filter(|(_, s)| s.is_of_instants())
    }

    /// The last instant anything was measured of a quantity at a spot.
    fn last(&self, spot: &str, quantity: Quantity) -> Option<Millis> {
        self.instants(spot, quantity).filter_map(|(_, s)| self.tails.last(s.id)).max()
    }

    /// Gives the hours that news of one spot and quantity touch, with those of the air's figures if `with_air`.
    pub(super) fn hours(
        &self,
        spot: &str,
        quantity: Quantity,
        news: (Millis, Millis),
        with_air: bool,
        give: &mut dyn FnMut(HoursOf) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        // New readings change marks as far as marks reach, and marks say what is missing.
        let (first, last) = match kind_of(quantity) {
            Some(_) => (news.0.plus(-MARKED_AHEAD_MS), news.1.plus(MARKED_BACK_MS)),
            None => news,
        };
        let shift = hour_shift_ms(self.garden.zone, date_of(self.garden.zone, last).year());
        let floor = |t: i64| (t - shift).div_euclid(HOUR_MS) * HOUR_MS + shift;
        let newest = self.last(spot, quantity).unwrap_or(last);
        let newest = newest.max(news.1);
        let to = floor((last.0 + CADENCE_REACH).min(newest.0)) + HOUR_MS + REACH;
        let before = self.samples(spot, quantity, Span { from: first.plus(-REACH), to: first })?;
        let from = floor(before.last().map_or(first.0, |s| s.t_ms).min(first.0));
        let mut at = from;
        while at < to {
            let end = (at + CHUNK).min(to);
            self.chunk(spot, quantity, Span { from: Millis(at), to: Millis(end) }, with_air, give)?;
            at = end;
        }
        Ok(())
    }

    fn chunk(
        &self,
        spot: &str,
        quantity: Quantity,
        span: Span,
        with_air: bool,
        give: &mut dyn FnMut(HoursOf) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let wide = Span { from: span.from.plus(-LOOK_BACK_MS), to: span.to.plus(REACH) };
        let own = self.measured(spot, quantity, wide)?;
        give(hours_of(spot, Measure::Direct(quantity), span, &own))?;
        let (temperature, humidity) = match quantity {
            _ if !with_air => return Ok(()),
            Quantity::AirTemperature => {
                let humidity = self.measured(spot, Quantity::AirHumidity, wide)?;
                (own, humidity)
            }
            Quantity::AirHumidity => (self.measured(spot, Quantity::AirTemperature, wide)?, own),
            _ => return Ok(()),
        };
        for measure in Measure::OF_AIR {
            let instants = of_air(measure, &temperature.instants, &humidity.instants);
            let intervals = of_air_means(measure, &temperature.intervals, &humidity.intervals);
            give(hours_of(spot, measure, span, &Measured { instants, intervals }))?;
        }
        Ok(())
    }

    fn measured(&self, spot: &str, quantity: Quantity, span: Span) -> Result<Measured, StoreError> {
        Ok(Measured { instants: self.counted(spot, quantity, span)?, intervals: self.intervals(spot, quantity, span)? })
    }
}

/// What was measured of a quantity at a spot.
struct Measured {
    instants: Vec<Sample>,
    intervals: Vec<Interval>,
}

/// A figure of the air from means of temperature and humidity over the same interval.
fn of_air_means(measure: Measure, temperature: &[Interval], humidity: &[Interval]) -> Vec<Interval> {
    let samples = |of: &[Interval]| of.iter().map(|i| Sample { t_ms: i.start_ms, v: i.v }).collect::<Vec<_>>();
    let figures = of_air(measure, &samples(temperature), &samples(humidity));
    let span_of = |all: &[Interval], t_ms| all.binary_search_by_key(&t_ms, |i| i.start_ms).map(|k| all[k].span_ms);
    let interval = |s: Sample| match (span_of(temperature, s.t_ms), span_of(humidity, s.t_ms)) {
        (Ok(a), Ok(b)) if a == b => Some(Interval { start_ms: s.t_ms, span_ms: a, v: s.v }),
        _ => None,
    };
    figures.into_iter().filter_map(interval).collect()
}

fn hours_of(spot: &str, measure: Measure, span: Span, measured: &Measured) -> HoursOf {
    let hours = (span.to.since(span.from) / HOUR_MS).max(0) as usize;
    let mut cells = hour_cells(&measured.instants, span.from.0, hours);
    if !measured.intervals.is_empty() {
        for (cell, of_intervals) in cells.iter_mut().zip(interval_cells(&measured.intervals, span.from.0, hours)) {
            // An hour with values at an instant is made of them alone.
            if cell.n == 0 && of_intervals.n > 0 {
                *cell = of_intervals;
            }
        }
    }
    let row = |c: HourCell| HourRow {
        from: Millis(c.from_ms),
        n: c.n,
        covered_ms: c.covered_ms,
        min: c.min,
        max: c.max,
        sum: c.sum,
    };
    HoursOf { spot: spot.to_owned(), measure, span, rows: cells.into_iter().map(row).collect() }
}
