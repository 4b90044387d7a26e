//! Things seen or heard, in `garden.db`: the words of each as JSON.

use propstick_garden::record::{Observation, Saw};
use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::events::{Telling, tellings};
use super::told::{Kept, Undone, Wanted};
use crate::store::StoreError;

const COLUMNS: &str = "id, t, teller, body, undone_at";

/// The observations in `garden.db`.
pub struct Observations<'a> {
    pub(super) db: &'a Connection,
}

impl Observations<'_> {
    /// Keeps an observation as told at `at`, unless one with the same client key is kept already: that one is given back then.
    pub fn keep(&self, seen: &Observation, at: Millis, key: Option<&str>) -> Result<Kept<Observation>, StoreError> {
        if let Some(one) = key.map(|key| self.of_key(key)).transpose()?.flatten() {
            return Ok(Kept { one, is_new: false });
        }
        let body = serde_json::to_string(&Saw { t: None, teller: String::new(), ..Saw::of(seen) }).unwrap_or_default();
        let values = params![seen.t.0, seen.seen.kind(), seen.seen.target(), seen.teller, body, at.0, key];
        self.db
            .prepare_cached(
                "INSERT INTO observation(t, kind, target, teller, body, kept_at, client_key) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?
            .execute(values)?;
        let one = Observation { id: self.db.last_insert_rowid(), undone_at: None, ..seen.clone() };
        Ok(Kept { one, is_new: true })
    }

    /// Takes an observation back: it stays, and counts for nothing from now on.
    pub fn undo(&self, id: i64, at: Millis) -> Result<Undone<Observation>, StoreError> {
        let Some(found) = self.one(id)? else { return Ok(Undone::Unknown) };
        if found.undone_at.is_some() {
            return Ok(Undone::Before(found));
        }
        self.db
            .prepare_cached("UPDATE observation SET undone_at = ?2 WHERE id = ?1 AND undone_at IS NULL")?
            .execute(params![id, at.0])?;
        Ok(Undone::Now(Observation { undone_at: Some(at), ..found }))
    }

    /// The observation of that number.
    pub fn one(&self, id: i64) -> Result<Option<Observation>, StoreError> {
        Ok(self
            .db
            .prepare_cached(&format!("SELECT {COLUMNS} FROM observation WHERE id = ?1"))?
            .query_row([id], row)
            .optional()?)
    }

    /// The observations that are wanted, the newest first. The kinds are `look`, `heard`, `finger` and `leaves`.
    pub fn list(&self, wanted: &Wanted) -> Result<Vec<Observation>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM observation WHERE t >= ?1 AND t < ?2 AND (?3 IS NULL OR target = ?3) AND (?4 IS NULL OR kind = ?4)
             AND (?5 OR undone_at IS NULL) ORDER BY t DESC, id DESC LIMIT ?6"
        ))?;
        let of = params![wanted.from.0, wanted.to.0, wanted.target, wanted.kind, wanted.undone, wanted.limit];
        Ok(query.query_map(of, row)?.collect::<Result<_, _>>()?)
    }

    /// What was told in `[from, to)`, and what was taken back then, in the order of the telling: for a recording.
    pub fn told(&self, from: Millis, to: Millis) -> Result<Vec<(Millis, Telling<Observation>)>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS}, kept_at FROM observation WHERE kept_at >= ?1 AND kept_at < ?2 ORDER BY kept_at, id"
        ))?;
        let rows = query.query_map([from.0, to.0], |r| Ok((Millis(r.get("kept_at")?), row(r)?)))?;
        let kept: Vec<(Millis, Observation)> = rows.collect::<Result<_, _>>()?;
        Ok(tellings(kept, to, |seen| seen.undone_at))
    }

    fn of_key(&self, key: &str) -> Result<Option<Observation>, StoreError> {
        let mut query = self.db.prepare_cached(&format!("SELECT {COLUMNS} FROM observation WHERE client_key = ?1"))?;
        Ok(query.query_row([key], row).optional()?)
    }
}

fn row(r: &Row<'_>) -> rusqlite::Result<Observation> {
    let wrong = |e: Box<dyn std::error::Error + Send + Sync>| {
        rusqlite::Error::FromSqlConversionFailure(3, rusqlite::types::Type::Text, e)
    };
    let t = Millis(r.get(1)?);
    let said: Saw = serde_json::from_str(&r.get::<_, String>(3)?).map_err(|e| wrong(e.into()))?;
    let seen = said.seen(t).map_err(|e| wrong(e.into()))?;
    Ok(Observation { id: r.get(0)?, t, teller: r.get(2)?, seen, undone_at: r.get::<_, Option<i64>>(4)?.map(Millis) })
}
