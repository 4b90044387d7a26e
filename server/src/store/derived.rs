//! `derived.db`: hours, wet hours and noon-days worked out from the readings. Deleting it changes no figure; it is made again.

mod season;

pub use season::{KeptNight, NightRow, SeasonOf, Seasons};

use std::collections::HashMap;
use std::path::Path;

use propstick_garden::fold::HourRow;
use propstick_garden::model::Measure;
use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, params};

use super::readings::Span;
use super::sqlite::{self, Durability};
use super::{StoreError, folder};

const STEPS: &[&str] = &[
    r"
CREATE TABLE place(id INTEGER PRIMARY KEY, spot TEXT NOT NULL, measure TEXT NOT NULL, UNIQUE(spot, measure));
CREATE TABLE hour(place INTEGER NOT NULL, hour INTEGER NOT NULL, n INTEGER NOT NULL, covered_ms INTEGER NOT NULL, min REAL NOT NULL,
    max REAL NOT NULL, sum REAL NOT NULL, PRIMARY KEY(place, hour)) WITHOUT ROWID;
CREATE TABLE done(one INTEGER PRIMARY KEY CHECK(one = 1), gen INTEGER NOT NULL, recipe TEXT NOT NULL);
",
    r"
CREATE TABLE site(id INTEGER PRIMARY KEY, spot TEXT NOT NULL UNIQUE);
CREATE TABLE wet(site INTEGER NOT NULL, hour INTEGER NOT NULL, covered_ms INTEGER NOT NULL, frozen_ms INTEGER NOT NULL, wet_ms_lo INTEGER NOT NULL,
    wet_ms INTEGER NOT NULL, wet_ms_hi INTEGER NOT NULL, t_c REAL, rh_pct_lo REAL, rh_pct REAL, rh_pct_hi REAL, suspect INTEGER NOT NULL, PRIMARY KEY(site, hour)) WITHOUT ROWID;
CREATE TABLE night(site INTEGER NOT NULL, noon INTEGER NOT NULL, night BLOB NOT NULL, state BLOB NOT NULL, PRIMARY KEY(site, noon)) WITHOUT ROWID;
",
    r"
CREATE TABLE told(structure TEXT NOT NULL, at INTEGER NOT NULL, what INTEGER NOT NULL, PRIMARY KEY(structure, at, what)) WITHOUT ROWID;
",
];

/// Hours of one spot and measure that replace whatever stood in their stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursOf {
    /// The spot.
    pub spot: String,
    /// The measure.
    pub measure: Measure,
    /// The stretch they replace.
    pub span: Span,
    /// Its hours; those without coverage may be left out.
    pub rows: Vec<HourRow>,
}

/// The writing side; the engine has the only one.
pub struct Derived {
    db: Connection,
    places: HashMap<(String, Measure), i64>,
    sites: HashMap<String, i64>,
}

impl Derived {
    /// Opens the file for a recipe. A file of another recipe, of another schema or damaged anywhere is thrown away and begun anew.
    pub fn open(path: &Path, recipe: &str) -> Result<Derived, StoreError> {
        match Derived::try_open(path, recipe) {
            Ok(Some(derived)) => Ok(derived),
            Ok(None) | Err(StoreError::Sqlite(_) | StoreError::Newer { .. } | StoreError::Damaged { .. }) => {
                for suffix in ["", "-wal", "-shm"] {
                    let mut name = path.as_os_str().to_owned();
                    name.push(suffix);
                    match std::fs::remove_file(&name) {
                        Err(e) if e.kind() != std::io::ErrorKind::NotFound => return Err(StoreError::io(path, e)),
                        _ => {}
                    }
                }
                Derived::try_open(path, recipe)?.ok_or_else(|| StoreError::Damaged {
                    path: path.to_owned(),
                    what: "could not be begun anew".to_owned(),
                })
            }
            Err(e) => Err(e),
        }
    }

