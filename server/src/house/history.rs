//! Laying down what has happened: a recording or an invented year runs through ledger and engine, with its own clock.
//!
//! For each message every deadline of the engine that is due before it is fired first, in order; then comes the message. Decoding and
//! committing go on one thread, the engine on another. Many messages share a transaction; the engine is told of them one by one.

use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::JoinHandle;

use propstick_garden::decode::{self, mapping::Book};
use propstick_garden::took::{Envelope, Took};
use propstick_wire::Millis;

use super::Opened;
use crate::engine::{Command, Engine, Input, Told};
use crate::store::{Committed, DataFolder, Ledger, StoreError};

/// Messages in one transaction.
const LOT: usize = 1_024;
/// Lots that may wait for the engine.
const AHEAD: usize = 2;

/// A house in which history is being laid down.
pub struct Historian {
    folder: DataFolder,
    ledger: Ledger,
    book: Book,
    lots: Vec<Vec<Took>>,
    /// The arrivals of `lots`, with what was told between them.
    waiting: Vec<Waiting>,
    to_engine: SyncSender<Vec<Step>>,
    engine: JoinHandle<Result<Engine, StoreError>>,
}

/// What waits for the ledger, in order.
enum Waiting {
    /// The next of the lots, which arrived then.
    Message(Millis),
    /// Nothing of the ledger's, but not to be told before what came before it.
    Told(Millis, Told),
}

/// One step of the engine's clock.
enum Step {
    /// A message arrived.
    Message(Millis, Committed),
    /// Somebody told something.
    Told(Millis, Told),
    /// It is this late, and nothing came.
    Until(Millis),
}

impl Historian {
    /// Begins over an opened house.
    ///
    /// # Errors
    /// Only if the machine has no room for another thread.
    pub fn begin(opened: Opened, book: Book) -> std::io::Result<Historian> {
        let Opened { folder, ledger, engine } = opened;
        let (to_engine, steps) = sync_channel::<Vec<Step>>(AHEAD);
        let engine = std::thread::Builder::new().name("history".to_owned()).spawn(move || {
            let mut engine = engine;
            for lot in steps {
                for step in lot {
                    match step {
                        Step::Message(at, committed) => {
                            fire_until(&mut engine, at)?;
                            engine.step(Input::Committed(committed))?;
                        }
                        Step::Told(at, told) => {
                            fire_until(&mut engine, at)?;
                            engine.step(Input::Command(Command::Told(Box::new(told), at)))?;
                        }
                        Step::Until(at) => {
                            fire_until(&mut engine, at)?;
                            engine.step(Input::Tick(at))?;
                        }
                    }
                }
            }
            engine.step(Input::Command(Command::CatchUp))?;
            engine.end_history()?;
            Ok(engine)
        })?;
        Ok(Historian { folder, ledger, book, lots: Vec::new(), waiting: Vec::new(), to_engine, engine })
    }

    /// Takes the next message; messages come in the order of their arrival.
    ///
    /// # Errors
    /// What the store says; history then ends here.
    pub fn take(&mut self, envelope: &Envelope) -> Result<(), StoreError> {
        self.lots.push(decode::read(envelope, &self.book));
        self.waiting.push(Waiting::Message(envelope.arrived));
        if self.lots.len() < LOT {
            return Ok(());
        }
        self.commit()
    }

    /// Lets time pass until `at` without a message.
    ///
    /// # Errors
    /// What the store says.
    pub fn pass_until(&mut self, at: Millis) -> Result<(), StoreError> {
        self.commit()?;
        let _ = self.to_engine.send(vec![Step::Until(at)]);
        Ok(())
    }

    /// Takes in what somebody told at `at`, in its turn among the messages.
    ///
    /// # Errors
    /// What the store says; history then ends here.
    pub fn tell(&mut self, at: Millis, told: Told) -> Result<(), StoreError> {
        self.waiting.push(Waiting::Told(at, told));
        if self.waiting.len() < 2 * LOT { Ok(()) } else { self.commit() }
    }

    /// Commits what is left, waits for the engine and gives the house back.
    ///
    /// # Errors
    /// What a store said on either side.
    pub fn end(mut self) -> Result<Opened, StoreError> {
        self.commit()?;
        let Historian { folder, ledger, to_engine, engine, .. } = self;
        drop(to_engine);
        let engine = match engine.join() {
            Ok(done) => done?,
            Err(panic) => std::panic::resume_unwind(panic),
        };
        Ok(Opened { folder, ledger, engine })
    }

    fn commit(&mut self) -> Result<(), StoreError> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let done = if self.lots.is_empty() { Vec::new() } else { self.ledger.commit_each(&self.lots)? };
        self.lots.clear();
        let mut done = done.into_iter();
        let step = |waiting| match waiting {
            Waiting::Message(at) => Some(Step::Message(at, done.next()?)),
            Waiting::Told(at, told) => Some(Step::Told(at, told)),
        };
        let steps = self.waiting.drain(..).filter_map(step).collect();
        // If the engine has ended with an error, `end` tells it.
        let _ = self.to_engine.send(steps);
        Ok(())
    }
}

/// Fires every deadline that is due before `at`, in order.
fn fire_until(engine: &mut Engine, at: Millis) -> Result<(), StoreError> {
    let mut last = None;
    while let Some(due) = engine.next_deadline().filter(|d| *d < at) {
        // A deadline that does not move on would stop the clock: one look at `at` settles it.
        if last.is_some_and(|l| due <= l) {
            break;
        }
        last = Some(due);
        engine.step(Input::Tick(due))?;
    }
    Ok(())
}
