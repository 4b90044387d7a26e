//! Imports: a file's readings as an origin of their own, stored all or not at all, and taken back whole.

mod origins;
#[cfg(test)]
mod tests;

use std::path::PathBuf;

use propstick_garden::took::{Facts, SeriesKey};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use rusqlite::{Connection, Statement, Transaction, params};

use super::ledger::{Ledger, settle_instant};
use super::readings::SeriesId;
use super::registers;
use super::sqlite::StoreError;

pub use origins::Origin;

/// An import that is to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewOrigin {
    /// What it is called.
    pub label: String,
    /// When it is made; its readings arrive then.
    pub made_at: Millis,
    /// Name of the file.
    pub file: Option<String>,
    /// SHA-256 of the file, as hexadecimal digits.
    pub sha256: String,
    /// The mapping it is read by.
    pub mapping: String,
    /// The zone its times are read in, as text.
    pub zone: Option<String>,
    /// The file, compressed by gzip, to be kept with it.
    pub source: Option<PathBuf>,
}

/// A piece of an import.
#[derive(Clone, Debug, PartialEq)]
pub enum ImportPiece {
    /// A series; the first has number 0 in this import, the next 1.
    Series(SeriesKey),
    /// Readings: number of the series, instant, value as written.
    Readings(Vec<(u32, Millis, f64)>),
    /// What was found in the file, as JSON, to be kept with the import.
    Report(String),
}

/// What an import brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Imported {
    /// Its number.
    pub origin: i64,
    /// Generation of its dirty hours.
    pub generation: i64,
    /// Readings stored.
    pub readings: u64,
    /// Repeats within it, with the same value.
    pub twice_same: u64,
    /// Second values for an instant within it: the smaller counts, the other is kept as a variant.
    pub twice_other: u64,
    /// Instants that were known before, with the same value.
    pub known_same: u64,
    /// Instants that were known before with another value: the lowest origin counts.
    pub known_other: u64,
}

/// Why nothing was imported.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The store said no.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// Whoever gave the pieces broke off.
    #[error("{0}")]
    Broken(String),
}

impl From<rusqlite::Error> for ImportError {
    fn from(error: rusqlite::Error) -> ImportError {
        ImportError::Store(error.into())
    }
}

/// What taking back an import removed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TakenBack {
    /// Readings removed, losers included.
    pub readings: usize,
}

impl Ledger {
    /// Stores an import in one transaction: `next` gives its pieces, a series before its readings, until it gives none.
    ///
    /// Memory does not grow with it: what does not fit the store's cache goes into the log beside the file. Whoever else wants to commit waits until it
    /// is over. Of two imports that contradict each other the one made first counts, and of two values within one the smaller; what was heard live
    /// counts before either.
    ///
    /// # Errors
    /// What the store says, or what a piece that is an error says; then nothing of it is stored.
    pub fn import(
        &mut self,
        origin: &NewOrigin,
        next: &mut dyn FnMut() -> Option<Result<ImportPiece, String>>,
    ) -> Result<Imported, ImportError> {
        let change = self.db.unchecked_transaction()?;
        let mut import = Import::begin(&change, origin, self.generation + 1)?;
        while let Some(piece) = next() {
            match piece.map_err(ImportError::Broken)? {
                ImportPiece::Series(key) => import.name(key),
                ImportPiece::Readings(lot) => import.take(&lot)?,
                ImportPiece::Report(text) => import.keep_report(&text)?,
            }
        }
        let mut done = import.close()?;
        if done.readings == 0 {
            // Generations are counted by dirty hours, and there are none.
            done.generation = self.generation;
        }
        change.commit()?;
        self.generation = done.generation;
        Ok(done)
    }

    /// Takes back everything of one import; never what was heard live. One that is not there is no error.
    ///
    /// Its series and devices stay until the ledger is opened again: somebody has to be told that they have nothing left.
    ///
    /// # Errors
    /// What the store says; then nothing is taken back.
    pub fn take_back(&mut self, origin: i64) -> Result<TakenBack, StoreError> {
        if origin == 0 {
            return Ok(TakenBack::default());
        }
        let change = self.db.unchecked_transaction()?;
        let generation = self.generation + 1;
        let mut query = change.prepare("SELECT series, first, last FROM origin_series WHERE origin = ?1")?;
        let parts = query
            .query_map([origin], |r| Ok((SeriesId(r.get(0)?), r.get(1)?, r.get(2)?)))?
            .collect::<Result<Vec<(SeriesId, i64, i64)>, _>>()?;
        drop(query);
        let mut readings = 0;
        for &(series, first, last) in &parts {
            note_hours(&change, series, (first, last), origin, generation)?;
            for table in ["reading", "variant"] {
                let delete = format!("DELETE FROM {table} WHERE series = ?1 AND t BETWEEN ?2 AND ?3 AND origin = ?4");
                readings += change.execute(&delete, params![series.0, first, last, origin])?;
            }
        }
        for table in ["origin_series", "origin_report"] {
            change.execute(&format!("DELETE FROM {table} WHERE origin = ?1"), [origin])?;
        }
        change.execute("DELETE FROM origin WHERE id = ?1", [origin])?;
        for (series, ..) in &parts {
            registers::call_as_files_do(&change, *series)?;
        }
        change.commit()?;
        if !parts.is_empty() {
            self.generation = generation;
        }
        Ok(TakenBack { readings })
    }
}