    fn try_open(path: &Path, recipe: &str) -> Result<Option<Derived>, StoreError> {
        let db = sqlite::open(path, Durability::Disposable, STEPS)?;
        sqlite::sound_pages(&db)?;
        let found: Option<String> =
            db.query_row("SELECT recipe FROM done WHERE one = 1", [], |r| r.get(0)).optional()?;
        match found {
            None => {
                db.execute("INSERT INTO done(one, gen, recipe) VALUES (1, -1, ?1)", [recipe])?;
            }
            Some(found) if found != recipe => return Ok(None),
            Some(_) => {}
        }
        Ok(Some(Derived { db, places: HashMap::new(), sites: HashMap::new() }))
    }

    /// Up to which generation of the ledger everything is worked out; -1 where nothing is yet.
    pub fn done(&self) -> Result<i64, StoreError> {
        Ok(self.db.query_row("SELECT gen FROM done WHERE one = 1", [], |r| r.get(0))?)
    }

    /// Replaces hours and seasons and notes that everything up to `done` is worked out, in one transaction.
    pub fn write(&mut self, lots: &[HoursOf], seasons: &[SeasonOf], done: i64) -> Result<(), StoreError> {
        let written = self.try_write(lots, seasons, done);
        if written.is_err() {
            // What was remembered may name rows that were rolled back.
            self.places.clear();
            self.sites.clear();
        }
        written
    }

