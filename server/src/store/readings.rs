//! `readings.db`: its schema, and the reading side.

use std::path::Path;

use propstick_wire::Millis;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{StoreError, sqlite};

/// The schema, step by step.
pub(super) const STEPS: &[&str] = &[r"
CREATE TABLE ledger(one INTEGER PRIMARY KEY CHECK(one = 1), id TEXT NOT NULL);
INSERT INTO ledger(one, id) VALUES (1, lower(hex(randomblob(8))));
CREATE TABLE device(id INTEGER PRIMARY KEY AUTOINCREMENT, urn TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, mapping TEXT, first_heard INTEGER);
CREATE TABLE series(id INTEGER PRIMARY KEY AUTOINCREMENT, device INTEGER NOT NULL REFERENCES device(id), channel TEXT NOT NULL, unit_sent TEXT NOT NULL,
    kind TEXT NOT NULL, span_s INTEGER NOT NULL, stamp TEXT NOT NULL,
    UNIQUE(device, channel, unit_sent, kind, span_s, stamp));
CREATE TABLE origin(id INTEGER PRIMARY KEY AUTOINCREMENT, label TEXT NOT NULL, made_at INTEGER NOT NULL, file TEXT, sha256 TEXT, mapping TEXT,
    zone TEXT, source BLOB);
INSERT INTO origin(id, label, made_at) VALUES (0, 'live', 0);
CREATE TABLE origin_report(origin INTEGER PRIMARY KEY, text TEXT NOT NULL);
CREATE TABLE origin_series(origin INTEGER NOT NULL, series INTEGER NOT NULL, kind TEXT NOT NULL, mapping TEXT, n INTEGER NOT NULL,
    first INTEGER NOT NULL, last INTEGER NOT NULL, PRIMARY KEY(origin, series)) WITHOUT ROWID;
CREATE TABLE reading(series INTEGER NOT NULL, t INTEGER NOT NULL, origin INTEGER NOT NULL, v REAL NOT NULL, arrived INTEGER NOT NULL,
    facts INTEGER NOT NULL, PRIMARY KEY(series, t, origin)) WITHOUT ROWID;
CREATE TABLE variant(series INTEGER NOT NULL, t INTEGER NOT NULL, origin INTEGER NOT NULL, v REAL NOT NULL, arrived INTEGER NOT NULL,
    facts INTEGER NOT NULL, PRIMARY KEY(series, t, origin, v)) WITHOUT ROWID;
CREATE TABLE queue(device INTEGER NOT NULL, queue INTEGER NOT NULL, upto INTEGER NOT NULL, at INTEGER NOT NULL, PRIMARY KEY(device, queue))
    WITHOUT ROWID;
CREATE TABLE queue_gap(device INTEGER NOT NULL, queue INTEGER NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL,
    PRIMARY KEY(device, queue, first)) WITHOUT ROWID;
CREATE TABLE reject(id INTEGER PRIMARY KEY, at INTEGER NOT NULL, device TEXT NOT NULL, topic TEXT NOT NULL, reason TEXT NOT NULL,
    detail TEXT NOT NULL, payload BLOB NOT NULL);
CREATE INDEX reject_by_device ON reject(device, id);
CREATE TABLE reject_total(device TEXT NOT NULL, reason TEXT NOT NULL, n INTEGER NOT NULL, PRIMARY KEY(device, reason)) WITHOUT ROWID;
CREATE TABLE board_state(device INTEGER PRIMARY KEY, arrived INTEGER NOT NULL, retained INTEGER NOT NULL, payload TEXT NOT NULL);
CREATE TABLE dirty(series INTEGER NOT NULL, hour INTEGER NOT NULL, gen INTEGER NOT NULL, PRIMARY KEY(series, hour)) WITHOUT ROWID;
CREATE INDEX dirty_by_gen ON dirty(gen);
"];

/// Number of a series in `readings.db`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SeriesId(pub i64);

/// A reading: its instant and its value as sent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Instant.
    pub t: Millis,
    /// Value, in the unit sent.
    pub v: f64,
}

