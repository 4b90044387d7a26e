//! Imports: a file's readings as an origin of their own, stored all or not at all, and taken back whole.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use propstick_garden::took::{Facts, SeriesKey};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use rusqlite::{Connection, MAIN_DB, Transaction, params};

use super::ledger::{Ledger, settle_instant};
use super::readings::{Readings, SeriesId};
use super::registers::Registers;
use super::sqlite::StoreError;

/// How much of a kept file is copied in one go.
const PIECE: usize = 64 << 10;

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

/// An import as it stands in the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Origin {
    /// Its number.
    pub id: i64,
    /// What it is called.
    pub label: String,
    /// When it was made.
    pub made_at: Millis,
    /// Name of the file.
    pub file: Option<String>,
    /// SHA-256 of the file.
    pub sha256: Option<String>,
    /// The mapping it was read by.
    pub mapping: Option<String>,
    /// The zone its times were read in.
    pub zone: Option<String>,
    /// What was found in the file, as JSON.
    pub report: Option<String>,
    /// Readings kept of it.
    pub readings: u64,
    /// Its first instant.
    pub first: Option<Millis>,
    /// Its last instant.
    pub last: Option<Millis>,
    /// URNs of its devices.
    pub devices: Vec<String>,
}

impl Ledger {
    /// Stores an import in one transaction: `next` gives its pieces, a series before its readings, until it gives none. Memory does not grow with it;
    /// whoever wants to commit meanwhile waits.
    ///
    /// # Errors
    /// What the store says, or what a piece that is an error says; then nothing of it is stored.
    pub fn import(
        &mut self,
        origin: &NewOrigin,
        next: &mut dyn FnMut() -> Option<Result<ImportPiece, String>>,
    ) -> Result<Imported, ImportError> {
        let generation = self.generation + 1;
        let imported = self.with_registers(|db, book| {
            let change = db.unchecked_transaction()?;
            let imported = store(&change, book, origin, generation, next)?;
            change.commit()?;
            Ok::<_, ImportError>(imported)
        })?;
        self.generation = generation;
        Ok(imported)
    }

    /// Takes back everything of one import; never what was heard live.
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
            .query_map([origin], |r| Ok((r.get::<_, i64>(0)?, r.get::<_, i64>(1)?, r.get::<_, i64>(2)?)))?
            .collect::<Result<Vec<_>, _>>()?;
        drop(query);
        let mut readings = 0;
        for (series, first, last) in parts {
            change.execute(
                "INSERT OR REPLACE INTO dirty(series, hour, gen) SELECT DISTINCT ?1,
                    CASE WHEN t >= 0 THEN t / ?2 ELSE (t - ?2 + 1) / ?2 END, ?3
                 FROM reading WHERE series = ?1 AND t BETWEEN ?4 AND ?5 AND origin = ?6",
                params![series, HOUR, generation, first, last, origin],
            )?;
            for table in ["reading", "variant"] {
                let delete = format!("DELETE FROM {table} WHERE series = ?1 AND t BETWEEN ?2 AND ?3 AND origin = ?4");
                readings += change.execute(&delete, params![series, first, last, origin])?;
            }
        }
        change.execute("DELETE FROM origin_series WHERE origin = ?1", [origin])?;
        change.execute("DELETE FROM origin WHERE id = ?1", [origin])?;
        change.commit()?;
        self.generation = generation;
        Ok(TakenBack { readings })
    }
}

/// What is kept in mind of a series while its readings come.
struct Line {
    id: SeriesId,
    /// The hour noted as dirty last.
    hour: Option<i64>,
    n: u64,
    first: i64,
    last: i64,
    /// First and last instant that were known before.
    before: Option<(i64, i64)>,
}

