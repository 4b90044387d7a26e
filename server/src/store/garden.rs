//! `garden.db`: the grower's own records. The engine alone writes it.

use std::path::Path;

use propstick_garden::model::{
    Bed, Correction, Crops, Exclusion, Garden, Notch, Placement, Position, Role, Spot, Structure, StructureKind, Vent,
    VentKind,
};
use propstick_wire::Millis;
use propstick_wire::quantity::Quantity;
use rusqlite::{Connection, OptionalExtension, Row, Transaction, params};

use super::sqlite::{self, Durability};
use super::{StoreError, advice};

const STEPS: &[&str] = &[r"
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
"];

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
}

fn write_garden(change: &Transaction<'_>, g: &Garden) -> Result<(), StoreError> {
    for table in ["garden", "structure", "vent", "vent_position", "bed", "spot", "placement", "correction", "exclusion"]
    {
        change.execute(&format!("DELETE FROM {table}"), [])?;
    }
    change.execute(
        "INSERT INTO garden(one, name, lat, lon, alt_m, zone, revision) VALUES (1, ?1, ?2, ?3, ?4, ?5, ?6)",
        params![g.name, g.lat, g.lon, g.alt_m, g.zone.name(), g.revision],
    )?;
    for s in &g.structures {
        change.execute(
            "INSERT INTO structure(slug, kind, name, area_m2, height_m, cover, lead_spot, crops) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![s.slug, s.kind.word(), s.name, s.area_m2, s.height_m, s.cover, s.lead_spot, s.crops.word()],
        )?;
        for v in &s.vents {
            change.execute(
                "INSERT INTO vent(slug, structure, name, kind, faces) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![v.slug, s.slug, v.name, v.kind.word(), v.faces],
            )?;
            for p in &v.positions {
                change.execute(
                    "INSERT INTO vent_position(vent, notch, words, area_m2) VALUES (?1, ?2, ?3, ?4)",
                    params![v.slug, p.notch.word(), p.words, p.area_m2],
                )?;
            }
        }
    }
    for b in &g.beds {
        change.execute(
            "INSERT INTO bed(slug, name, structure, area_m2, soil, irrigation) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![b.slug, b.name, b.structure, b.area_m2, b.soil, b.irrigation],
        )?;
    }
    for s in &g.spots {
        change.execute(
            "INSERT INTO spot(slug, structure, bed, role, height_m) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![s.slug, s.structure, s.bed, s.role.word(), s.height_m],
        )?;
    }
    for p in &g.placements {
        change.execute(
            "INSERT INTO placement(urn, channel, quantity, spot, t_from, t_to) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![p.urn, p.channel, p.quantity.name(), p.spot, p.from.0, p.to.map(|t| t.0)],
        )?;
    }
    for c in &g.corrections {
        change.execute(
            "INSERT INTO correction(urn, channel, t_from, t_to, scale, offset, why) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![c.urn, c.channel, c.from.0, c.to.map(|t| t.0), c.scale, c.offset, c.why],
        )?;
    }
    for x in &g.exclusions {
        change.execute(
            "INSERT INTO exclusion(urn, channel, t_from, t_to, why) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![x.urn, x.channel, x.from.0, x.to.map(|t| t.0), x.why],
        )?;
    }
    Ok(())
}

