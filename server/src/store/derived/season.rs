//! Wet hours and noon-days of the spots, with the states that they go on from.

use std::collections::HashMap;

use propstick_agronomy::runs::Runs;
use propstick_agronomy::wetness::hours::WetHour;
use propstick_garden::season::{NOON_DAY_MS, Night, SpotState};
use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use super::super::StoreError;
use super::super::readings::Span;
use super::{Derived, Hours};

/// Wet hours and noon-days of one spot that replace whatever stood in their stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct SeasonOf {
    /// The spot.
    pub spot: String,
    /// The stretch they replace, from a noon to a noon.
    pub span: Span,
    /// Its hours of which something is known.
    pub hours: Vec<WetHour>,
    /// Its noon-days that are over.
    pub nights: Vec<NightRow>,
}

/// A noon-day as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NightRow {
    /// The noon it begins with.
    pub noon: Millis,
    /// The noon-day, as [`Night::written`] gives it.
    pub night: Vec<u8>,
    /// The state after it, as [`SpotState::written`] gives it.
    pub state: Vec<u8>,
}

/// A noon-day that was kept, with the state after it.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptNight {
    /// The noon it begins with.
    pub noon: Millis,
    /// What it came to.
    pub night: Night,
    /// The state after it.
    pub state: SpotState,
}

