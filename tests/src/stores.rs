//! What stands in the stores of a data folder, row by row, by names instead of numbers that depend on the order of arrival.

use std::path::Path;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags};

/// Readings with their series, the losers of their instants, queues and what never came, each row as text. Numbers are shown in full, so
/// that equal texts mean equal numbers.
///
/// # Errors
/// What SQLite says.
pub fn readings(folder: &Path) -> rusqlite::Result<Vec<String>> {
    const SERIES: &str = "d.urn, d.kind, d.mapping, s.channel, s.unit_sent, s.kind, s.span_s, s.stamp";
    let db = open(&folder.join("readings.db"))?;
    let mut all = Vec::new();
    for table in ["reading", "variant"] {
        let query = format!(
            "SELECT '{table}', {SERIES}, r.t, r.origin, r.v, r.arrived, r.facts FROM {table} r
             JOIN series s ON s.id = r.series JOIN device d ON d.id = s.device ORDER BY {SERIES}, r.t, r.origin, r.v"
        );
        rows(&db, &query, &mut all)?;
    }
    rows(
        &db,
        &format!("SELECT 'series', {SERIES} FROM series s JOIN device d ON d.id = s.device ORDER BY {SERIES}"),
        &mut all,
    )?;
    rows(
        &db,
        "SELECT 'queue', d.urn, q.queue, q.upto, q.at FROM queue q JOIN device d ON d.id = q.device ORDER BY d.urn, q.queue",
        &mut all,
    )?;
    rows(
        &db,
        "SELECT 'gap', d.urn, g.queue, g.first, g.last FROM queue_gap g JOIN device d ON d.id = g.device ORDER BY d.urn, g.queue, g.first",
        &mut all,
    )?;
    Ok(all)
}

/// Every hour, wet hour and noon-day that was worked out, each row as text.
///
/// # Errors
/// What SQLite says.
pub fn hours(folder: &Path) -> rusqlite::Result<Vec<String>> {
    let mut all = Vec::new();
    rows(
        &open(&folder.join("derived.db"))?,
        "SELECT p.spot, p.measure, h.hour, h.n, h.covered_ms, h.min, h.max, h.sum FROM hour h JOIN place p ON p.id = h.place
         ORDER BY p.spot, p.measure, h.hour",
        &mut all,
    )?;
    rows(
        &open(&folder.join("derived.db"))?,
        "SELECT 'wet', s.spot, w.hour, w.covered_ms, w.wet_ms_lo, w.wet_ms, w.wet_ms_hi, w.t_c, w.rh_pct_lo, w.rh_pct, w.rh_pct_hi, w.suspect
         FROM wet w JOIN site s ON s.id = w.site ORDER BY s.spot, w.hour",
        &mut all,
    )?;
    rows(
        &open(&folder.join("derived.db"))?,
        "SELECT 'night', s.spot, n.noon, hex(n.night), hex(n.state) FROM night n JOIN site s ON s.id = n.site ORDER BY s.spot, n.noon",
        &mut all,
    )?;
    Ok(all)
}

/// How many things of each board of ours were refused for each reason.
///
/// # Errors
/// What SQLite says.
pub fn refused_of_boards(folder: &Path) -> rusqlite::Result<Vec<String>> {
    let mut all = Vec::new();
    let query = "SELECT device, reason, n FROM reject_total WHERE device LIKE 'urn:dev:%' ORDER BY device, reason";
    rows(&open(&folder.join("readings.db"))?, query, &mut all)?;
    Ok(all)
}

/// One number that a query gives.
///
/// # Errors
/// What SQLite says.
pub fn count(file: &Path, query: &str) -> rusqlite::Result<i64> {
    open(file)?.query_row(query, [], |r| r.get(0))
}

/// The first rows in which two stores differ, for a message a person can read.
pub fn difference(a: &[String], b: &[String]) -> String {
    let only = |these: &[String], those: &[String]| -> Vec<String> {
        let those: std::collections::BTreeSet<&String> = those.iter().collect();
        these.iter().filter(|row| !those.contains(row)).take(5).cloned().collect()
    };
    format!(
        "{} and {} rows\nonly in the first: {:#?}\nonly in the second: {:#?}",
        a.len(),
        b.len(),
        only(a, b),
        only(b, a)
    )
}

fn open(file: &Path) -> rusqlite::Result<Connection> {
    Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY)
}

fn rows(db: &Connection, query: &str, all: &mut Vec<String>) -> rusqlite::Result<()> {
    let mut query = db.prepare(query)?;
    let columns = query.column_count();
    let mut found = query.query([])?;
    while let Some(row) = found.next()? {
        let cells: rusqlite::Result<Vec<String>> = (0..columns).map(|k| row.get_ref(k).map(cell)).collect();
        all.push(cells?.join(" "));
    }
    Ok(())
}

fn cell(value: ValueRef<'_>) -> String {
    match value {
        ValueRef::Null => "-".to_owned(),
        ValueRef::Integer(number) => number.to_string(),
        ValueRef::Real(number) => format!("{number:?}"),
        ValueRef::Text(text) | ValueRef::Blob(text) => String::from_utf8_lossy(text).into_owned(),
    }
}