fn store(
    change: &Transaction<'_>,
    book: &mut Registers<'_>,
    origin: &NewOrigin,
    generation: i64,
    next: &mut dyn FnMut() -> Option<Result<ImportPiece, String>>,
) -> Result<Imported, ImportError> {
    let id = open_origin(change, origin)?;
    let mut done = Imported { origin: id, generation, ..Imported::default() };
    let mut lines: Vec<Line> = Vec::new();
    // The line of each series as the pieces number them: one series may be named twice.
    let mut numbers: Vec<usize> = Vec::new();
    let mut insert = change.prepare(
        "INSERT OR IGNORE INTO reading(series, t, origin, v, arrived, facts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?;
    let mut note = change.prepare("INSERT OR REPLACE INTO dirty(series, hour, gen) VALUES (?1, ?2, ?3)")?;
    let (arrived, facts) = (origin.made_at.0, Facts::TIME_OWN.0);
    while let Some(piece) = next() {
        match piece.map_err(ImportError::Broken)? {
            ImportPiece::Series(key) => {
                let series = book.series_of_file(change, &key)?;
                let known = lines.iter().position(|line| line.id == series);
                numbers.push(known.unwrap_or(lines.len()));
                if known.is_none() {
                    lines.push(begin(change, series)?);
                }
            }
            ImportPiece::Readings(lot) => {
                for (k, t, v) in lot {
                    let Some(line) = numbers.get(k as usize).and_then(|&n| lines.get_mut(n)) else {
                        return Err(ImportError::Broken(format!("a reading of series {k}, which was not named")));
                    };
                    if insert.execute(params![line.id.0, t.0, id, v, arrived, facts])? == 1 {
                        line.count(t.0);
                    } else {
                        let is_other = second_value(change, (line.id, t, id), (arrived, v, facts))?;
                        done.twice_same += u64::from(!is_other);
                        done.twice_other += u64::from(is_other);
                    }
                    let hour = t.0.div_euclid(HOUR);
                    if line.hour != Some(hour) {
                        note.execute(params![line.id.0, hour, generation])?;
                        line.hour = Some(hour);
                    }
                }
            }
            ImportPiece::Report(text) => {
                change.execute("UPDATE origin SET report = ?2 WHERE id = ?1", params![id, text])?;
            }
        }
    }
    for line in lines.iter().filter(|line| line.n > 0) {
        change.execute(
            "INSERT INTO origin_series(origin, series, n, first, last) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![id, line.id.0, line.n as i64, line.first, line.last],
        )?;
        done.readings += line.n;
        let (same, other) = line.known(change, id)?;
        done.known_same += same;
        done.known_other += other;
    }
    Ok(done)
}

/// Writes the row of an import, with its file.
fn open_origin(change: &Transaction<'_>, origin: &NewOrigin) -> Result<i64, ImportError> {
    let length = match &origin.source {
        None => 0,
        Some(path) => std::fs::metadata(path).map_err(|e| StoreError::io(path, e))?.len(),
    };
    change.execute(
        "INSERT INTO origin(label, made_at, file, sha256, mapping, zone, source) VALUES (?1, ?2, ?3, ?4, ?5, ?6, zeroblob(?7))",
        params![
            origin.label,
            origin.made_at.0,
            origin.file,
            origin.sha256,
            origin.mapping,
            origin.zone,
            i64::try_from(length).unwrap_or(i64::MAX)
        ],
    )?;
    let id = change.last_insert_rowid();
    if let Some(path) = &origin.source {
        copy_in(change, id, path)?;
    }
    Ok(id)
}

fn copy_in(change: &Transaction<'_>, id: i64, path: &Path) -> Result<(), ImportError> {
    let mut file = File::open(path).map_err(|e| StoreError::io(path, e))?;
    let mut blob = change.blob_open(MAIN_DB, "origin", "source", id, false)?;
    let mut room = vec![0; PIECE];
    let mut at = 0;
    loop {
        let n = file.read(&mut room).map_err(|e| StoreError::io(path, e))?;
        if n == 0 {
            return Ok(());
        }
        blob.write_at(&room[..n], at)?;
        at += n;
    }
}

fn begin(change: &Transaction<'_>, id: SeriesId) -> Result<Line, ImportError> {
    let ends: (Option<i64>, Option<i64>) = change
        .prepare_cached(
            "SELECT (SELECT t FROM reading WHERE series = ?1 ORDER BY t LIMIT 1), (SELECT t FROM reading WHERE series = ?1 ORDER BY t DESC LIMIT 1)",
        )?
        .query_row([id.0], |r| Ok((r.get(0)?, r.get(1)?)))?;
    Ok(Line { id, hour: None, n: 0, first: i64::MAX, last: i64::MIN, before: ends.0.zip(ends.1) })
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

impl Line {
    fn count(&mut self, t: i64) {
        self.n += 1;
        self.first = self.first.min(t);
        self.last = self.last.max(t);
    }

    /// How many of its instants another origin has too: with the same value, and with another.
    fn known(&self, change: &Transaction<'_>, origin: i64) -> Result<(u64, u64), StoreError> {
        let Some((first, last)) = self.before else { return Ok((0, 0)) };
        let (from, to) = (first.max(self.first), last.min(self.last));
        if from > to {
            return Ok((0, 0));
        }
        // Of several others the one that counts is looked at.
        let mut query = change.prepare_cached(
            "SELECT count(*), coalesce(sum(a.v <> b.v), 0) FROM reading a JOIN reading b ON b.series = a.series AND b.t = a.t
             WHERE a.series = ?1 AND a.t BETWEEN ?2 AND ?3 AND a.origin = ?4
               AND b.origin = (SELECT min(c.origin) FROM reading c WHERE c.series = a.series AND c.t = a.t AND c.origin <> ?4)",
        )?;
        let (all, other): (i64, i64) =
            query.query_row(params![self.id.0, from, to, origin], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(((all - other) as u64, other as u64))
    }
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

impl Readings {
    /// The imports, in the order in which they were made.
    ///
    /// # Errors
    /// What the store says.
    pub fn origins(&self) -> Result<Vec<Origin>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT o.id, o.label, o.made_at, o.file, o.sha256, o.mapping, o.zone, o.report,
                (SELECT coalesce(sum(n), 0) FROM origin_series s WHERE s.origin = o.id),
                (SELECT min(first) FROM origin_series s WHERE s.origin = o.id),
                (SELECT max(last) FROM origin_series s WHERE s.origin = o.id)
             FROM origin o WHERE o.id > 0 ORDER BY o.id",
        )?;
        let rows = query.query_map([], |r| {
            Ok(Origin {
                id: r.get(0)?,
                label: r.get(1)?,
                made_at: Millis(r.get(2)?),
                file: r.get(3)?,
                sha256: r.get(4)?,
                mapping: r.get(5)?,
                zone: r.get(6)?,
                report: r.get(7)?,
                readings: r.get::<_, i64>(8)? as u64,
                first: r.get::<_, Option<i64>>(9)?.map(Millis),
                last: r.get::<_, Option<i64>>(10)?.map(Millis),
                devices: Vec::new(),
            })
        })?;
        let mut all: Vec<Origin> = rows.collect::<Result<_, _>>()?;
        let mut query = self.db.prepare_cached(
            "SELECT DISTINCT d.urn FROM origin_series o JOIN series s ON s.id = o.series JOIN device d ON d.id = s.device
             WHERE o.origin = ?1 ORDER BY d.urn",
        )?;
        for origin in &mut all {
            origin.devices = query.query_map([origin.id], |r| r.get(0))?.collect::<Result<_, _>>()?;
        }
        Ok(all)
    }

    /// Writes the file that is kept with an import, compressed as it is kept.
    ///
    /// # Errors
    /// What the store says, or the sink.
    pub fn origin_source(&self, origin: i64, to: &mut dyn Write) -> Result<(), StoreError> {
        let mut blob = self.db.blob_open(MAIN_DB, "origin", "source", origin, true)?;
        let sink = |e| StoreError::io(Path::new("the file of an import"), e);
        let mut room = vec![0; PIECE];
        loop {
            let n = blob.read(&mut room).map_err(sink)?;
            if n == 0 {
                return to.flush().map_err(sink);
            }
            to.write_all(&room[..n]).map_err(sink)?;
        }
    }
}