/// Writes seasons within a transaction. `sites` are the numbers of spots that are known already.
pub(super) fn write(
    change: &Transaction<'_>,
    sites: &mut HashMap<String, i64>,
    seasons: &[SeasonOf],
) -> Result<(), StoreError> {
    for season in seasons {
        let site = match sites.get(&season.spot) {
            Some(&id) => id,
            None => {
                change.prepare_cached("INSERT OR IGNORE INTO site(spot) VALUES (?1)")?.execute([&season.spot])?;
                let id = site_id(change, &season.spot)?.unwrap_or(0);
                sites.insert(season.spot.clone(), id);
                id
            }
        };
        let span = params![site, season.span.from.0, season.span.to.0];
        change.prepare_cached("DELETE FROM wet WHERE site = ?1 AND hour >= ?2 AND hour < ?3")?.execute(span)?;
        change.prepare_cached("DELETE FROM night WHERE site = ?1 AND noon >= ?2 AND noon < ?3")?.execute(span)?;
        let mut insert = change.prepare_cached(
            "INSERT INTO wet(site, hour, covered_ms, wet_ms_lo, wet_ms, wet_ms_hi, t_c, rh_pct_lo, rh_pct, rh_pct_hi, suspect, frozen_ms)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?;
        for h in &season.hours {
            let (w, rh) = (h.wet_ms, h.rh_pct);
            insert.execute(params![
                site,
                h.from_ms,
                h.covered_ms,
                w.low,
                w.read,
                w.high,
                h.t_c,
                rh.map(|r| r.low),
                rh.map(|r| r.read),
                rh.map(|r| r.high),
                h.suspect,
                h.frozen_ms
            ])?;
        }
        let mut insert =
            change.prepare_cached("INSERT INTO night(site, noon, night, state) VALUES (?1, ?2, ?3, ?4)")?;
        for night in &season.nights {
            insert.execute(params![site, night.noon.0, night.night, night.state])?;
        }
    }
    Ok(())
}

impl Derived {
    /// The state that stands at `noon` or, where none does, at the last noon before it that has one.
    pub fn state_until(&self, spot: &str, noon: Millis) -> Result<Option<SpotState>, StoreError> {
        let Some(site) = site_id(&self.db, spot)? else { return Ok(None) };
        let bytes: Option<Vec<u8>> = self
            .db
            .prepare_cached("SELECT state FROM night WHERE site = ?1 AND noon <= ?2 ORDER BY noon DESC LIMIT 1")?
            .query_row(params![site, noon.0 - NOON_DAY_MS], |r| r.get(0))
            .optional()?;
        Ok(bytes.as_deref().and_then(SpotState::read))
    }

    /// Noon-days of a spot as they are kept, in order.
    pub fn night_rows(&self, spot: &str, span: Span) -> Result<Vec<NightRow>, StoreError> {
        night_rows(&self.db, spot, span)
    }
}

/// The reading side of seasons: see [`Hours`].
pub trait Seasons {
    /// Wet hours of `span` of which something is known, in order.
    ///
    /// # Errors
    /// A store that cannot be read.
    fn wet_hours(&self, spot: &str, span: Span) -> Result<Vec<WetHour>, StoreError>;

    /// Noon-days that begin in `span` and are over, in order.
    ///
    /// # Errors
    /// A store that cannot be read.
    fn nights(&self, spot: &str, span: Span) -> Result<Vec<KeptNight>, StoreError>;

    /// The last noon-day that begins before `until`.
    ///
    /// # Errors
    /// A store that cannot be read.
    fn last_night(&self, spot: &str, until: Millis) -> Result<Option<KeptNight>, StoreError>;
}

impl Seasons for Hours {
    fn wet_hours(&self, spot: &str, span: Span) -> Result<Vec<WetHour>, StoreError> {
        wet_rows(&self.db, spot, span)
    }

    fn nights(&self, spot: &str, span: Span) -> Result<Vec<KeptNight>, StoreError> {
        Ok(night_rows(&self.db, spot, span)?.iter().filter_map(kept).collect())
    }

    fn last_night(&self, spot: &str, until: Millis) -> Result<Option<KeptNight>, StoreError> {
        last_row(&self.db, spot, until)
    }
}

impl Seasons for Derived {
    fn wet_hours(&self, spot: &str, span: Span) -> Result<Vec<WetHour>, StoreError> {
        wet_rows(&self.db, spot, span)
    }

    fn nights(&self, spot: &str, span: Span) -> Result<Vec<KeptNight>, StoreError> {
        Ok(night_rows(&self.db, spot, span)?.iter().filter_map(kept).collect())
    }

    fn last_night(&self, spot: &str, until: Millis) -> Result<Option<KeptNight>, StoreError> {
        last_row(&self.db, spot, until)
    }
}

fn wet_rows(db: &Connection, spot: &str, span: Span) -> Result<Vec<WetHour>, StoreError> {
    let Some(site) = site_id(db, spot)? else { return Ok(Vec::new()) };
    let mut query = db.prepare_cached(
        "SELECT hour, covered_ms, wet_ms_lo, wet_ms, wet_ms_hi, t_c, rh_pct_lo, rh_pct, rh_pct_hi, suspect, frozen_ms FROM wet
             WHERE site = ?1 AND hour >= ?2 AND hour < ?3 ORDER BY hour",
    )?;
    let rows = query.query_map(params![site, span.from.0, span.to.0], wet_hour)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn last_row(db: &Connection, spot: &str, until: Millis) -> Result<Option<KeptNight>, StoreError> {
    let Some(site) = site_id(db, spot)? else { return Ok(None) };
    let row = db
        .prepare_cached(
            "SELECT noon, night, state FROM night WHERE site = ?1 AND noon < ?2 ORDER BY noon DESC LIMIT 1",
        )?
        .query_row(params![site, until.0], night_row)
        .optional()?;
    Ok(row.as_ref().and_then(kept))
}

fn kept(row: &NightRow) -> Option<KeptNight> {
    let state = SpotState::read(&row.state)?;
    Some(KeptNight { noon: row.noon, night: Night::read(&row.night, &state)?, state })
}

fn night_rows(db: &Connection, spot: &str, span: Span) -> Result<Vec<NightRow>, StoreError> {
    let Some(site) = site_id(db, spot)? else { return Ok(Vec::new()) };
    let mut query = db.prepare_cached(
        "SELECT noon, night, state FROM night WHERE site = ?1 AND noon >= ?2 AND noon < ?3 ORDER BY noon",
    )?;
    let rows = query.query_map(params![site, span.from.0, span.to.0], night_row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn night_row(r: &Row<'_>) -> rusqlite::Result<NightRow> {
    Ok(NightRow { noon: Millis(r.get(0)?), night: r.get(1)?, state: r.get(2)? })
}

fn wet_hour(r: &Row<'_>) -> rusqlite::Result<WetHour> {
    let rh: (Option<f64>, Option<f64>, Option<f64>) = (r.get(6)?, r.get(7)?, r.get(8)?);
    Ok(WetHour {
        from_ms: r.get(0)?,
        covered_ms: r.get(1)?,
        wet_ms: Runs { low: r.get(2)?, read: r.get(3)?, high: r.get(4)? },
        t_c: r.get(5)?,
        rh_pct: match rh {
            (Some(low), Some(read), Some(high)) => Some(Runs { low, read, high }),
            _ => None,
        },
        suspect: r.get(9)?,
        frozen_ms: r.get(10)?,
    })
}

fn site_id(db: &Connection, spot: &str) -> Result<Option<i64>, StoreError> {
    Ok(db.prepare_cached("SELECT id FROM site WHERE spot = ?1")?.query_row([spot], |r| r.get(0)).optional()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_wire::millis::HOUR;

    #[test]
    fn season_written_again_replaces_its_stretch_and_comes_back_to_the_last_bit() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("derived.db");
        let mut derived = Derived::open(&path, "a").unwrap();
        let hour = |k: i64| WetHour {
            covered_ms: HOUR,
            wet_ms: Runs { low: 0, read: 1, high: HOUR },
            t_c: Some(0.1 + 0.2),
            rh_pct: Some(Runs { low: 1.0 / 3.0, read: 90.1, high: 93.1 }),
            ..WetHour::unknown(k * HOUR)
        };
        let mut state = SpotState::starting(Millis(0));
        let room = propstick_garden::season::DayRoom::default();
        // What an open event came to is not kept.
        let mut night = state.fold(&room.hours);
        night.day.diseases.iter_mut().for_each(|d| d.progress = Runs::all(0.0));
        let row = NightRow { noon: Millis(0), night: night.written(&room.hours), state: state.written() };
        let all = Span { from: Millis(0), to: Millis(99 * HOUR) };
        let season = |hours: &[i64]| SeasonOf {
            spot: "bench".into(),
            span: all,
            hours: hours.iter().map(|k| hour(*k)).collect(),
            nights: vec![row.clone()],
        };
        derived.write(&[], &[season(&[1, 2])], 3).unwrap();
        derived.write(&[], &[season(&[2])], 4).unwrap();
        let hours = Hours::open(&path).unwrap();
        assert_eq!(hours.wet_hours("bench", all).unwrap(), [hour(2)]);
        let found = hours.nights("bench", all).unwrap();
        assert_eq!((found.len(), found[0].state, found[0].night), (1, state, night));
        assert_eq!(hours.last_night("bench", Millis(1)).unwrap().unwrap().noon, Millis(0));
        assert_eq!(derived.state_until("bench", Millis(24 * HOUR)).unwrap(), Some(state));
        assert_eq!(derived.state_until("bench", Millis(23 * HOUR)).unwrap(), None);
        assert_eq!(hours.wet_hours("elsewhere", all).unwrap(), []);
    }
}
