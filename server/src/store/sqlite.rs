//! Opening a database file the way this program wants it, and bringing it to the newest schema.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags};

/// What can go wrong with a store.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// SQLite said no.
    #[error("the store could not be read or written: {0}")]
    Sqlite(#[from] rusqlite::Error),
    /// The file system said no.
    #[error("{path}: {source}")]
    Io {
        /// Which file or folder.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The file was written by a newer program.
    #[error(
        "{path}: its schema is version {found}, this program knows up to {known}; \
         it was written by a newer Propstick. Start that one, or restore a backup made by this one"
    )]
    Newer {
        /// Which file.
        path: PathBuf,
        /// Its version.
        found: i64,
        /// The newest version this program knows.
        known: i64,
    },
    /// Another process owns the folder.
    #[error("{path}: another Propstick is using this data folder")]
    Owned {
        /// Which folder.
        path: PathBuf,
    },
    /// The content is not what was written.
    #[error(
        "{path}: the file is damaged ({what}). Nothing was changed in it. Put a copy of it aside, then restore a backup in its place"
    )]
    Damaged {
        /// Which file.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
    },
}

impl StoreError {
    pub(super) fn io(path: &Path, source: std::io::Error) -> StoreError {
        StoreError::Io { path: path.to_owned(), source }
    }

    /// What SQLite said of the file at `path`; that it is damaged is said with its name.
    pub(super) fn of_file(path: &Path, error: rusqlite::Error) -> StoreError {
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                StoreError::Damaged { path: path.to_owned(), what: error.to_string() }
            }
            _ => error.into(),
        }
    }

    /// The same, where all that is known is which file was being read.
    pub(super) fn in_file(self, path: &Path) -> StoreError {
        match self {
            StoreError::Sqlite(error) => StoreError::of_file(path, error),
            other => other,
        }
    }
}

/// How a file is to be kept.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Durability {
    /// Every commit is on disk before it returns.
    Full,
    /// May lose its last commits on a power cut, never its soundness: for what can be worked out again.
    Disposable,
}

/// Opens `path` for writing (made if absent) and brings it to the newest of `steps`.
///
/// `steps[k]` leads from version k to k + 1, each in one transaction.
pub(super) fn open(path: &Path, durability: Durability, steps: &[&str]) -> Result<Connection, StoreError> {
    try_open(path, durability, steps).map_err(|e| e.in_file(path))
}

fn try_open(path: &Path, durability: Durability, steps: &[&str]) -> Result<Connection, StoreError> {
    let mut db = Connection::open(path)?;
    db.busy_timeout(Duration::from_secs(10))?;
    db.pragma_update(None, "journal_mode", "WAL")?;
    let synchronous = if durability == Durability::Full { "FULL" } else { "NORMAL" };
    db.pragma_update(None, "synchronous", synchronous)?;
    db.pragma_update(None, "temp_store", "MEMORY")?;
    db.pragma_update(None, "cache_size", -4_000)?;
    // A log that once grew large is cut back to this at the next checkpoint.
    db.pragma_update(None, "journal_size_limit", 16 << 20)?;
    db.set_prepared_statement_cache_capacity(64);
    migrate(&mut db, path, steps)?;
    Ok(db)
}

/// Opens `path` for reading only; `steps` are those of its schema.
pub(super) fn open_reader(path: &Path, steps: &[&str]) -> Result<Connection, StoreError> {
    try_open_reader(path, steps).map_err(|e| e.in_file(path))
}

fn try_open_reader(path: &Path, steps: &[&str]) -> Result<Connection, StoreError> {
    let db = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    db.busy_timeout(Duration::from_secs(10))?;
    db.pragma_update(None, "cache_size", -1_000)?;
    db.set_prepared_statement_cache_capacity(64);
    schema_version(&db, path, steps)?;
    Ok(db)
}

/// Has SQLite look through a whole file.
pub(super) fn sound(db: &Connection) -> Result<(), StoreError> {
    look_through(db, "PRAGMA integrity_check(1)")
}

/// Has SQLite look through the pages of a file, without holding indexes against tables.
pub(super) fn sound_pages(db: &Connection) -> Result<(), StoreError> {
    look_through(db, "PRAGMA quick_check(1)")
}

fn look_through(db: &Connection, how: &str) -> Result<(), StoreError> {
    let path = PathBuf::from(db.path().unwrap_or("the store"));
    let found: String = db
        .query_row(how, [], |r| r.get(0))
        .map_err(|e| StoreError::Damaged { path: path.clone(), what: e.to_string() })?;
    if found == "ok" { Ok(()) } else { Err(StoreError::Damaged { path, what: found.replace('\n', " ") }) }
}

fn migrate(db: &mut Connection, path: &Path, steps: &[&str]) -> Result<(), StoreError> {
    let found = schema_version(db, path, steps)?;
    for (k, step) in steps.iter().enumerate().skip(found) {
        let change = db.transaction()?;
        change.execute_batch(step)?;
        change.pragma_update(None, "user_version", k as i64 + 1)?;
        change.commit()?;
    }
    Ok(())
}

/// How many of `steps` the file has taken.
fn schema_version(db: &Connection, path: &Path, steps: &[&str]) -> Result<usize, StoreError> {
    let found: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0))?;
    let known = steps.len() as i64;
    if found > known {
        return Err(StoreError::Newer { path: path.to_owned(), found, known });
    }
    Ok(found.max(0) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn newer_file_than_the_program_is_refused_and_untouched() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.db");
        drop(open(&path, Durability::Full, &["CREATE TABLE a(x)", "CREATE TABLE b(x)"]).unwrap());
        let Err(StoreError::Newer { found: 2, known: 1, .. }) = open(&path, Durability::Full, &["CREATE TABLE a(x)"])
        else {
            panic!("an older program must not open a newer file");
        };
    }

    #[test]
    fn old_file_is_brought_forward_one_step_at_a_time() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x.db");
        drop(open(&path, Durability::Full, &["CREATE TABLE a(x)"]).unwrap());
        let db = open(&path, Durability::Full, &["CREATE TABLE a(x)", "ALTER TABLE a ADD COLUMN y"]).unwrap();
        db.execute("INSERT INTO a(x, y) VALUES (1, 2)", []).unwrap();
    }
}
