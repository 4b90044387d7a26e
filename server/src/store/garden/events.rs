//! Things done, in `garden.db`.

use std::collections::HashMap;

use propstick_garden::record::{Event, EventKind, EventSource, OVERHEAD};
use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::places::unknown_word;
use super::told::{Kept, Undone, Wanted};
use crate::store::StoreError;

const COLUMNS: &str = "id, t, kind, target, what, amount, unit, source, origin, undone_at";

/// The events in `garden.db`.
pub struct Events<'a> {
    pub(super) db: &'a Connection,
}

impl Events<'_> {
    /// Keeps an event as told at `at`, unless one with the same client key is kept already: that one is given back then.
    pub fn keep(&self, event: &Event, at: Millis, key: Option<&str>) -> Result<Kept<Event>, StoreError> {
        if let Some(one) = key.map(|key| self.of_key(key)).transpose()?.flatten() {
            return Ok(Kept { one, is_new: false });
        }
        let values = params![
            event.t.0,
            event.kind.word(),
            event.target,
            event.what,
            event.amount,
            event.unit,
            event.source.word(),
            event.origin,
            at.0,
            key
        ];
        self.db
            .prepare_cached(
                "INSERT INTO event(t, kind, target, what, amount, unit, source, origin, kept_at, client_key)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            )?
            .execute(values)?;
        let one = Event { id: self.db.last_insert_rowid(), undone_at: None, ..event.clone() };
        Ok(Kept { one, is_new: true })
    }

    /// Takes an event back: it stays, and counts for nothing from now on.
    pub fn undo(&self, id: i64, at: Millis) -> Result<Undone<Event>, StoreError> {
        let Some(found) = self.one(id)? else { return Ok(Undone::Unknown) };
        if !found.counts() {
            return Ok(Undone::Before(found));
        }
        self.db
            .prepare_cached("UPDATE event SET undone_at = ?2 WHERE id = ?1 AND undone_at IS NULL")?
            .execute(params![id, at.0])?;
        Ok(Undone::Now(Event { undone_at: Some(at), ..found }))
    }

    /// The event of that number.
    pub fn one(&self, id: i64) -> Result<Option<Event>, StoreError> {
        Ok(self
            .db
            .prepare_cached(&format!("SELECT {COLUMNS} FROM event WHERE id = ?1"))?
            .query_row([id], row)
            .optional()?)
    }

    /// The events that are wanted, the newest first.
    pub fn list(&self, wanted: &Wanted) -> Result<Vec<Event>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE t >= ?1 AND t < ?2 AND (?3 IS NULL OR target = ?3) AND (?4 IS NULL OR kind = ?4)
             AND (?5 OR undone_at IS NULL) ORDER BY t DESC, id DESC LIMIT ?6"
        ))?;
        let of = params![wanted.from.0, wanted.to.0, wanted.target, wanted.kind, wanted.undone, wanted.limit];
        Ok(query.query_map(of, row)?.collect::<Result<_, _>>()?)
    }

    /// The newest event of a kind that counts, of one target, not later than `at`.
    pub fn last(&self, target: &str, kind: EventKind, at: Millis) -> Result<Option<Event>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE target = ?1 AND kind = ?2 AND t <= ?3 AND undone_at IS NULL ORDER BY t DESC, id DESC LIMIT 1"
        ))?;
        Ok(query.query_row(params![target, kind.word(), at.0], row).optional()?)
    }

    /// What people answered to advice, by the number of the advice: the newest `done` or `not_done` that counts, of one structure or of all.
    pub fn answers(&self, structure: Option<&str>) -> Result<HashMap<i64, Event>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE kind IN (?1, ?2) AND (?3 IS NULL OR target = ?3) AND undone_at IS NULL ORDER BY t, id"
        ))?;
        let of = params![EventKind::Done.word(), EventKind::NotDone.word(), structure];
        let all: Vec<Event> = query.query_map(of, row)?.collect::<Result<_, _>>()?;
        Ok(all.into_iter().filter_map(|event| Some((event.what.as_deref()?.parse().ok()?, event))).collect())
    }

    /// The waterings over the leaves that count, of the whole garden, in `[from, to)`, in order of their time. Which structure each was in, the event
    /// itself says.
    pub fn overhead(&self, from: Millis, to: Millis) -> Result<Vec<Event>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE kind = 'water' AND what = ?1 AND t >= ?2 AND t < ?3 AND undone_at IS NULL ORDER BY t, id"
        ))?;
        Ok(query.query_map(params![OVERHEAD, from.0, to.0], row)?.collect::<Result<_, _>>()?)
    }

    /// What was told here in `[from, to)`, and what was taken back then, in the order of the telling: for a recording.
    pub fn told(&self, from: Millis, to: Millis) -> Result<Vec<(Millis, Telling<Event>)>, StoreError> {
        let mut query = self.db.prepare_cached(&format!(
            "SELECT {COLUMNS}, kept_at FROM event WHERE origin = 0 AND kept_at >= ?1 AND kept_at < ?2 ORDER BY kept_at, id"
        ))?;
        let rows = query.query_map([from.0, to.0], |r| Ok((Millis(r.get("kept_at")?), row(r)?)))?;
        let kept: Vec<(Millis, Event)> = rows.collect::<Result<_, _>>()?;
        Ok(tellings(kept, to, |event| event.undone_at))
    }

    fn of_key(&self, key: &str) -> Result<Option<Event>, StoreError> {
        let mut query = self.db.prepare_cached(&format!("SELECT {COLUMNS} FROM event WHERE client_key = ?1"))?;
        Ok(query.query_row([key], row).optional()?)
    }
}

/// One step of a telling.
#[derive(Clone, Debug, PartialEq)]
pub enum Telling<T> {
    /// It was told.
    Told(T),
    /// The so-manieth of those told, from 1, was taken back.
    TakenBack(u64),
}

/// Tellings and takings back in the order of their instants; a thing is told before it is taken back.
pub(super) fn tellings<T>(
    kept: Vec<(Millis, T)>,
    to: Millis,
    undone_at: impl Fn(&T) -> Option<Millis>,
) -> Vec<(Millis, Telling<T>)> {
    let mut all: Vec<(Millis, Telling<T>)> = Vec::new();
    for (n, (at, one)) in (1..).zip(kept) {
        let back = undone_at(&one).filter(|back| *back < to);
        all.push((at, Telling::Told(one)));
        all.extend(back.map(|back| (back.max(at), Telling::TakenBack(n))));
    }
    all.sort_by_key(|(at, telling)| (*at, matches!(telling, Telling::TakenBack(_))));
    all
}

fn row(r: &Row<'_>) -> rusqlite::Result<Event> {
    let kind: String = r.get(2)?;
    let source: String = r.get(7)?;
    Ok(Event {
        id: r.get(0)?,
        t: Millis(r.get(1)?),
        kind: EventKind::from_word(&kind).ok_or_else(|| unknown_word(2))?,
        target: r.get(3)?,
        what: r.get(4)?,
        amount: r.get(5)?,
        unit: r.get(6)?,
        source: EventSource::from_word(&source).ok_or_else(|| unknown_word(7))?,
        origin: r.get(8)?,
        undone_at: r.get::<_, Option<i64>>(9)?.map(Millis),
    })
}
