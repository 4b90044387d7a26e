//! What was refused: the newest kept with their reason, all counted for ever.

use std::collections::BTreeMap;

use propstick_garden::took::Reject;
use rusqlite::{Transaction, params};

use super::StoreError;

/// How many are kept of one device.
const KEPT_A_DEVICE: i64 = 200;
/// How much of payloads is kept in all, in bytes.
const KEPT_BYTES: i64 = 16 << 20;
/// How much of one payload is kept, in bytes.
const KEPT_OF_ONE: usize = 16 << 10;

/// Writes `rejects`, counts them, and drops what is over the limits.
pub(super) fn keep(change: &Transaction<'_>, rejects: &[&Reject]) -> Result<(), StoreError> {
    if rejects.is_empty() {
        return Ok(());
    }
    let mut totals: BTreeMap<(&str, &str), i64> = BTreeMap::new();
    for r in rejects {
        let device = r.device.as_deref().unwrap_or("");
        let payload = &r.payload[..r.payload.len().min(KEPT_OF_ONE)];
        change
            .prepare_cached(
                "INSERT INTO reject(at, device, topic, reason, detail, payload) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![r.at.0, device, r.topic, r.reason.word(), r.detail, payload])?;
        *totals.entry((device, r.reason.word())).or_default() += 1;
    }
    for (&(device, reason), n) in &totals {
        change
            .prepare_cached(
                "INSERT INTO reject_total(device, reason, n) VALUES (?1, ?2, ?3)
                 ON CONFLICT(device, reason) DO UPDATE SET n = n + excluded.n",
            )?
            .execute(params![device, reason, n])?;
        change
            .prepare_cached(
                "DELETE FROM reject WHERE device = ?1 AND id <= (SELECT id FROM reject WHERE device = ?1 ORDER BY id DESC LIMIT 1 OFFSET ?2)",
            )?
            .execute(params![device, KEPT_A_DEVICE])?;
    }
    let bytes: i64 = change
        .prepare_cached("SELECT coalesce(sum(length(payload) + length(detail) + length(topic)), 0) FROM reject")?
        .query_row([], |r| r.get(0))?;
    if bytes > KEPT_BYTES {
        let over = bytes - KEPT_BYTES;
        change.execute(
            "DELETE FROM reject WHERE id IN (SELECT id FROM (SELECT id,
                sum(length(payload) + length(detail) + length(topic)) OVER (ORDER BY id) - (length(payload) + length(detail) + length(topic)) AS before
                FROM reject) WHERE before < ?1)",
            [over],
        )?;
    }
    Ok(())
}