/// Notes the hours as dirty in which a series has readings of an origin.
fn note_hours(
    change: &Transaction<'_>,
    series: SeriesId,
    (first, last): (i64, i64),
    origin: i64,
    generation: i64,
) -> Result<(), StoreError> {
    let mut instants =
        change.prepare_cached("SELECT t FROM reading WHERE series = ?1 AND t BETWEEN ?2 AND ?3 AND origin = ?4")?;
    let mut note = change.prepare_cached(NOTE)?;
    let mut rows = instants.query(params![series.0, first, last, origin])?;
    let mut noted = None;
    while let Some(row) = rows.next()? {
        let hour = row.get::<_, i64>(0)?.div_euclid(HOUR);
        if noted != Some(hour) {
            note.execute(params![series.0, hour, generation])?;
            noted = Some(hour);
        }
    }
    Ok(())
}

/// Notes an hour as dirty.
const NOTE: &str = "INSERT OR REPLACE INTO dirty(series, hour, gen) VALUES (?1, ?2, ?3)";

/// An import under way.
struct Import<'a> {
    change: &'a Transaction<'a>,
    done: Imported,
    arrived: i64,
    /// One for each series, in the order in which they came.
    lines: Vec<Line>,
    /// The line of each series as the pieces number them: one series may be named twice.
    numbers: Vec<usize>,
    insert: Statement<'a>,
    note: Statement<'a>,
}

/// What is kept in mind of a series while its readings come.
struct Line {
    key: SeriesKey,
    /// None until its first reading.
    id: Option<SeriesId>,
    /// The hour noted as dirty last.
    hour: Option<i64>,
    n: u64,
    first: i64,
    last: i64,
    /// First and last instant that were known before.
    before: Option<(i64, i64)>,
}

impl<'a> Import<'a> {
    fn begin(change: &'a Transaction<'a>, origin: &NewOrigin, generation: i64) -> Result<Import<'a>, ImportError> {
        let id = origins::begin(change, origin)?;
        Ok(Import {
            change,
            done: Imported { origin: id, generation, ..Imported::default() },
            arrived: origin.made_at.0,
            lines: Vec::new(),
            numbers: Vec::new(),
            insert: change.prepare(
                "INSERT OR IGNORE INTO reading(series, t, origin, v, arrived, facts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?,
            note: change.prepare(NOTE)?,
        })
    }

    fn name(&mut self, key: SeriesKey) {
        // What a file calls the device is no part of what a series is.
        let parts =
            |k: &SeriesKey| (k.device.clone(), k.channel.clone(), k.unit_sent.clone(), k.kind, k.span_s, k.stamp_end);
        let known = self.lines.iter().position(|line| parts(&line.key) == parts(&key));
        self.numbers.push(known.unwrap_or(self.lines.len()));
        if known.is_none() {
            self.lines.push(Line { key, id: None, hour: None, n: 0, first: i64::MAX, last: i64::MIN, before: None });
        }
    }

    fn take(&mut self, lot: &[(u32, Millis, f64)]) -> Result<(), ImportError> {
        let (origin, generation, facts) = (self.done.origin, self.done.generation, Facts::TIME_OWN.0);
        for &(k, t, v) in lot {
            let Some(line) = self.numbers.get(k as usize).and_then(|&n| self.lines.get_mut(n)) else {
                return Err(ImportError::Broken(format!("a reading of series {k}, which was not named")));
            };
            if !v.is_finite() {
                return Err(ImportError::Broken(format!("{v} for {} at {}", line.key.channel, t.0)));
            }
            let series = line.open(self.change)?;
            if self.insert.execute(params![series.0, t.0, origin, v, self.arrived, facts])? == 1 {
                line.count(t.0);
            } else if second_value(self.change, (series, t, origin), (self.arrived, v, facts))? {
                self.done.twice_other += 1;
            } else {
                self.done.twice_same += 1;
            }
            let hour = t.0.div_euclid(HOUR);
            if line.hour != Some(hour) {
                self.note.execute(params![series.0, hour, generation])?;
                line.hour = Some(hour);
            }
        }
        Ok(())
    }

