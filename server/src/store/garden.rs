//! `garden.db`: the grower's own records. The engine alone writes it.

pub mod events;
pub mod observations;
mod places;
pub mod told;

use std::path::Path;

use propstick_garden::model::Garden;
use propstick_wire::Millis;
use rusqlite::{Connection, params};

use places::{read_garden, write_garden};

use super::sqlite::{self, Durability};
use super::{StoreError, advice};

const STEPS: &[&str] = &[
    r"
CREATE TABLE garden(one INTEGER PRIMARY KEY CHECK(one = 1), name TEXT NOT NULL, lat REAL NOT NULL, lon REAL NOT NULL, alt_m REAL NOT NULL,
    zone TEXT NOT NULL, revision INTEGER NOT NULL);
CREATE TABLE structure(id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, name TEXT NOT NULL, area_m2 REAL, height_m REAL,
    cover TEXT, lead_spot TEXT, crops TEXT NOT NULL);
CREATE TABLE vent(id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, structure TEXT NOT NULL, name TEXT NOT NULL, kind TEXT NOT NULL, faces TEXT);
CREATE TABLE vent_position(vent TEXT NOT NULL, notch TEXT NOT NULL, words TEXT NOT NULL, area_m2 REAL, PRIMARY KEY(vent, notch)) WITHOUT ROWID;
CREATE TABLE bed(id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, name TEXT NOT NULL, structure TEXT NOT NULL, area_m2 REAL, soil TEXT,
    irrigation TEXT);
CREATE TABLE spot(id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, structure TEXT NOT NULL, bed TEXT, role TEXT NOT NULL, height_m REAL);
CREATE TABLE placement(urn TEXT NOT NULL, channel TEXT NOT NULL, quantity TEXT NOT NULL, spot TEXT NOT NULL, t_from INTEGER NOT NULL,
    t_to INTEGER);
CREATE TABLE correction(urn TEXT NOT NULL, channel TEXT NOT NULL, t_from INTEGER NOT NULL, t_to INTEGER, scale REAL NOT NULL, offset REAL NOT NULL,
    why TEXT NOT NULL);
CREATE TABLE exclusion(urn TEXT NOT NULL, channel TEXT NOT NULL, t_from INTEGER NOT NULL, t_to INTEGER, why TEXT NOT NULL);
CREATE TABLE advice(id INTEGER PRIMARY KEY, structure TEXT NOT NULL, kind TEXT NOT NULL, made_at INTEGER NOT NULL, t_from INTEGER NOT NULL,
    t_until INTEGER, body TEXT NOT NULL, recipe TEXT NOT NULL, superseded_by INTEGER);
CREATE INDEX advice_by_structure ON advice(structure, kind, made_at);
CREATE INDEX advice_standing ON advice(structure, kind) WHERE superseded_by IS NULL;
CREATE TABLE board_login(name TEXT PRIMARY KEY, kind TEXT NOT NULL, hash TEXT NOT NULL, made_at INTEGER NOT NULL) WITHOUT ROWID;
",
    r"
ALTER TABLE garden ADD COLUMN can_l REAL;
CREATE TABLE presence(id INTEGER PRIMARY KEY, who TEXT NOT NULL, days TEXT NOT NULL, from_min INTEGER NOT NULL, to_min INTEGER NOT NULL);
ALTER TABLE structure ADD COLUMN groups TEXT NOT NULL DEFAULT '';
CREATE TABLE film(structure TEXT PRIMARY KEY, transmission REAL, sheds_drips INTEGER NOT NULL, layers INTEGER NOT NULL) WITHOUT ROWID;
ALTER TABLE vent ADD COLUMN minutes REAL;
ALTER TABLE vent ADD COLUMN mesh INTEGER NOT NULL DEFAULT 0;
CREATE TABLE cover(id INTEGER PRIMARY KEY, slug TEXT NOT NULL UNIQUE, structure TEXT NOT NULL, name TEXT NOT NULL, bed TEXT, kind TEXT NOT NULL);
CREATE TABLE cover_position(cover TEXT NOT NULL, state TEXT NOT NULL, words TEXT NOT NULL, PRIMARY KEY(cover, state)) WITHOUT ROWID;
ALTER TABLE bed DROP COLUMN irrigation;
UPDATE bed SET soil = NULL WHERE soil NOT IN ('sand', 'loamy-sand', 'sandy-loam', 'loam', 'silt-loam', 'silt', 'silt-clay-loam', 'silty-clay', 'clay');
ALTER TABLE bed ADD COLUMN crop TEXT;
ALTER TABLE bed ADD COLUMN roots_m REAL;
ALTER TABLE bed ADD COLUMN watering TEXT;
ALTER TABLE bed ADD COLUMN drip_l_min REAL;
ALTER TABLE bed ADD COLUMN trays INTEGER NOT NULL DEFAULT 0;
CREATE TABLE event(id INTEGER PRIMARY KEY, t INTEGER NOT NULL, kind TEXT NOT NULL, target TEXT NOT NULL, what TEXT, amount REAL, unit TEXT,
    source TEXT NOT NULL, origin INTEGER NOT NULL, kept_at INTEGER NOT NULL, undone_at INTEGER, client_key TEXT UNIQUE);
CREATE INDEX event_by_time ON event(t, id);
CREATE INDEX event_by_target ON event(target, kind, t);
CREATE TABLE observation(id INTEGER PRIMARY KEY, t INTEGER NOT NULL, kind TEXT NOT NULL, target TEXT, teller TEXT NOT NULL, body TEXT NOT NULL,
    kept_at INTEGER NOT NULL, undone_at INTEGER, client_key TEXT UNIQUE);
CREATE INDEX observation_by_time ON observation(t, id);
",
    r"
ALTER TABLE advice ADD COLUMN about TEXT NOT NULL DEFAULT '';
ALTER TABLE advice ADD COLUMN gist TEXT NOT NULL DEFAULT '';
DROP INDEX advice_standing;
CREATE INDEX advice_standing ON advice(structure, kind, about) WHERE superseded_by IS NULL;
CREATE TABLE score(advice INTEGER PRIMARY KEY, structure TEXT NOT NULL, measured_c REAL NOT NULL, low_c REAL, high_c REAL, likely_c REAL, baseline_c REAL,
    call TEXT NOT NULL, scored_at INTEGER NOT NULL);
CREATE INDEX score_by_structure ON score(structure, scored_at);
",
    r"
CREATE TABLE night_calls(structure TEXT PRIMARY KEY, sunset INTEGER NOT NULL, sunrise INTEGER NOT NULL, warned_at INTEGER, low_c REAL, high_c REAL,
    likely_c REAL, advice INTEGER) WITHOUT ROWID;
",
];

