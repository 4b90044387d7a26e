//! The house at work: the threads, the roads and what they tell each other.
//!
//! The *ledger* thread alone writes `readings.db`: it drains what has come, commits, acknowledges, and never waits for the rest. The
//! *engine* thread alone writes `garden.db` and `derived.db`. Readers are short and read-only.

mod access;
mod engine_room;
mod health;
mod history;
mod ledger_room;
mod roads;
#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};
use std::sync::{Arc, RwLock};
use std::thread::JoinHandle;

use propstick_garden::decode::mapping::Book;
use propstick_garden::model::Garden;
use propstick_garden::took::Publish;
use tokio::sync::{Notify, broadcast, mpsc};

use crate::clock::Clock;
use crate::config::Config;
use crate::engine::{Change, Engine, Pace};
use crate::stop::{Stop, Stopper};
use crate::store::garden::GardenDb;
use crate::store::{DataFolder, Ledger, Readings, StoreError};
use crate::transport::Inbox;

pub use access::{hash_password, new_password};
pub use engine_room::{EngineDoor, Mail};
pub use health::{Building, Health, Light, Report};
pub use history::Historian;
pub use ledger_room::LedgerDoor;
pub use roads::{Roads, RoadsError};

/// How many messages may wait for the ledger before the roads wait.
const INBOX: usize = 4_096;
/// How many messages may wait to be sent.
const OUTBOX: usize = 8_192;
/// How many pointers a slow page may lag behind.
const POINTERS: usize = 256;

/// What the rooms that only read need.
#[derive(Clone)]
pub struct Windows {
    /// The data folder.
    pub folder: PathBuf,
    /// The clock.
    pub clock: Clock,
    /// The garden as it stands.
    pub garden: Arc<RwLock<Arc<Garden>>>,
    /// Pointers to what changed.
    pub live: broadcast::Sender<Change>,
    /// How the house is.
    pub health: Arc<Health>,
    /// Rings when the logins of boards changed.
    pub logins: Arc<Notify>,
}

impl Windows {
    /// The garden as it stands.
    pub fn garden(&self) -> Arc<Garden> {
        match self.garden.read() {
            Ok(garden) => Arc::clone(&garden),
            Err(poisoned) => Arc::clone(&poisoned.into_inner()),
        }
    }
}

/// The ways to the threads of a running house.
#[derive(Clone)]
pub struct Doors {
    /// To the engine's.
    pub engine: EngineDoor,
    /// To the ledger's.
    pub ledger: LedgerDoor,
}

/// A house whose ledger and engine run.
pub struct House {
    /// What the rooms that only read need.
    pub windows: Windows,
    /// Where messages go in.
    pub inbox: Inbox,
    /// Where messages to be sent come out; the roads take it.
    pub outbox: Option<mpsc::Receiver<Publish>>,
    /// The way to send something.
    pub send: mpsc::Sender<Publish>,
    doors: Doors,
    ledger_thread: Option<JoinHandle<()>>,
    engine_thread: Option<JoinHandle<()>>,
    stopper: Stopper,
    _folder: DataFolder,
}

/// A house that has been opened but does not run yet: history may still be laid down in it.
pub struct Opened {
    /// The owned data folder.
    pub folder: DataFolder,
    /// The one writer of the readings.
    pub ledger: Ledger,
    /// The engine.
    pub engine: Engine,
}

impl Opened {
    /// Takes a data folder and opens its stores; `garden` replaces the one kept, if given.
    ///
    /// # Errors
    /// A folder another process has, a file of a newer program, a disk that says no.
    pub fn open(path: &Path, garden: Option<Garden>, pace: Pace) -> Result<Opened, StoreError> {
        let folder = DataFolder::take(path)?;
        let mut ledger = Ledger::open(&folder.readings())?;
        let engine = Engine::open(folder.path(), garden, pace).map_err(|e| with_its_file(&folder, e))?;
        if engine.settle()? {
            ledger.forget_dirty(engine.done()?).map_err(|e| with_its_file(&folder, e))?;
        }
        Ok(Opened { folder, ledger, engine })
    }

    /// Windows for the rooms that only read; they may look in before the house runs.
    pub fn windows(&self, clock: Clock, health: Arc<Health>) -> Windows {
        let (live, _) = broadcast::channel(POINTERS);
        Windows {
            folder: self.folder.path().to_owned(),
            clock,
            garden: Arc::new(RwLock::new(self.engine.garden())),
            live,
            health,
            logins: Arc::new(Notify::new()),
        }
    }

    /// Starts the threads.
    ///
    /// # Errors
    /// Only if the machine has no room for another thread.
    pub fn start(self, config: &Config, windows: Windows) -> std::io::Result<House> {
        let Opened { folder, ledger, engine } = self;
        // What was committed before counts too: after a loss of the derived figures all of it has to be worked out.
        windows.health.committed(ledger.generation(), 0, 0);
        windows.health.worked_out(engine.done().unwrap_or(0));
        let (inbox, taken) = mpsc::channel(INBOX);
        let (send, outbox) = mpsc::channel(OUTBOX);
        let (engine, engine_thread) = engine_room::start(engine, windows.clone())?;
        let (stopper, stop) = Stop::pair();
        let book = Book { mappings: config.mappings.clone() };
        let (door, errands) = LedgerDoor::pair();
        let health = Arc::clone(&windows.health);
        let ledger_thread =
            ledger_room::start(ledger, book, (taken, errands), send.clone(), engine.clone(), health, stop)?;
        Ok(House {
            windows,
            inbox,
            outbox: Some(outbox),
            send,
            doors: Doors { engine, ledger: door },
            ledger_thread: Some(ledger_thread),
            engine_thread: Some(engine_thread),
            stopper,
            _folder: folder,
        })
    }
}

/// An error of SQLite that a damaged file explains, with that file's name.
fn with_its_file(folder: &DataFolder, error: StoreError) -> StoreError {
    if !matches!(error, StoreError::Sqlite(_)) {
        return error;
    }
    let readings = Readings::open(&folder.readings()).and_then(|r| r.sound());
    let both = readings.and_then(|()| GardenDb::open_reader(&folder.garden())?.sound());
    both.err().unwrap_or(error)
}

impl House {
    /// The ways to the threads.
    pub fn doors(&self) -> Doors {
        self.doors.clone()
    }

    /// Ends the threads: what has come is committed, what is committed is worked out.
    pub fn close(mut self) {
        self.stopper.stop();
        if let Some(thread) = self.ledger_thread.take() {
            let _ = thread.join();
        }
        self.doors.engine.stop();
        if let Some(thread) = self.engine_thread.take() {
            let _ = thread.join();
        }
    }
}
