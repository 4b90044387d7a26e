//! Read-only connections to the stores, kept for the next request, and the views over them.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use propstick_agronomy::coverage::{Sample, cadence_ms};
use propstick_agronomy::quality::{Mark, Marks};
use propstick_garden::model::{Garden, Placement};
use propstick_garden::season::{MARKED_AHEAD_MS, MARKED_BACK_MS, Marker, SunThere, mark_sun, marks_at, twin_of};
use propstick_wire::Millis;
use propstick_wire::millis::MINUTE;
use propstick_wire::quantity::Quantity;

use super::Desk;
use super::problem::Problem;
use crate::season::{light_beside, mark_place};
use crate::store::derived::Hours;
use crate::store::folder;
use crate::store::garden::GardenDb;
use crate::store::readings::{Series, Span};
use crate::store::{Readings, StoreError, placed};

/// Most connections kept for later.
const KEPT: usize = 4;
/// A reading is stale after so many cadences.
const STALE_CADENCES: i64 = 3;
/// And never before this.
const STALE_AT_LEAST: i64 = 20 * MINUTE;
/// A spot is silent after so many times what makes it stale. Our own choice.
const SILENT_TIMES: i64 = 6;

/// Connections that are free.
#[derive(Default)]
pub(super) struct Readers {
    free: Mutex<Vec<Views>>,
}

/// The stores of a data folder, for reading.
pub struct Views {
    pub(super) readings: Readings,
    pub(super) hours: Hours,
    pub(super) garden_db: GardenDb,
    folder: PathBuf,
}

impl Views {
    /// Opens the stores of a data folder for reading.
    pub fn open(path: &Path) -> Result<Views, StoreError> {
        Ok(Views {
            readings: Readings::open(&folder::readings_path(path))?,
            hours: Hours::of_folder(path)?,
            garden_db: GardenDb::open_reader(&folder::garden_path(path))?,
            folder: path.to_owned(),
        })
    }
}

/// Works out an answer on a thread that may wait for the disk.
pub(super) async fn answer<T: Send + 'static>(
    desk: &Desk,
    work: impl FnOnce(&Views, &Garden, Millis) -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    let readers = Arc::clone(&desk.readers);
    let path = desk.windows.folder.clone();
    let garden = desk.windows.garden();
    let now = desk.windows.clock.now();
    let done = tokio::task::spawn_blocking(move || {
        let free = readers.free.lock().ok().and_then(|mut free| free.pop());
        let views = match free {
            Some(views) => views,
            None => Views::open(&path)?,
        };
        let answer = work(&views, &garden, now);
        if let Ok(mut free) = readers.free.lock()
            && free.len() < KEPT
            && views.folder == path
        {
            free.push(views);
        }
        answer
    });
    joined(done.await)
}

/// Does something on a thread that may wait for the disk and for other threads.
pub(super) async fn in_background<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    joined(tokio::task::spawn_blocking(work).await)
}

fn joined<T>(done: Result<Result<T, Problem>, tokio::task::JoinError>) -> Result<T, Problem> {
    match done {
        Ok(answer) => answer,
        Err(error) => {
            tracing::error!(%error, "an answer was not worked out");
            Err(Problem::inside("The answer could not be worked out; the log says why."))
        }
    }
}

/// How a reading stands in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    Fresh,
    Stale,
    Silent,
    Unknown,
}

impl Standing {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Standing::Fresh => "fresh",
            Standing::Stale => "stale",
            Standing::Silent => "silent",
            Standing::Unknown => "unknown",
        }
    }

    /// The standing of a reading `age_ms` old in a series of that cadence.
    pub(super) fn of(age_ms: i64, cadence_ms: i64) -> Standing {
        let stale = (STALE_CADENCES * cadence_ms).max(STALE_AT_LEAST);
        if age_ms <= stale {
            Standing::Fresh
        } else if age_ms <= SILENT_TIMES * stale {
            Standing::Stale
        } else {
            Standing::Silent
        }
    }
}

/// The newest reading of a quantity at a spot.
pub(super) struct Newest {
    pub(super) device: String,
    pub(super) at: Millis,
    pub(super) value: f64,
    pub(super) standing: Standing,
}