/// Some readings of a series taken together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bucket {
    /// Its first instant.
    pub from: Millis,
    /// How many readings.
    pub n: u64,
    /// Smallest value.
    pub min: f64,
    /// Sum of the values.
    pub sum: f64,
    /// Greatest value.
    pub max: f64,
}

/// A half-open stretch of time, `[from, to)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// First instant in it.
    pub from: Millis,
    /// First instant after it.
    pub to: Millis,
}

/// A device as it stands in the store.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Its URN.
    pub urn: String,
    /// Board, foreign or file, as a word.
    pub kind: String,
    /// The mapping that reads it, if it is not a board.
    pub mapping: Option<String>,
    /// When it was first heard; none where only files tell of it.
    pub first_heard: Option<Millis>,
    /// Its channels with the instant and value of the newest reading.
    pub channels: Vec<(String, String, Option<Point>)>,
    /// The newest state it told, when that came, and whether it was old news.
    pub state: Option<(String, Millis, bool)>,
    /// How many samples never came.
    pub missing: u64,
    /// How many things of it were refused, ever.
    pub refused: u64,
}

/// A series as it stands in the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Series {
    /// Its number.
    pub id: SeriesId,
    /// URN of its device.
    pub urn: String,
    /// Its channel.
    pub channel: String,
    /// Its unit, as sent.
    pub unit_sent: String,
    /// What a number of it means in time, as a word.
    pub kind: String,
    /// Length of its interval in seconds, 0 for instants.
    pub span_s: i64,
    /// Whether it is stamped at the interval's end.
    pub stamp_end: bool,
}

/// Something refused, as kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Number, growing.
    pub id: i64,
    /// When it came.
    pub at: Millis,
    /// Device, or empty.
    pub device: String,
    /// Topic.
    pub topic: String,
    /// Reason, as a word.
    pub reason: String,
    /// In plain words.
    pub detail: String,
    /// The payload.
    pub payload: Vec<u8>,
}

/// The reading side of `readings.db`: short, read-only.
pub struct Readings {
    pub(super) db: Connection,
}

impl Readings {
    /// Opens the file for reading.
    pub fn open(path: &Path) -> Result<Readings, StoreError> {
        Ok(Readings { db: sqlite::open_reader(path, STEPS)? })
    }