    /// Keeps the report beside the row of the import: that holds the file, which is not to be written twice.
    fn keep_report(&mut self, text: &str) -> Result<(), ImportError> {
        self.change.execute(
            "INSERT OR REPLACE INTO origin_report(origin, text) VALUES (?1, ?2)",
            params![self.done.origin, text],
        )?;
        Ok(())
    }

    fn close(mut self) -> Result<Imported, ImportError> {
        let origin = self.done.origin;
        for line in &self.lines {
            let Some(series) = line.id else { continue };
            self.change.execute(
                "INSERT INTO origin_series(origin, series, kind, mapping, n, first, last) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![
                    origin,
                    series.0,
                    line.key.device_kind.word(),
                    line.key.mapping,
                    line.n as i64,
                    line.first,
                    line.last
                ],
            )?;
            registers::call_as_files_do(self.change, series)?;
            self.done.readings += line.n;
            let (same, other) = line.known(self.change, series, origin)?;
            self.done.known_same += same;
            self.done.known_other += other;
        }
        Ok(self.done)
    }
}

impl Line {
    fn open(&mut self, change: &Transaction<'_>) -> Result<SeriesId, StoreError> {
        if let Some(id) = self.id {
            return Ok(id);
        }
        let id = registers::series_of_file(change, &self.key)?;
        let ends: (Option<i64>, Option<i64>) = change
            .prepare_cached(
                "SELECT (SELECT t FROM reading WHERE series = ?1 ORDER BY t LIMIT 1), (SELECT t FROM reading WHERE series = ?1 ORDER BY t DESC LIMIT 1)",
            )?
            .query_row([id.0], |r| Ok((r.get(0)?, r.get(1)?)))?;
        self.before = ends.0.zip(ends.1);
        self.id = Some(id);
        Ok(id)
    }

    fn count(&mut self, t: i64) {
        self.n += 1;
        self.first = self.first.min(t);
        self.last = self.last.max(t);
    }

    /// How many of its instants were known before from elsewhere: with the same value, and with another.
    fn known(&self, change: &Transaction<'_>, series: SeriesId, origin: i64) -> Result<(u64, u64), StoreError> {
        let Some((first, last)) = self.before else { return Ok((0, 0)) };
        let (from, to) = (first.max(self.first), last.min(self.last));
        // By instant and origin: all that others say of an instant stands before what this import says, for it is the newest.
        let mut query = change.prepare_cached(
            "SELECT t, origin, v FROM reading WHERE series = ?1 AND t BETWEEN ?2 AND ?3 ORDER BY t, origin",
        )?;
        let mut rows = query.query(params![series.0, from, to])?;
        let (mut same, mut other) = (0, 0);
        let mut winner: Option<(i64, f64)> = None;
        while let Some(row) = rows.next()? {
            let (t, whose, v): (i64, i64, f64) = (row.get(0)?, row.get(1)?, row.get(2)?);
            let known = winner.filter(|w| w.0 == t);
            match known {
                Some((_, counts)) if whose == origin && counts == v => same += 1,
                Some(_) if whose == origin => other += 1,
                Some(_) => {}
                None => winner = Some((t, v)),
            }
        }
        Ok((same, other))
    }
}

/// A value for an instant that this import has given before; true if it is another.
fn second_value(
    change: &Transaction<'_>,
    at: (SeriesId, Millis, i64),
    another: (i64, f64, u8),
) -> Result<bool, StoreError> {
    let (series, t, origin) = at;
    let known: bool = change
        .prepare_cached(
            "SELECT EXISTS(SELECT 1 FROM reading WHERE series = ?1 AND t = ?2 AND origin = ?3 AND v = ?4
                UNION ALL SELECT 1 FROM variant WHERE series = ?1 AND t = ?2 AND origin = ?3 AND v = ?4)",
        )?
        .query_row(params![series.0, t.0, origin, another.1], |r| r.get(0))?;
    if !known {
        settle_instant(change, at, another)?;
    }
    Ok(!known)
}

/// Forgets series and devices of which nothing is left and of which nobody has to be told any more.
pub(super) fn tidy(db: &Connection) -> Result<(), StoreError> {
    db.execute_batch(
        "BEGIN;
         DELETE FROM series WHERE NOT EXISTS(SELECT 1 FROM reading r WHERE r.series = series.id)
            AND NOT EXISTS(SELECT 1 FROM variant v WHERE v.series = series.id)
            AND NOT EXISTS(SELECT 1 FROM dirty d WHERE d.series = series.id);
         DELETE FROM device WHERE first_heard IS NULL AND NOT EXISTS(SELECT 1 FROM series s WHERE s.device = device.id);
         COMMIT;",
    )?;
    Ok(())
}