/// A login of a board or of another maker's device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardLogin {
    /// MQTT user name: a board's topic part, or a name of the grower's for a foreign device.
    pub name: String,
    /// Whether it is a board of ours (own topics) or a foreign device (topics of the mappings).
    pub board: bool,
    /// argon2 hash of its password.
    pub hash: String,
}

/// `garden.db`, for writing and reading.
pub struct GardenDb {
    pub(super) db: Connection,
}

impl GardenDb {
    /// Opens the file, made if absent.
    pub fn open(path: &Path) -> Result<GardenDb, StoreError> {
        Ok(GardenDb { db: sqlite::open(path, Durability::Full, STEPS)? })
    }

    /// Opens the file for reading only.
    pub fn open_reader(path: &Path) -> Result<GardenDb, StoreError> {
        Ok(GardenDb { db: sqlite::open_reader(path, STEPS)? })
    }

    /// Whether every commit is on disk before it returns. While history is laid down into a folder that is worthless until it is
    /// whole, that is put off, and advice is gathered into large transactions; switching it on again brings everything to disk.
    pub fn keep_at_once(&self, at_once: bool) -> Result<(), StoreError> {
        if !self.db.is_autocommit() {
            self.db.execute_batch("COMMIT")?;
        }
        if at_once {
            self.db.pragma_update(None, "synchronous", "FULL")?;
            self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        } else {
            self.db.pragma_update(None, "synchronous", "OFF")?;
            self.db.execute_batch("BEGIN")?;
        }
        Ok(())
    }

    /// Commits what history has gathered so far; does nothing where every commit is kept at once.
    pub fn turn_page(&self) -> Result<(), StoreError> {
        if !self.db.is_autocommit() {
            self.db.execute_batch("COMMIT; BEGIN")?;
        }
        Ok(())
    }

    /// The garden, if one was written.
    pub fn garden(&self) -> Result<Option<Garden>, StoreError> {
        read_garden(&self.db)
    }

    /// Writes the garden if it differs from the one kept; the revision then grows. Gives the garden as kept.
    pub fn keep_garden(&mut self, garden: &Garden) -> Result<Garden, StoreError> {
        let kept = self.garden()?;
        let revision = kept.as_ref().map_or(0, |g| g.revision);
        let same = kept.as_ref().is_some_and(|g| Garden { revision, ..garden.clone() } == *g);
        let garden = Garden { revision: if same { revision } else { revision + 1 }, ..garden.clone() };
        if !same {
            let change = self.db.transaction()?;
            write_garden(&change, &garden)?;
            change.commit()?;
        }
        Ok(garden)
    }

    /// The logins of boards and foreign devices.
    pub fn logins(&self) -> Result<Vec<BoardLogin>, StoreError> {
        let mut query = self.db.prepare_cached("SELECT name, kind, hash FROM board_login ORDER BY name")?;
        let rows = query.query_map([], |r| {
            Ok(BoardLogin { name: r.get(0)?, board: r.get::<_, String>(1)? == "board", hash: r.get(2)? })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Adds a login, or gives an existing one a new password.
    pub fn keep_login(&mut self, login: &BoardLogin, at: Millis) -> Result<(), StoreError> {
        let kind = if login.board { "board" } else { "foreign" };
        self.db.execute(
            "INSERT OR REPLACE INTO board_login(name, kind, hash, made_at) VALUES (?1, ?2, ?3, ?4)",
            params![login.name, kind, login.hash, at.0],
        )?;
        Ok(())
    }

    /// Takes a login away; false if there was none of that name.
    pub fn drop_login(&mut self, name: &str) -> Result<bool, StoreError> {
        Ok(self.db.execute("DELETE FROM board_login WHERE name = ?1", [name])? > 0)
    }

    /// Has SQLite look through the whole file.
    ///
    /// # Errors
    /// A file that is damaged, with what SQLite found.
    pub fn sound(&self) -> Result<(), StoreError> {
        sqlite::sound(&self.db)
    }

    /// The advice store.
    pub fn advice(&self) -> advice::AdviceStore<'_> {
        advice::AdviceStore { db: &self.db }
    }

    /// Things done.
    pub fn events(&self) -> events::Events<'_> {
        events::Events { db: &self.db }
    }

    /// Things seen or heard.
    pub fn observations(&self) -> observations::Observations<'_> {
        observations::Observations { db: &self.db }
    }
}

#[cfg(test)]
mod tests;
