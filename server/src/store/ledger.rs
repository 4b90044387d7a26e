//! The ledger: the one writer of `readings.db`. Order of arrival and repetition leave no trace in it.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::time::Duration;

use propstick_garden::took::{BoardState, RawReading, Reject, SeriesKey, Took};
use propstick_wire::Millis;
use propstick_wire::millis::HOUR;
use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::queues::QueueState;
use super::readings::{STEPS, SeriesId};
use super::registers::{Heard, Registers};
use super::sqlite::{self, Durability};
use super::{StoreError, imports, rejects};

/// How long the end waits for readers before the log stays as it is.
const LAST_WAIT: Duration = Duration::from_millis(500);

/// A reading that is new in the store, or that became the winner of its instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fresh {
    /// Its series.
    pub series: SeriesId,
    /// Its instant.
    pub t: Millis,
    /// Its value as sent.
    pub v: f64,
}

/// A receipt to be told to a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// URN of the board.
    pub device: String,
    /// Its queue.
    pub queue: u32,
    /// Highest sample settled.
    pub upto: u64,
    /// When its newest pack arrived.
    pub at: Millis,
}

/// What a commit brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Committed {
    /// Its generation: dirty hours carry it. One that brought no reading has the generation before it.
    pub generation: i64,
    /// Readings that are new or newly winning.
    pub fresh: Vec<Fresh>,
    /// Series never seen before.
    pub new_series: Vec<(SeriesId, SeriesKey)>,
    /// Receipts to be told, one a board.
    pub receipts: Vec<Due>,
    /// Boards that told their state.
    pub boards: Vec<BoardState>,
    /// How many things were refused.
    pub refused: usize,
    /// How many readings were repeats.
    pub repeats: usize,
    /// The latest arrival among what was committed.
    pub arrived: Option<Millis>,
}

/// How large the store is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Size {
    /// Bytes of the file.
    pub file: u64,
    /// Bytes of its write-ahead log.
    pub log: u64,
}

/// The one writer of `readings.db`.
pub struct Ledger {
    pub(super) db: Connection,
    path: PathBuf,
    pub(super) generation: i64,
    devices: HashMap<String, Heard>,
    series: HashMap<SeriesKey, SeriesId>,
    queues: HashMap<(i64, u32), QueueState>,
}

impl Ledger {
    /// Opens the file, made if absent.
    pub fn open(path: &Path) -> Result<Ledger, StoreError> {
        let db = sqlite::open(path, Durability::Full, STEPS)?;
        imports::tidy(&db).map_err(|e| e.in_file(path))?;
        let generation = db
            .query_row("SELECT coalesce(max(gen), 0) FROM dirty", [], |r| r.get(0))
            .map_err(|e| StoreError::of_file(path, e))?;
        Ok(Ledger {
            db,
            path: path.to_owned(),
            generation,
            devices: HashMap::new(),
            series: HashMap::new(),
            queues: HashMap::new(),
        })
    }

    /// Stores what a lot of messages turned into, all or nothing. On an error nothing of it is stored.
    pub fn commit(&mut self, lot: &[Took]) -> Result<Committed, StoreError> {
        let mut done = self.commit_each(std::slice::from_ref(&lot))?;
        Ok(done.pop().unwrap_or_default())
    }

    /// Stores several lots in one transaction, all or nothing, and says for each what it brought.
    pub fn commit_each<L: AsRef<[Took]>>(&mut self, lots: &[L]) -> Result<Vec<Committed>, StoreError> {
        let done = self.try_commit(lots);
        if done.is_err() {
            // What was remembered may name rows that were rolled back.
            self.devices.clear();
            self.series.clear();
            self.queues.clear();
        }
        done
    }

    fn try_commit<L: AsRef<[Took]>>(&mut self, lots: &[L]) -> Result<Vec<Committed>, StoreError> {
        let change = self.db.unchecked_transaction()?;
        let mut page = Page { generation: self.generation, ..Page::default() };
        let mut all = Vec::with_capacity(lots.len());
        let mut book = Registers { devices: &mut self.devices, series: &mut self.series, queues: &mut self.queues };
        for lot in lots {
            all.push(take(&change, &mut book, lot.as_ref(), &mut page)?);
        }
        rejects::keep(&change, &page.refused)?;
        for (&(device, queue), &at) in &page.touched {
            if let Some(state) = self.queues.get_mut(&(device, queue)) {
                keep_queue(&change, device, queue, at, state)?;
            }
        }
        let mut note = change.prepare_cached("INSERT OR REPLACE INTO dirty(series, hour, gen) VALUES (?1, ?2, ?3)")?;
        for (&(series, hour), &generation) in &page.dirty {
            note.execute(params![series.0, hour, generation])?;
        }
        drop(note);
        change.commit()?;
        self.generation = page.generation;
        Ok(all)
    }