fn read_garden(db: &Connection) -> Result<Option<Garden>, StoreError> {
    let found = db
        .query_row("SELECT name, lat, lon, alt_m, zone, revision FROM garden WHERE one = 1", [], |r| {
            Ok(Garden {
                name: r.get(0)?,
                lat: r.get(1)?,
                lon: r.get(2)?,
                alt_m: r.get(3)?,
                zone: r.get::<_, String>(4)?.parse().map_err(|_| unknown_word(4))?,
                revision: r.get(5)?,
                structures: Vec::new(),
                beds: Vec::new(),
                spots: Vec::new(),
                placements: Vec::new(),
                corrections: Vec::new(),
                exclusions: Vec::new(),
            })
        })
        .optional()?;
    let Some(mut g) = found else { return Ok(None) };
    g.structures = all(
        db,
        "SELECT slug, kind, name, area_m2, height_m, cover, lead_spot, crops FROM structure ORDER BY id",
        |r| {
            Ok(Structure {
                slug: r.get(0)?,
                kind: word(r, 1, &StructureKind::ALL, StructureKind::word)?,
                name: r.get(2)?,
                area_m2: r.get(3)?,
                height_m: r.get(4)?,
                cover: r.get(5)?,
                lead_spot: r.get(6)?,
                crops: word(r, 7, &[Crops::Hardy, Crops::Tender, Crops::Both], Crops::word)?,
                vents: Vec::new(),
            })
        },
    )?;
    let mut positions = all(db, "SELECT vent, notch, words, area_m2 FROM vent_position", |r| {
        let position = Position { notch: word(r, 1, &Notch::ALL, Notch::word)?, words: r.get(2)?, area_m2: r.get(3)? };
        Ok((r.get::<_, String>(0)?, position))
    })?;
    positions.sort_by_key(|(_, p)| p.notch);
    let vents = all(db, "SELECT slug, structure, name, kind, faces FROM vent ORDER BY id", |r| {
        let slug: String = r.get(0)?;
        let positions = positions.iter().filter(|(v, _)| *v == slug).map(|(_, p)| p.clone()).collect();
        let kind = word(r, 3, &VentKind::ALL, VentKind::word)?;
        Ok((r.get::<_, String>(1)?, Vent { slug, name: r.get(2)?, kind, faces: r.get(4)?, positions }))
    })?;
    for (structure, vent) in vents {
        if let Some(s) = g.structures.iter_mut().find(|s| s.slug == structure) {
            s.vents.push(vent);
        }
    }
    g.beds = all(db, "SELECT slug, name, structure, area_m2, soil, irrigation FROM bed ORDER BY id", |r| {
        Ok(Bed {
            slug: r.get(0)?,
            name: r.get(1)?,
            structure: r.get(2)?,
            area_m2: r.get(3)?,
            soil: r.get(4)?,
            irrigation: r.get(5)?,
        })
    })?;
    g.spots = all(db, "SELECT slug, structure, bed, role, height_m FROM spot ORDER BY id", |r| {
        let role = word(r, 3, &Role::ALL, Role::word)?;
        Ok(Spot { slug: r.get(0)?, structure: r.get(1)?, bed: r.get(2)?, role, height_m: r.get(4)? })
    })?;
    g.placements = all(db, "SELECT urn, channel, quantity, spot, t_from, t_to FROM placement ORDER BY rowid", |r| {
        let name: String = r.get(2)?;
        let (quantity, _) = Quantity::from_channel(&name).ok_or_else(|| unknown_word(2))?;
        let (from, to) = (Millis(r.get(4)?), r.get::<_, Option<i64>>(5)?.map(Millis));
        Ok(Placement { urn: r.get(0)?, channel: r.get(1)?, quantity, spot: r.get(3)?, from, to })
    })?;
    g.corrections =
        all(db, "SELECT urn, channel, t_from, t_to, scale, offset, why FROM correction ORDER BY rowid", |r| {
            Ok(Correction {
                urn: r.get(0)?,
                channel: r.get(1)?,
                from: Millis(r.get(2)?),
                to: r.get::<_, Option<i64>>(3)?.map(Millis),
                scale: r.get(4)?,
                offset: r.get(5)?,
                why: r.get(6)?,
            })
        })?;
    g.exclusions = all(db, "SELECT urn, channel, t_from, t_to, why FROM exclusion ORDER BY rowid", |r| {
        let (from, to) = (Millis(r.get(2)?), r.get::<_, Option<i64>>(3)?.map(Millis));
        Ok(Exclusion { urn: r.get(0)?, channel: r.get(1)?, from, to, why: r.get(4)? })
    })?;
    Ok(Some(g))
}

fn all<T>(db: &Connection, sql: &str, row: impl FnMut(&Row<'_>) -> rusqlite::Result<T>) -> Result<Vec<T>, StoreError> {
    let mut query = db.prepare(sql)?;
    let rows = query.query_map([], row)?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn word<T: Copy>(r: &Row<'_>, column: usize, all: &[T], name: impl Fn(T) -> &'static str) -> rusqlite::Result<T> {
    let found: String = r.get(column)?;
    all.iter().copied().find(|&t| name(t) == found).ok_or_else(|| unknown_word(column))
}

fn unknown_word(column: usize) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(
        column,
        rusqlite::types::Type::Text,
        "a word this program does not know".into(),
    )
}
