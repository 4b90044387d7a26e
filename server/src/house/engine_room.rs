//! The engine's thread: tells the engine what was committed and what time it is, and does what it wants done.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use super::Windows;
use super::health::Light;
use crate::engine::{Command, Effect, Engine, Input};

/// How much may wait for the engine. What finds no room is read from the ledger instead.
const MAIL: usize = 1_024;
/// Longest sleep without a look at the clock, which somebody may have set.
const LONGEST_SLEEP: Duration = Duration::from_secs(30);

/// What is put through the engine's door.
pub enum Mail {
    /// Something for it to take in.
    Input(Box<Input>),
    /// Asks it to say when everything before has been worked out.
    Settled(SyncSender<()>),
    /// Asks it to end.
    Stop,
}

/// The way to tell the engine something without ever waiting for it.
#[derive(Clone)]
pub struct EngineDoor {
    mail: SyncSender<Mail>,
    missed: Arc<AtomicBool>,
}

impl EngineDoor {
    /// Tells it. If there is no room it will find out from the ledger.
    pub fn tell(&self, input: Input) {
        if self.mail.try_send(Mail::Input(Box::new(input))).is_err() {
            self.missed.store(true, Ordering::Release);
        }
    }

    /// Asks for something to be done, waiting for room if there is none.
    pub fn ask(&self, command: Command) {
        let _ = self.mail.send(Mail::Input(Box::new(Input::Command(command))));
    }

    /// Asks for something to be done and waits for what comes of it; none if the engine is gone or could not do it.
    pub fn ask_for<T>(&self, command: impl FnOnce(SyncSender<T>) -> Command) -> Option<T> {
        let (tx, rx) = sync_channel(1);
        self.ask(command(tx));
        rx.recv().ok()
    }

    /// Waits until everything told before is worked out; false if the engine is gone.
    pub fn wait_settled(&self) -> bool {
        let (tx, rx) = sync_channel(1);
        self.mail.send(Mail::Settled(tx)).is_ok() && rx.recv().is_ok()
    }

    /// Asks it to end.
    pub(super) fn stop(&self) {
        let _ = self.mail.send(Mail::Stop);
    }
}

/// Starts the thread.
pub(super) fn start(engine: Engine, windows: Windows) -> std::io::Result<(EngineDoor, JoinHandle<()>)> {
    let (mail, letters) = sync_channel(MAIL);
    let missed = Arc::new(AtomicBool::new(false));
    let door = EngineDoor { mail, missed: Arc::clone(&missed) };
    let room = Room { engine, windows, missed };
    let thread = thread::Builder::new().name("engine".to_owned()).spawn(move || room.run(&letters))?;
    Ok((door, thread))
}

struct Room {
    engine: Engine,
    windows: Windows,
    missed: Arc<AtomicBool>,
}

impl Drop for Room {
    fn drop(&mut self) {
        if thread::panicking() {
            let says = "Readings are kept, but nothing is worked out any more: an error in the program. Start Propstick again.";
            self.windows.health.trouble("engine thread", Light::Red, says);
        }
    }
}

impl Room {
    fn run(mut self, letters: &Receiver<Mail>) {
        self.tick();
        loop {
            let sleep = self.engine.next_deadline().and_then(|at| self.windows.clock.until(at));
            match letters.recv_timeout(sleep.unwrap_or(LONGEST_SLEEP).min(LONGEST_SLEEP)) {
                Ok(Mail::Input(input)) => self.step(*input),
                Ok(Mail::Settled(tell)) => {
                    // What found no room before this letter was told before it, too.
                    self.tick();
                    self.step(Input::Command(Command::CatchUp));
                    let _ = tell.send(());
                }
                Ok(Mail::Stop) | Err(RecvTimeoutError::Disconnected) => break,
                Err(RecvTimeoutError::Timeout) => {}
            }
            self.tick();
        }
        self.step(Input::Command(Command::CatchUp));
        if let Err(error) = self.engine.settle() {
            tracing::warn!(%error, "what was worked out may have to be worked out again");
        }
    }

    fn tick(&mut self) {
        if self.missed.swap(false, Ordering::AcqRel) {
            self.step(Input::Command(Command::LookInLedger));
        }
        self.step(Input::Tick(self.windows.clock.now()));
    }

    fn step(&mut self, input: Input) {
        match self.engine.step(input) {
            Ok(effects) => {
                self.windows.health.well("engine");
                for effect in effects {
                    match effect {
                        Effect::Logins => self.windows.logins.notify_one(),
                        Effect::Live(change) => {
                            if change.what == "garden" {
                                self.hang_up_garden();
                            }
                            // Nobody may be looking.
                            let _ = self.windows.live.send(change);
                        }
                    }
                }
            }
            Err(error) => {
                tracing::error!(%error, "figures could not be worked out");
                self.windows.health.trouble(
                    "engine",
                    Light::Amber,
                    format!("Readings are kept, but figures cannot be worked out ({error})."),
                );
                self.missed.store(true, Ordering::Release);
                thread::sleep(Duration::from_secs(1));
            }
        }
        if let Ok(done) = self.engine.done() {
            self.windows.health.worked_out(done);
        }
    }

    fn hang_up_garden(&self) {
        let garden = self.engine.garden();
        match self.windows.garden.write() {
            Ok(mut kept) => *kept = garden,
            Err(poisoned) => *poisoned.into_inner() = garden,
        }
    }
}