impl Views {
    /// What was measured of a quantity at a spot in `span`, corrected and in the quantity's unit.
    pub(super) fn samples(
        &self,
        garden: &Garden,
        series: &[Series],
        spot: &str,
        quantity: Quantity,
        span: Span,
    ) -> Result<Vec<Sample>, StoreError> {
        let read = |id, cut| self.readings.run(id, cut);
        placed::samples(garden, placed::placed(garden, series, spot, quantity), span, read)
    }

    /// The readings of `span` at a spot with their marks.
    pub(super) fn marked(
        &self,
        garden: &Garden,
        series: &[Series],
        spot: &str,
        quantity: Quantity,
        span: Span,
    ) -> Result<Vec<(Sample, Marks)>, StoreError> {
        let wide = Span { from: span.from.plus(-MARKED_BACK_MS), to: span.to.plus(MARKED_AHEAD_MS) };
        let samples = self.samples(garden, series, spot, quantity, wide)?;
        let twin = twin_of(quantity).map(|twin| self.samples(garden, series, spot, twin, wide)).transpose()?;
        let place = mark_place(garden, spot);
        let mut marks = marks_at(quantity, place, &samples, twin.as_deref(), &mut Marker::default());
        let there = SunThere::of(garden, spot).filter(|_| quantity == Quantity::AirTemperature);
        let light = match light_beside(garden, spot).filter(|_| there.is_some()) {
            Some(light) => self.samples(garden, series, light, Quantity::Light, wide)?,
            None => Vec::new(),
        };
        mark_sun(quantity, there, &light, &samples, &mut marks);
        let mut marked: Vec<(Sample, Marks)> = samples.into_iter().zip(marks).collect();
        marked.retain(|(s, _)| span.from.0 <= s.t_ms && s.t_ms < span.to.0);
        Ok(marked)
    }

    /// What is odd about the reading of an instant.
    pub(super) fn marks_at(
        &self,
        garden: &Garden,
        series: &[Series],
        spot: &str,
        quantity: Quantity,
        at: Millis,
    ) -> Result<Vec<&'static str>, StoreError> {
        let marked = self.marked(garden, series, spot, quantity, Span { from: at, to: at.plus(1) })?;
        Ok(marked.iter().flat_map(|(_, marks)| marks.iter()).map(Mark::name).collect())
    }

    /// The newest reading of a quantity at a spot, not later than `now`.
    pub(super) fn newest(
        &self,
        garden: &Garden,
        series: &[Series],
        spot: &str,
        quantity: Quantity,
        now: Millis,
    ) -> Result<Option<Newest>, StoreError> {
        let mut best: Option<(Millis, &Placement, &Series)> = None;
        for (placement, s) in placed::placed(garden, series, spot, quantity) {
            let until = placement.to.map_or(now, |to| to.plus(-1).min(now));
            if let Some(point) = self.readings.newest(s.id, until)?
                && placement.holds(point.t)
                && best.as_ref().is_none_or(|b| point.t > b.0)
            {
                best = Some((point.t, placement, s));
            }
        }
        let Some((at, placement, _)) = best else { return Ok(None) };
        let window = Span { from: at.plus(-25 * 60 * MINUTE), to: at.plus(1) };
        let samples = self.samples(garden, series, spot, quantity, window)?;
        let Some(last) = samples.last() else { return Ok(None) };
        let at = Millis(last.t_ms);
        let cadence = cadence_ms(&samples, at.0 + 1).unwrap_or(propstick_agronomy::coverage::CADENCE_UNKNOWN_MS);
        let standing = Standing::of(now.since(at), cadence);
        Ok(Some(Newest { device: placement.urn.clone(), at, value: last.v, standing }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reading_is_stale_after_three_cadences_but_never_before_twenty_minutes() {
        assert_eq!(Standing::of(19 * MINUTE, 5 * MINUTE), Standing::Fresh);
        assert_eq!(Standing::of(21 * MINUTE, 5 * MINUTE), Standing::Stale);
        assert_eq!(Standing::of(29 * MINUTE, 10 * MINUTE), Standing::Fresh);
        assert_eq!(Standing::of(121 * MINUTE, 5 * MINUTE), Standing::Silent);
    }
}
