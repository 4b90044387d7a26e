//! Which series counts where, and what of the ledger is not worked out yet.

use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use propstick_wire::quantity::Quantity;

use super::{Engine, of_ledger};
use crate::store::StoreError;

/// Where a series counts, and from when until when.
#[derive(Clone)]
pub(super) struct PlacedSeries {
    pub(super) spot: String,
    pub(super) structure: String,
    pub(super) outside: bool,
    pub(super) quantity: Quantity,
    pub(super) from: Millis,
    pub(super) to: Option<Millis>,
    /// How long before its stamp the interval of a number begins.
    pub(super) starts_before_ms: i64,
}

impl PlacedSeries {
    pub(super) fn holds(&self, at: Millis) -> bool {
        self.from <= at && self.to.is_none_or(|to| at < to)
    }
}

impl Engine {
    /// Takes in what stands in the ledger. Its generation is read first: what is committed meanwhile will be told, or looked up again.
    pub(super) fn look_in_ledger(&mut self) -> Result<(), StoreError> {
        self.looked = self.readings.newest_generation()?;
        self.generation = self.looked;
        self.series = self.readings.series()?;
        self.place_all();
        self.tails.clear();
        for k in 0..self.series.len() {
            self.tails.load(&self.readings, self.series[k].id)?;
        }
        if self.derived.done()? > self.looked {
            // An older ledger was put in the place of the one that the figures are from.
            self.derived.begin_anew(&of_ledger(&self.recipe, &self.ledger_id))?;
        }
        self.find_news()?;
        self.told_of_leaves()?;
        self.unsure = false;
        Ok(())
    }

    /// Notes as news everything in the ledger that is not worked out yet.
    pub(super) fn find_news(&mut self) -> Result<(), StoreError> {
        let done = self.derived.done()?;
        if done < 0 {
            for k in 0..self.series.len() {
                let Some((first, last)) = self.readings.extent(self.series[k].id)? else { continue };
                self.note_series(k, first, last);
            }
        } else {
            let (hours, _) = self.readings.dirty_since(done)?;
            for (series, hour) in hours {
                if let Some(k) = self.series.iter().position(|s| s.id == series) {
                    self.note_series(k, Millis(hour * HOUR), Millis(hour * HOUR + HOUR - 1));
                }
            }
        }
        if !self.news.is_empty() {
            self.oldest_news = Some(self.now);
        }
        Ok(())
    }

    fn note_series(&mut self, k: usize, first: Millis, last: Millis) {
        let Some(places) = self.placed.get(&self.series[k].id) else { return };
        for p in places {
            let (first, last) = (first.plus(-p.starts_before_ms), last.plus(-p.starts_before_ms));
            let from = first.max(p.from);
            let to = p.to.map_or(last, |t| last.min(t.plus(-1)));
            if from <= to {
                self.news.note(&p.spot, p.quantity, from, to);
            }
        }
    }

    pub(super) fn place_all(&mut self) {
        self.placed.clear();
        for k in 0..self.series.len() {
            self.place(k);
        }
    }

    pub(super) fn place(&mut self, k: usize) {
        let s = &self.series[k];
        if !s.is_sampled() {
            return;
        }
        let outside = self.garden.outside_spot().map(|o| o.slug.as_str());
        let places: Vec<PlacedSeries> = self
            .garden
            .placements
            .iter()
            .filter(|p| p.urn == s.urn && p.channel == s.channel)
            .filter_map(|p| {
                Some(PlacedSeries {
                    spot: p.spot.clone(),
                    structure: self.garden.spot(&p.spot)?.structure.clone(),
                    outside: outside == Some(p.spot.as_str()),
                    quantity: p.quantity,
                    from: p.from,
                    to: p.to,
                    starts_before_ms: s.starts_before_ms(),
                })
            })
            .collect();
        if !places.is_empty() {
            self.placed.insert(s.id, places);
        }
    }
}
