//! Which numbers devices and series have in the ledger, and how far each queue has come: looked up once, remembered between commits.

use std::collections::HashMap;

use propstick_garden::took::{BoardState, RawReading, SeriesKey, Settled};
use propstick_wire::Millis;
use rusqlite::{OptionalExtension, Transaction, params};

use super::StoreError;
use super::queues::QueueState;
use super::readings::{SeriesId, stamp_word};

/// A device that was heard.
#[derive(Clone, Copy)]
pub(super) struct Heard {
    id: i64,
    /// The earliest arrival of what was heard of it.
    first_heard: Millis,
}

/// Numbers of devices and series and the state of queues, remembered between commits.
pub(super) struct Registers<'a> {
    pub(super) devices: &'a mut HashMap<String, Heard>,
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
        if let Some(known) = self.devices.get_mut(urn) {
            if arrived < known.first_heard {
                change
                    .prepare_cached("UPDATE device SET first_heard = ?2 WHERE id = ?1")?
                    .execute(params![known.id, arrived.0])?;
                known.first_heard = arrived;
            }
            return Ok(known.id);
        }
        // What only files told of so far is heard for the first time: its own word of what it is counts before theirs.
        let known = change
            .prepare_cached(
                "INSERT INTO device(urn, kind, mapping, first_heard) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT(urn) DO UPDATE SET kind = iif(first_heard IS NULL, excluded.kind, kind),
                    mapping = iif(first_heard IS NULL, excluded.mapping, mapping),
                    first_heard = min(coalesce(first_heard, excluded.first_heard), excluded.first_heard)
                 RETURNING id, first_heard",
            )?
            .query_row(params![urn, kind, mapping, arrived.0], |r| {
                Ok(Heard { id: r.get(0)?, first_heard: Millis(r.get(1)?) })
            })?;
        self.devices.insert(urn.to_owned(), known);
        Ok(known.id)
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
        let device = self.device(change, r)?;
        if let Some(&id) = self.series.get(&r.series) {
            return Ok(Some(id));
        }
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

/// The series of a file. Its device stays as it is if it was heard; otherwise it is noted as never heard.
pub(super) fn series_of_file(change: &Transaction<'_>, key: &SeriesKey) -> Result<SeriesId, StoreError> {
    change.prepare_cached("INSERT OR IGNORE INTO device(urn, kind, mapping) VALUES (?1, ?2, ?3)")?.execute(params![
        key.device,
        key.device_kind.word(),
        key.mapping
    ])?;
    let device =
        change.prepare_cached("SELECT id FROM device WHERE urn = ?1")?.query_row([&key.device], |r| r.get(0))?;
    match find_series(change, device, key)? {
        Some(known) => Ok(known),
        None => insert_series(change, device, key),
    }
}

/// What the device of a series is called that was never heard: what the files call it that tell of it, whichever came first. A board is told
/// before a foreign device, and that before one that is known from tables alone.
pub(super) fn call_as_files_do(change: &Transaction<'_>, series: SeriesId) -> Result<(), StoreError> {
    change
        .prepare_cached(
            "UPDATE device SET (kind, mapping) = (said.kind, said.mapping)
             FROM (SELECT o.kind, o.mapping FROM series a JOIN series b ON b.device = a.device JOIN origin_series o ON o.series = b.id
                WHERE a.id = ?1
                ORDER BY CASE o.kind WHEN 'board' THEN 0 WHEN 'foreign' THEN 1 ELSE 2 END, o.mapping IS NULL, o.mapping LIMIT 1) AS said
             WHERE device.id = (SELECT device FROM series WHERE id = ?1) AND device.first_heard IS NULL",
        )?
        .execute([series.0])?;
    Ok(())
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