    /// The newest generation committed.
    pub fn generation(&self) -> i64 {
        self.generation
    }

    /// Forgets the dirty hours that have been worked through, up to generation `done`.
    pub fn forget_dirty(&mut self, done: i64) -> Result<(), StoreError> {
        // The newest generation stays: the numbering goes on from it after a restart.
        self.db.execute("DELETE FROM dirty WHERE gen <= ?1 AND gen < ?2", params![done, self.generation])?;
        Ok(())
    }

    /// How large the store is.
    pub fn size(&self) -> Size {
        let of = |suffix: &str| {
            let mut name = self.path.clone().into_os_string();
            name.push(suffix);
            std::fs::metadata(name).map(|m| m.len()).unwrap_or(0)
        };
        Size { file: of(""), log: of("-wal") }
    }
}

impl Drop for Ledger {
    /// Leaves everything in the one file, so that whoever copies it has it whole. Where a reader is in the way, the log keeps the rest.
    fn drop(&mut self) {
        let _ = self.db.busy_timeout(LAST_WAIT);
        let _ = self.db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
    }
}

/// A value for an instant: when it arrived, the value, and the facts of its message.
pub(super) type Candidate = (i64, f64, u8);

/// What a transaction gathers before it closes.
#[derive(Default)]
struct Page<'a> {
    /// The newest generation so far. Each lot that brings readings has its own: the engine may hear of one and die before the next.
    generation: i64,
    /// Hours in which readings changed, each with the newest generation that changed it.
    dirty: BTreeMap<(SeriesId, i64), i64>,
    touched: BTreeMap<(i64, u32), Millis>,
    refused: Vec<&'a Reject>,
}

/// Stores one lot and says what it brought.
fn take<'a>(
    change: &Transaction<'_>,
    book: &mut Registers<'_>,
    lot: &'a [Took],
    page: &mut Page<'a>,
) -> Result<Committed, StoreError> {
    let mut done = Committed::default();
    let mut due: BTreeMap<&str, Due> = BTreeMap::new();
    for took in lot {
        match took {
            Took::Reading(r) => {
                done.arrived = done.arrived.max(Some(r.arrived));
                let is_repeat = match r.sample {
                    None => false,
                    Some(sample) => {
                        let device = book.device(change, r)?;
                        book.queue(change, device, sample.queue)?.settled(sample.n)
                    }
                };
                let won = if is_repeat {
                    match book.known_series(change, r)? {
                        None => None,
                        Some(series) => heard_before(change, series, 0, r)?.then_some(series),
                    }
                } else {
                    let (series, is_new) = book.series(change, r)?;
                    if is_new {
                        done.new_series.push((series, r.series.clone()));
                    }
                    store(change, series, 0, r)?.then_some(series)
                };
                match won {
                    None => done.repeats += 1,
                    Some(series) => {
                        page.dirty.insert((series, r.t.0.div_euclid(HOUR)), page.generation + 1);
                        done.fresh.push(Fresh { series, t: r.t, v: r.v });
                    }
                }
            }
            Took::Settled(s) => {
                done.arrived = done.arrived.max(Some(s.arrived));
                let device = book.settled_device(change, s)?;
                let queue = book.queue(change, device, s.queue)?;
                queue.settle(s.first, s.last);
                let upto = queue.upto.unwrap_or(s.last);
                let at = page.touched.entry((device, s.queue)).or_insert(s.arrived);
                *at = s.arrived.max(*at);
                due.insert(&s.device, Due { device: s.device.clone(), queue: s.queue, upto, at: s.arrived });
            }
            Took::Board(b) => {
                done.arrived = done.arrived.max(Some(b.arrived));
                let device = book.board_device(change, b)?;
                keep_state(change, device, b)?;
                done.boards.push(b.clone());
            }
            Took::Reject(r) => {
                done.arrived = done.arrived.max(Some(r.at));
                if let (Some((queue, first, last)), Some(urn)) = (r.pack, &r.device) {
                    let device = book.device_named(change, urn, "board", None, r.at)?;
                    if book.queue(change, device, queue)?.all_settled(first, last) {
                        continue;
                    }
                }
                done.refused += 1;
                page.refused.push(r);
            }
        }
    }
    done.receipts = due.into_values().collect();
    page.generation += i64::from(!done.fresh.is_empty());
    done.generation = page.generation;
    Ok(done)
}

