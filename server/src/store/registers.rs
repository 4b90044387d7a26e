//! Which numbers devices and series have in the ledger, and how far each queue has come: looked up once, remembered between commits.

use std::collections::HashMap;

use propstick_garden::took::{BoardState, RawReading, SeriesKey, Settled};
use propstick_wire::Millis;
use rusqlite::{OptionalExtension, Transaction, params};

use super::StoreError;
use super::queues::QueueState;
use super::readings::{SeriesId, stamp_word};

/// Numbers of devices and series and the state of queues, remembered between commits.
pub(super) struct Registers<'a> {
    pub(super) devices: &'a mut HashMap<String, i64>,
    pub(super) series: &'a mut HashMap<SeriesKey, SeriesId>,
    pub(super) queues: &'a mut HashMap<(i64, u32), QueueState>,
}

impl Registers<'_> {
    pub(super) fn device(&mut self, change: &Transaction<'_>, r: &RawReading) -> Result<i64, StoreError> {
        let key = &r.series;
        self.device_named(change, &key.device, key.device_kind.word(), key.mapping.as_deref(), r.arrived)
    }

    pub(super) fn settled_device(&mut self, change: &Transaction<'_>, s: &Settled) -> Result<i64, StoreError> {
        self.device_named(change, &s.device, "board", None, s.arrived)
    }

    pub(super) fn board_device(&mut self, change: &Transaction<'_>, b: &BoardState) -> Result<i64, StoreError> {
        self.device_named(change, &b.device, "board", None, b.arrived)
    }

    pub(super) fn device_named(
        &mut self,
        change: &Transaction<'_>,
        urn: &str,
        kind: &str,
        mapping: Option<&str>,
        arrived: Millis,
    ) -> Result<i64, StoreError> {
        if let Some(&id) = self.devices.get(urn) {
            return Ok(id);
        }
        // What only files told of so far is heard for the first time.
        change
            .prepare_cached(
                "INSERT INTO device(urn, kind, mapping, first_heard) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT(urn) DO UPDATE SET kind = excluded.kind, mapping = excluded.mapping, first_heard = excluded.first_heard
                 WHERE first_heard IS NULL",
            )?
            .execute(params![urn, kind, mapping, arrived.0])?;
        let id = device_id(change, urn)?;
        self.devices.insert(urn.to_owned(), id);
        Ok(id)
    }

    /// The series of a file. Its device stays as it is if it was heard; otherwise it is noted as never heard.
    pub(super) fn series_of_file(&mut self, change: &Transaction<'_>, key: &SeriesKey) -> Result<SeriesId, StoreError> {
        change
            .prepare_cached("INSERT OR IGNORE INTO device(urn, kind, mapping) VALUES (?1, ?2, ?3)")?
            .execute(params![key.device, key.device_kind.word(), key.mapping])?;
        let device = device_id(change, &key.device)?;
        if let Some(known) = find_series(change, device, key)? {
            return Ok(known);
        }
        insert_series(change, device, key)
    }

    pub(super) fn series(&mut self, change: &Transaction<'_>, r: &RawReading) -> Result<(SeriesId, bool), StoreError> {
        if let Some(id) = self.known_series(change, r)? {
            return Ok((id, false));
        }
        let device = self.device(change, r)?;
        let key = &r.series;
        let id = insert_series(change, device, key)?;
        self.series.insert(key.clone(), id);
        Ok((id, true))
    }

    pub(super) fn known_series(
        &mut self,
        change: &Transaction<'_>,
        r: &RawReading,
    ) -> Result<Option<SeriesId>, StoreError> {
        if let Some(&id) = self.series.get(&r.series) {
            return Ok(Some(id));
        }
        let device = self.device(change, r)?;
        let key = &r.series;
        let known = find_series(change, device, key)?;
        if let Some(id) = known {
            self.series.insert(key.clone(), id);
        }
        Ok(known)
    }

    pub(super) fn queue(
        &mut self,
        change: &Transaction<'_>,
        device: i64,
        queue: u32,
    ) -> Result<&mut QueueState, StoreError> {
        use std::collections::hash_map::Entry;
        match self.queues.entry((device, queue)) {
            Entry::Occupied(known) => Ok(known.into_mut()),
            Entry::Vacant(free) => {
                let upto: Option<i64> = change
                    .prepare_cached("SELECT upto FROM queue WHERE device = ?1 AND queue = ?2")?
                    .query_row(params![device, queue], |r| r.get(0))
                    .optional()?;
                let mut gaps = Vec::new();
                let mut query = change.prepare_cached(
                    "SELECT first, last FROM queue_gap WHERE device = ?1 AND queue = ?2 ORDER BY first",
                )?;
                let mut rows = query.query(params![device, queue])?;
                while let Some(row) = rows.next()? {
                    gaps.push((row.get::<_, i64>(0)? as u64, row.get::<_, i64>(1)? as u64));
                }
                Ok(free.insert(QueueState { upto: upto.map(|n| n as u64), gaps, changed: false }))
            }
        }
    }
}

fn device_id(change: &Transaction<'_>, urn: &str) -> Result<i64, StoreError> {
    Ok(change.prepare_cached("SELECT id FROM device WHERE urn = ?1")?.query_row([urn], |r| r.get(0))?)
}

fn find_series(change: &Transaction<'_>, device: i64, key: &SeriesKey) -> Result<Option<SeriesId>, StoreError> {
    let known = change
        .prepare_cached(
            "SELECT id FROM series WHERE device = ?1 AND channel = ?2 AND unit_sent = ?3 AND kind = ?4 AND span_s = ?5 AND stamp = ?6",
        )?
        .query_row(
            params![device, key.channel, key.unit_sent, key.kind.word(), key.span_s, stamp_word(key.stamp_end)],
            |r| r.get(0),
        )
        .optional()?;
    Ok(known.map(SeriesId))
}

fn insert_series(change: &Transaction<'_>, device: i64, key: &SeriesKey) -> Result<SeriesId, StoreError> {
    change
        .prepare_cached(
            "INSERT INTO series(device, channel, unit_sent, kind, span_s, stamp) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![device, key.channel, key.unit_sent, key.kind.word(), key.span_s, stamp_word(key.stamp_end)])?;
    Ok(SeriesId(change.last_insert_rowid()))
}
