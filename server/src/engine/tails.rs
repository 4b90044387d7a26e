//! The newest readings of every series, in memory: what the present is judged by, and what most hours are worked out from.

use std::collections::HashMap;

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;

use crate::store::readings::Span;
use crate::store::{Point, Readings, SeriesId, StoreError};

/// How much a tail keeps: what the noon-days that a reading can change are worked out from (see `season`: 73 h back to a noon, 96 h before that), the two
/// days that history works out in one go, and a day to spare.
const KEPT: i64 = (73 + 24 + 96 + 48 + 24) * HOUR;
/// A tail is cut when it has grown by this much.
const CUT_AT: i64 = KEPT + 12 * HOUR;

/// Tails by series.
#[derive(Default)]
pub(super) struct Tails {
    tails: HashMap<SeriesId, Tail>,
}

/// All winning readings of a series from `complete_from` on, ascending.
struct Tail {
    complete_from: Millis,
    points: Vec<(Millis, f64)>,
}

impl Tails {
    /// Forgets everything, before tails are loaded anew.
    pub(super) fn clear(&mut self) {
        self.tails.clear();
    }

    /// Loads the tail of a series from the store.
    pub(super) fn load(&mut self, readings: &Readings, series: SeriesId) -> Result<(), StoreError> {
        let Some((_, last)) = readings.extent(series)? else {
            self.tails.insert(series, Tail { complete_from: Millis(i64::MIN), points: Vec::new() });
            return Ok(());
        };
        let complete_from = last.plus(-KEPT);
        let points = readings.points(series, Span { from: complete_from, to: Millis(i64::MAX) })?;
        let points = points.into_iter().map(|Point { t, v }| (t, v)).collect();
        self.tails.insert(series, Tail { complete_from, points });
        Ok(())
    }

    /// Begins the tail of a series that has no reading yet.
    pub(super) fn begin(&mut self, series: SeriesId) {
        self.tails.entry(series).or_insert(Tail { complete_from: Millis(i64::MIN), points: Vec::new() });
    }

    /// Takes a reading that is new or newly winning.
    pub(super) fn take(&mut self, series: SeriesId, t: Millis, v: f64) {
        let Some(tail) = self.tails.get_mut(&series) else { return };
        if t < tail.complete_from {
            return;
        }
        match tail.points.last() {
            Some(&(last, _)) if last >= t => match tail.points.binary_search_by_key(&t, |p| p.0) {
                Ok(i) => tail.points[i].1 = v,
                Err(i) => tail.points.insert(i, (t, v)),
            },
            _ => tail.points.push((t, v)),
        }
        tail.cut();
    }

    /// The readings of `span` if the tail is known to hold all of them.
    pub(super) fn within(&self, series: SeriesId, span: Span) -> Option<&[(Millis, f64)]> {
        let tail = self.tails.get(&series)?;
        if span.from < tail.complete_from {
            return None;
        }
        let from = tail.points.partition_point(|p| p.0 < span.from);
        let to = tail.points.partition_point(|p| p.0 < span.to);
        Some(&tail.points[from..to.max(from)])
    }

    /// The newest instant of a series.
    pub(super) fn last(&self, series: SeriesId) -> Option<Millis> {
        self.tails.get(&series)?.points.last().map(|p| p.0)
    }
}

impl Tail {
    fn cut(&mut self) {
        let (Some(&(first, _)), Some(&(last, _))) = (self.points.first(), self.points.last()) else { return };
        if last.since(first) > CUT_AT {
            let from = last.plus(-KEPT);
            let keep = self.points.partition_point(|p| p.0 < from);
            self.points.drain(..keep);
            self.complete_from = from;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn late_reading_takes_its_place_and_a_tail_never_claims_what_it_cut() {
        let mut tails = Tails::default();
        let s = SeriesId(1);
        tails.begin(s);
        for h in [0, 1, 3] {
            tails.take(s, Millis(h * HOUR), h as f64);
        }
        tails.take(s, Millis(2 * HOUR), 2.0);
        tails.take(s, Millis(3 * HOUR), 3.5);
        let all = Span { from: Millis(0), to: Millis(i64::MAX) };
        let found: Vec<f64> = tails.within(s, all).unwrap().iter().map(|p| p.1).collect();
        assert_eq!(found, [0.0, 1.0, 2.0, 3.5]);
        for h in 4..600 {
            tails.take(s, Millis(h * HOUR), h as f64);
        }
        assert!(tails.within(s, all).is_none());
        let near = Span { from: Millis(550 * HOUR), to: Millis(552 * HOUR) };
        assert_eq!(tails.within(s, near).unwrap().len(), 2);
    }
}
