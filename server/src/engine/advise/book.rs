//! Readings of the spots with their marks, worked out once a look for everything that asks.

use std::collections::BTreeMap;

use propstick_agronomy::coverage::Sample;
use propstick_agronomy::quality::Marks;
use propstick_garden::season::{MARKED_BACK_MS, Marker, SunThere, mark_sun, marks_since};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use propstick_wire::quantity::Quantity;

use crate::engine::derive::Sources;
use crate::season::{light_beside, mark_place};
use crate::store::StoreError;
use crate::store::readings::Span;

/// How far back a page reaches: the day before and a little, for the outlook.
pub(super) const PAST: i64 = 26 * HOUR;
/// For so long a page is carried on; then all of it is read anew, with whatever has come late.
const CARRIED: i64 = 6 * HOUR;
/// How far before the last look marks are worked out again: a spike shows only with what comes after it.
pub(super) const OVERLAP: i64 = HOUR;

/// A reading with its marks.
pub(super) type Row = (Sample, Marks);

/// Readings of a spot with their marks, ascending.
#[derive(Default)]
pub(super) struct Marked {
    pub(super) temperature: Vec<Row>,
    pub(super) humidity: Vec<Row>,
}

/// The pages, one a spot.
#[derive(Default)]
pub(super) struct Book {
    pages: BTreeMap<String, Page>,
    marker: Marker,
}

struct Page {
    at: Millis,
    whole_at: Millis,
    marked: Marked,
}

impl Book {
    /// Forgets everything, because older readings have come.
    pub(super) fn forget(&mut self) {
        self.pages.clear();
    }

    /// A reading of a spot came that was taken at `at`: what is carried on would not see one so old.
    pub(super) fn late(&mut self, spot: &str, at: Millis) {
        if self.pages.get(spot).is_some_and(|page| at < page.at.plus(-OVERLAP)) {
            self.pages.remove(spot);
        }
    }

    /// The last [`PAST`] of the air at a spot.
    pub(super) fn recent(&mut self, sources: &Sources<'_>, spot: &str, now: Millis) -> Result<&Marked, StoreError> {
        let page = self.pages.remove(spot).filter(|page| page.at <= now);
        let page = match page {
            Some(page) if page.at == now => page,
            Some(page) if now.since(page.whole_at) < CARRIED => {
                let from = page.at.plus(-OVERLAP);
                let fresh = self.read(sources, spot, Span { from, to: now.plus(1) })?;
                Page { at: now, marked: page.marked.carried(from, now.plus(-PAST), fresh), ..page }
            }
            _ => {
                let marked = self.read(sources, spot, Span { from: now.plus(-PAST), to: now.plus(1) })?;
                Page { at: now, whole_at: now, marked }
            }
        };
        Ok(&self.pages.entry(spot.to_owned()).or_insert(page).marked)
    }

    /// What was measured of the air at a spot in `span`, with marks that are exact there as far as readings go.
    pub(super) fn read(&mut self, sources: &Sources<'_>, spot: &str, span: Span) -> Result<Marked, StoreError> {
        let wide = Span { from: span.from.plus(-MARKED_BACK_MS), to: span.to };
        let temperature = sources.samples(spot, Quantity::AirTemperature, wide)?;
        let humidity = sources.samples(spot, Quantity::AirHumidity, wide)?;
        let place = mark_place(sources.garden, spot);
        let there = SunThere::of(sources.garden, spot);
        let light = match light_beside(sources.garden, spot).filter(|_| there.is_some()) {
            Some(light) => sources.samples(light, Quantity::Light, span)?,
            None => Vec::new(),
        };
        let mut marked = |quantity, samples: &[Sample], twin: &[Sample]| {
            let mut marks = marks_since(quantity, place, (samples, Some(twin)), span.from.0, &mut self.marker);
            let wanted = samples.get(samples.len() - marks.len()..).unwrap_or_default();
            mark_sun(quantity, there, &light, wanted, &mut marks);
            wanted.iter().copied().zip(marks).collect::<Vec<_>>()
        };
        Ok(Marked {
            temperature: marked(Quantity::AirTemperature, &temperature, &humidity),
            humidity: marked(Quantity::AirHumidity, &humidity, &temperature),
        })
    }
}

impl Marked {
    /// These readings up to `from` and `fresh` ones after it, from `begin` on.
    fn carried(self, from: Millis, begin: Millis, fresh: Marked) -> Marked {
        let joined = |mut old: Vec<Row>, new: Vec<Row>| {
            old.truncate(old.partition_point(|(s, _)| s.t_ms < from.0));
            old.drain(..old.partition_point(|(s, _)| s.t_ms < begin.0));
            old.extend(new);
            old
        };
        Marked {
            temperature: joined(self.temperature, fresh.temperature),
            humidity: joined(self.humidity, fresh.humidity),
        }
    }

    /// Those from `from` on.
    pub(super) fn since(&self, from: Millis) -> (&[Row], &[Row]) {
        let cut = |all: &[Row]| all.partition_point(|(s, _)| s.t_ms < from.0);
        (&self.temperature[cut(&self.temperature)..], &self.humidity[cut(&self.humidity)..])
    }
}

/// The values that count.
pub(super) fn good(marked: &[Row]) -> Vec<Sample> {
    marked.iter().filter(|(_, m)| !m.counts_as_missing()).map(|(s, _)| *s).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(from: i64, to: i64, v: f64) -> Vec<Row> {
        (from..to).map(|h| (Sample { t_ms: h * HOUR, v }, Marks::NONE)).collect()
    }

    #[test]
    fn carried_page_has_each_instant_once_and_the_fresh_word_of_it() {
        let old = Marked { temperature: series(0, 20, 1.0), humidity: series(0, 20, 1.0) };
        let fresh = Marked { temperature: series(18, 22, 2.0), humidity: series(18, 22, 2.0) };
        let page = old.carried(Millis(18 * HOUR), Millis(5 * HOUR), fresh);
        let hours: Vec<i64> = page.temperature.iter().map(|(s, _)| s.t_ms / HOUR).collect();
        assert_eq!(hours, (5..22).collect::<Vec<_>>());
        assert!(page.temperature.iter().all(|(s, _)| (s.v == 2.0) == (s.t_ms >= 18 * HOUR)));
        assert_eq!(page.since(Millis(20 * HOUR)).1.len(), 2);
    }
}
