//! What stands in the store of imports: their rows, and the files they came from.

use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;

use propstick_wire::Millis;
use rusqlite::{MAIN_DB, Transaction, params};

use super::{ImportError, NewOrigin};
use crate::store::{Readings, StoreError};

/// How much of a kept file is copied in one go.
const PIECE: usize = 64 << 10;

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

/// Writes the row of an import, with its file, which is copied in pieces.
pub(super) fn begin(change: &Transaction<'_>, origin: &NewOrigin) -> Result<i64, ImportError> {
    let length = match &origin.source {
        None => 0,
        Some(path) => std::fs::metadata(path).map_err(|e| StoreError::io(path, e))?.len(),
    };
    // The file stands last in its row, so that SQLite lays its room out without holding it in memory.
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
        copy_in(change, id, path, length)?;
    }
    Ok(id)
}

fn copy_in(change: &Transaction<'_>, id: i64, path: &Path, length: u64) -> Result<(), ImportError> {
    let mut file = File::open(path).map_err(|e| StoreError::io(path, e))?;
    let mut blob = change.blob_open(MAIN_DB, "origin", "source", id, false)?;
    let mut room = vec![0; PIECE];
    let mut at = 0;
    loop {
        let n = file.read(&mut room).map_err(|e| StoreError::io(path, e))?;
        if n == 0 {
            break;
        }
        blob.write_at(&room[..n], at)?;
        at += n;
    }
    if at as u64 == length {
        Ok(())
    } else {
        Err(ImportError::Broken(format!("{}: the file changed while it was being kept", path.display())))
    }
}

impl Readings {
    /// The imports, in the order in which they were made.
    ///
    /// # Errors
    /// What the store says.
    pub fn origins(&self) -> Result<Vec<Origin>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT o.id, o.label, o.made_at, o.file, o.sha256, o.mapping, o.zone,
                (SELECT r.text FROM origin_report r WHERE r.origin = o.id),
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