    /// All series.
    pub fn series(&self) -> Result<Vec<Series>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT s.id, d.urn, s.channel, s.unit_sent, s.kind, s.span_s, s.stamp FROM series s JOIN device d ON d.id = s.device ORDER BY s.id",
        )?;
        let rows = query.query_map([], series_row)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Gives the winning reading of every instant of `span`, in order, in runs.
    pub fn scan(&self, series: SeriesId, span: Span, take: &mut dyn FnMut(&[Point])) -> Result<(), StoreError> {
        scan(&self.db, series, span, take)
    }

    /// The winning readings of `span`, in order.
    pub fn points(&self, series: SeriesId, span: Span) -> Result<Vec<Point>, StoreError> {
        let mut all = Vec::new();
        self.scan(series, span, &mut |run| all.extend_from_slice(run))?;
        Ok(all)
    }

    /// The readings of `span` by steps of `step_ms` from its beginning; steps without a reading are left out.
    pub fn buckets(&self, series: SeriesId, span: Span, step_ms: i64) -> Result<Vec<Bucket>, StoreError> {
        buckets(&self.db, series, span, step_ms)
    }

    /// The newest reading at or before `at`.
    pub fn newest(&self, series: SeriesId, at: Millis) -> Result<Option<Point>, StoreError> {
        let mut query = self
            .db
            .prepare_cached("SELECT t, v FROM reading WHERE series = ?1 AND t <= ?2 ORDER BY t DESC, origin ASC")?;
        // Descending by time then ascending by origin: the first row of the newest instant is its winner.
        Ok(query.query_row(params![series.0, at.0], point_row).optional()?)
    }

    /// The first and the last instant of a series.
    pub fn extent(&self, series: SeriesId) -> Result<Option<(Millis, Millis)>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT (SELECT t FROM reading WHERE series = ?1 ORDER BY t LIMIT 1), (SELECT t FROM reading WHERE series = ?1 ORDER BY t DESC LIMIT 1)",
        )?;
        let ends: (Option<i64>, Option<i64>) = query.query_row([series.0], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(ends.0.zip(ends.1).map(|(a, b)| (Millis(a), Millis(b))))
    }

    /// The first and the last instant of a series in `span`.
    pub fn extent_within(&self, series: SeriesId, span: Span) -> Result<Option<(Millis, Millis)>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT (SELECT t FROM reading WHERE series = ?1 AND t >= ?2 AND t < ?3 ORDER BY t LIMIT 1),
                (SELECT t FROM reading WHERE series = ?1 AND t >= ?2 AND t < ?3 ORDER BY t DESC LIMIT 1)",
        )?;
        let ends: (Option<i64>, Option<i64>) =
            query.query_row([series.0, span.from.0, span.to.0], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(ends.0.zip(ends.1).map(|(a, b)| (Millis(a), Millis(b))))
    }

    /// Hours (UTC hour numbers, of the series) that changed after generation `done`, and the newest generation.
    pub fn dirty_since(&self, done: i64) -> Result<(Vec<(SeriesId, i64)>, i64), StoreError> {
        let mut query =
            self.db.prepare_cached("SELECT series, hour, gen FROM dirty WHERE gen > ?1 ORDER BY series, hour")?;
        let mut newest = done;
        let mut hours = Vec::new();
        let mut rows = query.query([done])?;
        while let Some(row) = rows.next()? {
            hours.push((SeriesId(row.get(0)?), row.get(1)?));
            newest = newest.max(row.get(2)?);
        }
        Ok((hours, newest))
    }

    /// The newest generation committed.
    pub fn newest_generation(&self) -> Result<i64, StoreError> {
        let mut query = self.db.prepare_cached("SELECT coalesce(max(gen), 0) FROM dirty")?;
        Ok(query.query_row([], |r| r.get(0))?)
    }

    /// What tells this ledger from any other, made at random with it.
    pub fn ledger_id(&self) -> Result<String, StoreError> {
        Ok(self.db.query_row("SELECT id FROM ledger WHERE one = 1", [], |r| r.get(0))?)
    }

    /// All devices with what is known of them; those that only files told of which have been taken back are not among them.
    pub fn devices(&self, at: Millis) -> Result<Vec<Device>, StoreError> {
        let series = self.series()?;
        let mut query = self.db.prepare_cached(
            "SELECT d.urn, d.kind, d.mapping, d.first_heard, b.payload, b.arrived, b.retained,
                (SELECT coalesce(sum(last - first + 1), 0) FROM queue_gap g WHERE g.device = d.id),
                (SELECT coalesce(sum(n), 0) FROM reject_total t WHERE t.device = d.urn)
             FROM device d LEFT JOIN board_state b ON b.device = d.id
             WHERE d.first_heard IS NOT NULL
                OR EXISTS(SELECT 1 FROM series s JOIN origin_series o ON o.series = s.id WHERE s.device = d.id)
             ORDER BY d.id",
        )?;
        let rows = query.query_map([], |r| {
            let payload: Option<String> = r.get(4)?;
            let arrived: Option<i64> = r.get(5)?;
            let retained: Option<bool> = r.get(6)?;
            let state = payload.zip(arrived).map(|(p, a)| (p, Millis(a), retained.unwrap_or(false)));
            Ok(Device {
                urn: r.get(0)?,
                kind: r.get(1)?,
                mapping: r.get(2)?,
                first_heard: r.get::<_, Option<i64>>(3)?.map(Millis),
                channels: Vec::new(),
                state,
                missing: r.get::<_, i64>(7)? as u64,
                refused: r.get::<_, i64>(8)? as u64,
            })
        })?;
        let mut devices: Vec<Device> = rows.collect::<Result<_, _>>()?;
        for device in &mut devices {
            for s in series.iter().filter(|s| s.urn == device.urn) {
                let newest = self.newest(s.id, at)?;
                if newest.is_some() || self.extent(s.id)?.is_some() {
                    device.channels.push((s.channel.clone(), s.unit_sent.clone(), newest));
                }
            }
        }
        Ok(devices)
    }

    /// The newest receipts, one a board: URN, queue, highest sample settled, when.
    pub fn receipts(&self) -> Result<Vec<(String, u32, u64, Millis)>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT d.urn, q.queue, q.upto, max(q.at) FROM queue q JOIN device d ON d.id = q.device GROUP BY q.device ORDER BY d.urn",
        )?;
        let rows = query.query_map([], |r| {
            Ok((r.get(0)?, r.get::<_, i64>(1)? as u32, r.get::<_, i64>(2)? as u64, Millis(r.get(3)?)))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// What was refused, newest first, at most `most`, of one device or of all.
    pub fn refused(&self, device: Option<&str>, most: usize) -> Result<Vec<Refused>, StoreError> {
        let mut query = self.db.prepare_cached(
            "SELECT id, at, device, topic, reason, detail, payload FROM reject WHERE ?1 IS NULL OR device = ?1 ORDER BY id DESC LIMIT ?2",
        )?;
        let rows = query.query_map(params![device, most as i64], |r| {
            Ok(Refused {
                id: r.get(0)?,
                at: Millis(r.get(1)?),
                device: r.get(2)?,
                topic: r.get(3)?,
                reason: r.get(4)?,
                detail: r.get(5)?,
                payload: r.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Has SQLite look through the whole file.
    ///
    /// # Errors
    /// A file that is damaged, with what SQLite found.
    pub fn sound(&self) -> Result<(), StoreError> {
        sqlite::sound(&self.db)
    }

    /// How many things were refused, by reason.
    pub fn refused_totals(&self) -> Result<Vec<(String, u64)>, StoreError> {
        let mut query =
            self.db.prepare_cached("SELECT reason, sum(n) FROM reject_total GROUP BY reason ORDER BY reason")?;
        let rows = query.query_map([], |r| Ok((r.get(0)?, r.get::<_, i64>(1)? as u64)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

pub(super) fn scan(
    db: &Connection,
    series: SeriesId,
    span: Span,
    take: &mut dyn FnMut(&[Point]),
) -> Result<(), StoreError> {
    const RUN: usize = 4_096;
    let mut query =
        db.prepare_cached("SELECT t, v FROM reading WHERE series = ?1 AND t >= ?2 AND t < ?3 ORDER BY t, origin")?;
    let mut rows = query.query(params![series.0, span.from.0, span.to.0])?;
    let mut run: Vec<Point> = Vec::new();
    let mut last = None;
    while let Some(row) = rows.next()? {
        let point = point_row(row)?;
        // The lowest origin comes first and wins.
        if last == Some(point.t) {
            continue;
        }
        last = Some(point.t);
        run.push(point);
        if run.len() == RUN {
            take(&run);
            run.clear();
        }
    }
    if !run.is_empty() {
        take(&run);
    }
    Ok(())
}

pub(super) fn buckets(db: &Connection, series: SeriesId, span: Span, step_ms: i64) -> Result<Vec<Bucket>, StoreError> {
    let step_ms = step_ms.max(1);
    let mut all: Vec<Bucket> = Vec::new();
    scan(db, series, span, &mut |run| {
        for p in run {
            let from = Millis(span.from.0 + (p.t.0 - span.from.0) / step_ms * step_ms);
            match all.last_mut() {
                Some(b) if b.from == from => {
                    b.n += 1;
                    b.min = b.min.min(p.v);
                    b.max = b.max.max(p.v);
                    b.sum += p.v;
                }
                _ => all.push(Bucket { from, n: 1, min: p.v, sum: p.v, max: p.v }),
            }
        }
    })?;
    Ok(all)
}

fn point_row(row: &Row<'_>) -> rusqlite::Result<Point> {
    Ok(Point { t: Millis(row.get(0)?), v: row.get(1)? })
}

fn series_row(row: &Row<'_>) -> rusqlite::Result<Series> {
    Ok(Series {
        id: SeriesId(row.get(0)?),
        urn: row.get(1)?,
        channel: row.get(2)?,
        unit_sent: row.get(3)?,
        kind: row.get(4)?,
        span_s: row.get(5)?,
        stamp_end: row.get::<_, String>(6)? == "end",
    })
}

/// The word for where a series is stamped.
pub(super) fn stamp_word(end: bool) -> &'static str {
    if end { "end" } else { "start" }
}
