//! Advice as it was given: appended, never changed but for the note of what superseded it.

use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::StoreError;

/// An advice as kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptAdvice {
    /// Its number.
    pub id: i64,
    /// The structure's slug.
    pub structure: String,
    /// What kind: `vent`.
    pub kind: String,
    /// When it was made.
    pub made_at: Millis,
    /// From when it holds.
    pub from: Millis,
    /// Until when it holds; open if absent.
    pub until: Option<Millis>,
    /// All of it, as JSON.
    pub body: String,
    /// The recipe it was made by.
    pub recipe: String,
    /// The advice that took its place.
    pub superseded_by: Option<i64>,
}

/// The advice in `garden.db`.
pub struct AdviceStore<'a> {
    pub(super) db: &'a Connection,
}

impl AdviceStore<'_> {
    /// Appends an advice and notes on the one before it, of the same structure and kind, that it is superseded. Gives its number.
    pub fn append(&self, new: &KeptAdvice) -> Result<i64, StoreError> {
        // While history is laid down a larger transaction is open already.
        let own = if self.db.is_autocommit() { Some(self.db.unchecked_transaction()?) } else { None };
        let change = self.db;
        change
            .prepare_cached(
                "INSERT INTO advice(structure, kind, made_at, t_from, t_until, body, recipe) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?
            .execute(params![
                new.structure,
                new.kind,
                new.made_at.0,
                new.from.0,
                new.until.map(|t| t.0),
                new.body,
                new.recipe
            ])?;
        let id = change.last_insert_rowid();
        change
            .prepare_cached(
                "UPDATE advice SET superseded_by = ?1 WHERE structure = ?2 AND kind = ?3 AND superseded_by IS NULL AND id < ?1",
            )?
            .execute(params![id, new.structure, new.kind])?;
        if let Some(own) = own {
            own.commit()?;
        }
        Ok(id)
    }

    /// The advice that holds, if any was given.
    pub fn current(&self, structure: &str, kind: &str) -> Result<Option<KeptAdvice>, StoreError> {
        Ok(self
            .db
            .prepare_cached(&format!(
                "SELECT {COLUMNS} FROM advice WHERE structure = ?1 AND kind = ?2 AND superseded_by IS NULL ORDER BY id DESC LIMIT 1"
            ))?
            .query_row([structure, kind], row)
            .optional()?)
    }

    /// The structure that the advice of a number was for.
    pub fn structure_of(&self, id: i64) -> Result<Option<String>, StoreError> {
        let mut query = self.db.prepare_cached("SELECT structure FROM advice WHERE id = ?1")?;
        Ok(query.query_row([id], |r| r.get(0)).optional()?)
    }

    /// All advice made in `[from, to)`, of one structure or of all, in order.
    pub fn made(&self, structure: Option<&str>, from: Millis, to: Millis) -> Result<Vec<KeptAdvice>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM advice WHERE (?1 IS NULL OR structure = ?1) AND made_at >= ?2 AND made_at < ?3 ORDER BY id"
        ))?;
        let rows = query.query_map(params![structure, from.0, to.0], row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

pub(super) const COLUMNS: &str = "id, structure, kind, made_at, t_from, t_until, body, recipe, superseded_by";

pub(super) fn row(r: &Row<'_>) -> rusqlite::Result<KeptAdvice> {
    Ok(KeptAdvice {
        id: r.get(0)?,
        structure: r.get(1)?,
        kind: r.get(2)?,
        made_at: Millis(r.get(3)?),
        from: Millis(r.get(4)?),
        until: r.get::<_, Option<i64>>(5)?.map(Millis),
        body: r.get(6)?,
        recipe: r.get(7)?,
        superseded_by: r.get(8)?,
    })
}