    fn try_write(&mut self, lots: &[HoursOf], seasons: &[SeasonOf], done: i64) -> Result<(), StoreError> {
        let change = self.db.unchecked_transaction()?;
        for lot in lots {
            let key = (lot.spot.clone(), lot.measure);
            let place = match self.places.get(&key) {
                Some(&id) => id,
                None => {
                    change
                        .prepare_cached("INSERT OR IGNORE INTO place(spot, measure) VALUES (?1, ?2)")?
                        .execute(params![lot.spot, lot.measure.name()])?;
                    let id = place_id(&change, &lot.spot, lot.measure)?.unwrap_or(0);
                    self.places.insert(key, id);
                    id
                }
            };
            change
                .prepare_cached("DELETE FROM hour WHERE place = ?1 AND hour >= ?2 AND hour < ?3")?
                .execute(params![place, lot.span.from.0, lot.span.to.0])?;
            let mut insert = change.prepare_cached(
                "INSERT INTO hour(place, hour, n, covered_ms, min, max, sum) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?;
            for row in lot.rows.iter().filter(|r| r.n > 0 || r.covered_ms > 0) {
                let (min, max) = if row.n > 0 { (row.min, row.max) } else { (0.0, 0.0) };
                insert.execute(params![place, row.from.0, row.n, row.covered_ms, min, max, row.sum])?;
            }
        }
        season::write(&change, &mut self.sites, seasons)?;
        change.prepare_cached("UPDATE done SET gen = max(gen, ?1) WHERE one = 1")?.execute([done])?;
        change.commit()?;
        Ok(())
    }

    /// What was told of water on the leaves of a structure that its season is worked out with, ascending.
    pub fn told(&self, structure: &str) -> Result<Vec<(i64, i64)>, StoreError> {
        let mut query = self.db.prepare_cached("SELECT at, what FROM told WHERE structure = ?1 ORDER BY at, what")?;
        let rows = query.query_map([structure], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Notes what was told of water on the leaves of a structure that its season is worked out with now.
    pub fn keep_told(&mut self, structure: &str, told: &[(i64, i64)]) -> Result<(), StoreError> {
        if self.told(structure)? == told {
            return Ok(());
        }
        let change = self.db.unchecked_transaction()?;
        change.prepare_cached("DELETE FROM told WHERE structure = ?1")?.execute([structure])?;
        let mut insert = change.prepare_cached("INSERT INTO told(structure, at, what) VALUES (?1, ?2, ?3)")?;
        for (at, what) in told {
            insert.execute(params![structure, at, what])?;
        }
        drop(insert);
        change.commit()?;
        Ok(())
    }

    /// Throws everything away and begins anew by another recipe.
    pub fn begin_anew(&mut self, recipe: &str) -> Result<(), StoreError> {
        let change = self.db.unchecked_transaction()?;
        for table in ["hour", "wet", "night", "told"] {
            change.execute(&format!("DELETE FROM {table}"), [])?;
        }
        change.execute("UPDATE done SET gen = -1, recipe = ?1 WHERE one = 1", [recipe])?;
        change.commit()?;
        Ok(())
    }

    /// Makes sure that what was written so far is on disk; false where a reader stood in the way of all of it.
    pub fn settle(&self) -> Result<bool, StoreError> {
        let busy: i64 = self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |r| r.get(0))?;
        Ok(busy == 0)
    }
}

/// The reading side: short, read-only.
pub struct Hours {
    db: Connection,
}

impl Hours {
    /// Opens the derived figures of a data folder.
    pub fn open(path: &Path) -> Result<Hours, StoreError> {
        Ok(Hours { db: sqlite::open_reader(path, STEPS)? })
    }

    /// Opens the derived figures of a data folder by the folder's path.
    pub fn of_folder(path: &Path) -> Result<Hours, StoreError> {
        Hours::open(&folder::derived_path(path))
    }

    /// Hours of `span` that have any coverage, in order.
    pub fn hours(&self, spot: &str, measure: Measure, span: Span) -> Result<Vec<HourRow>, StoreError> {
        let Some(place) = place_id(&self.db, spot, measure)? else { return Ok(Vec::new()) };
        let mut query = self.db.prepare_cached(
            "SELECT hour, n, covered_ms, min, max, sum FROM hour WHERE place = ?1 AND hour >= ?2 AND hour < ?3 ORDER BY hour",
        )?;
        let rows = query.query_map(params![place, span.from.0, span.to.0], |r| {
            Ok(HourRow {
                from: Millis(r.get(0)?),
                n: r.get(1)?,
                covered_ms: r.get(2)?,
                min: r.get(3)?,
                max: r.get(4)?,
                sum: r.get(5)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Up to which generation of the ledger everything is worked out.
    pub fn done(&self) -> Result<i64, StoreError> {
        Ok(self.db.prepare_cached("SELECT gen FROM done WHERE one = 1")?.query_row([], |r| r.get(0))?)
    }
}

fn place_id(db: &Connection, spot: &str, measure: Measure) -> Result<Option<i64>, StoreError> {
    Ok(db
        .prepare_cached("SELECT id FROM place WHERE spot = ?1 AND measure = ?2")?
        .query_row(params![spot, measure.name()], |r| r.get(0))
        .optional()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use propstick_wire::millis::HOUR;

    fn lot(hours: &[i64]) -> HoursOf {
        HoursOf {
            spot: "bench".into(),
            measure: Measure::DewPoint,
            span: Span { from: Millis(0), to: Millis(10 * HOUR) },
            rows: hours
                .iter()
                .map(|h| HourRow { from: Millis(h * HOUR), n: 1, covered_ms: HOUR, min: 1.0, max: 2.0, sum: 1.5 })
                .collect(),
        }
    }

    #[test]
    fn hours_written_again_replace_those_of_their_stretch() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("derived.db");
        let mut derived = Derived::open(&path, "a").unwrap();
        derived.write(&[lot(&[1, 2, 3])], &[], 4).unwrap();
        derived.write(&[lot(&[2])], &[], 5).unwrap();
        let hours = Hours::open(&path).unwrap();
        let all = Span { from: Millis(0), to: Millis(99 * HOUR) };
        let found = hours.hours("bench", Measure::DewPoint, all).unwrap();
        assert_eq!(found.iter().map(|h| h.from.0 / HOUR).collect::<Vec<_>>(), [2]);
        assert_eq!(hours.done().unwrap(), 5);
    }

    #[test]
    fn another_recipe_or_rubbish_in_the_file_begins_anew() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("derived.db");
        Derived::open(&path, "a").unwrap().write(&[lot(&[1])], &[], 4).unwrap();
        assert_eq!(Derived::open(&path, "a").unwrap().done().unwrap(), 4);
        assert_eq!(Derived::open(&path, "b").unwrap().done().unwrap(), -1);
        std::fs::write(&path, b"this is no database at all, not even nearly one, whatever one does").unwrap();
        assert_eq!(Derived::open(&path, "b").unwrap().done().unwrap(), -1);
    }
}