/// Stores one reading by the winner rule; true if the winner of its instant is new or another.
fn store(change: &Transaction<'_>, series: SeriesId, origin: i64, r: &RawReading) -> Result<bool, StoreError> {
    let written = change
        .prepare_cached(
            "INSERT OR IGNORE INTO reading(series, t, origin, v, arrived, facts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![series.0, r.t.0, origin, r.v, r.arrived.0, r.facts.0])?;
    if written == 1 {
        return Ok(true);
    }
    settle_instant(change, (series, r.t, origin), (r.arrived.0, r.v, r.facts.0))
}

/// A repeat of a numbered sample adds nothing. But where it arrived before what is kept of it, its arrival is the one that counts, so that
/// it leaves no trace which of the two was stored first; true if that makes another winner of its instant.
fn heard_before(change: &Transaction<'_>, series: SeriesId, origin: i64, r: &RawReading) -> Result<bool, StoreError> {
    let kept: Option<i64> = change
        .prepare_cached(
            "SELECT arrived FROM reading WHERE series = ?1 AND t = ?2 AND origin = ?3 AND v = ?4
             UNION ALL SELECT arrived FROM variant WHERE series = ?1 AND t = ?2 AND origin = ?3 AND v = ?4",
        )?
        .query_row(params![series.0, r.t.0, origin, r.v], |r| r.get(0))
        .optional()?;
    match kept {
        Some(arrived) if r.arrived.0 < arrived => {
            settle_instant(change, (series, r.t, origin), (r.arrived.0, r.v, r.facts.0))
        }
        _ => Ok(false),
    }
}

/// Two messages give a value for one instant: the earliest arrival wins, at a tie the smaller value; the others are kept as variants.
pub(super) fn settle_instant(
    change: &Transaction<'_>,
    (series, t, origin): (SeriesId, Millis, i64),
    another: Candidate,
) -> Result<bool, StoreError> {
    let at = params![series.0, t.0, origin];
    let row = |r: &rusqlite::Row<'_>| Ok::<Candidate, rusqlite::Error>((r.get(0)?, r.get(1)?, r.get(2)?));
    let before: Candidate = change
        .prepare_cached("SELECT arrived, v, facts FROM reading WHERE series = ?1 AND t = ?2 AND origin = ?3")?
        .query_row(at, row)?;
    let mut all = vec![before, another];
    let mut query =
        change.prepare_cached("SELECT arrived, v, facts FROM variant WHERE series = ?1 AND t = ?2 AND origin = ?3")?;
    for found in query.query_map(at, row)? {
        all.push(found?);
    }
    all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut kept: Vec<Candidate> = Vec::new();
    for candidate in all {
        if !kept.iter().any(|k| k.1 == candidate.1) {
            kept.push(candidate);
        }
    }
    change.prepare_cached("DELETE FROM variant WHERE series = ?1 AND t = ?2 AND origin = ?3")?.execute(at)?;
    let winner = kept[0];
    change
        .prepare_cached(
            "UPDATE reading SET arrived = ?4, v = ?5, facts = ?6 WHERE series = ?1 AND t = ?2 AND origin = ?3",
        )?
        .execute(params![series.0, t.0, origin, winner.0, winner.1, winner.2])?;
    for loser in &kept[1..] {
        change
            .prepare_cached(
                "INSERT INTO variant(series, t, origin, arrived, v, facts) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .execute(params![series.0, t.0, origin, loser.0, loser.1, loser.2])?;
    }
    Ok(winner.1 != before.1)
}

fn keep_queue(
    change: &Transaction<'_>,
    device: i64,
    queue: u32,
    at: Millis,
    state: &mut QueueState,
) -> Result<(), StoreError> {
    change
        .prepare_cached(
            "INSERT INTO queue(device, queue, upto, at) VALUES (?1, ?2, ?3, ?4)
             ON CONFLICT(device, queue) DO UPDATE SET upto = excluded.upto, at = max(at, excluded.at)",
        )?
        .execute(params![device, queue, state.upto.unwrap_or(0) as i64, at.0])?;
    if !state.changed {
        return Ok(());
    }
    change.prepare_cached("DELETE FROM queue_gap WHERE device = ?1 AND queue = ?2")?.execute(params![device, queue])?;
    for &(first, last) in &state.gaps {
        change
            .prepare_cached("INSERT INTO queue_gap(device, queue, first, last) VALUES (?1, ?2, ?3, ?4)")?
            .execute(params![device, queue, first as i64, last as i64])?;
    }
    state.changed = false;
    Ok(())
}

fn keep_state(change: &Transaction<'_>, device: i64, b: &BoardState) -> Result<(), StoreError> {
    // Old news that the broker kept never replaces what was heard after it.
    change
        .prepare_cached(
            "INSERT INTO board_state(device, arrived, retained, payload) VALUES (?1, ?2, ?3, ?4)
             ON CONFLICT(device) DO UPDATE SET arrived = excluded.arrived, retained = excluded.retained, payload = excluded.payload
             WHERE excluded.retained = 0 OR (excluded.payload <> payload AND excluded.arrived >= arrived)",
        )?
        .execute(params![device, b.arrived.0, b.retained, b.payload])?;
    Ok(())
}
