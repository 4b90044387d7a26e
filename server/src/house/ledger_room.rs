//! The ledger's thread: takes what has come, commits it, and only then lets it be acknowledged.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::sync_channel;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use propstick_garden::decode::{self, mapping::Book};
use propstick_garden::took::{Envelope, Publish, Took};
use propstick_wire::message::Receipt;
use propstick_wire::{BoardUrn, QueueId};
use tokio::runtime::Runtime;
use tokio::sync::mpsc;

use super::engine_room::EngineDoor;
use super::health::{Health, Light};
use crate::engine::{Command, Input};
use crate::stop::Stop;
use crate::store::ledger::Due;
use crate::store::{Committed, Ledger, StoreError};
use crate::transport::{Ack, Stored};

/// Most messages in one transaction.
const LOT: usize = 512;
/// Errands that may wait.
const ERRANDS: usize = 16;
/// Pause after a commit that failed, so that a full disk does not keep the machine busy.
const PAUSE: Duration = Duration::from_secs(1);

/// Something to be done with the ledger on its own thread; what it gives back is to be called once the engine has been told.
type Errand = Box<dyn FnOnce(&mut Ledger) -> Answer + Send>;
type Answer = Box<dyn FnOnce() + Send>;

/// The way to have something done with the ledger, such as an import.
///
/// It is done between two lots of messages. What comes meanwhile waits for its acknowledgement and is committed right after, so that nothing is lost: a
/// board repeats what no receipt told it, and a client of the broker is let wait. How long is how long the errand takes: an import of a million readings
/// a few seconds. Readers never wait.
#[derive(Clone)]
pub struct LedgerDoor {
    errands: mpsc::Sender<Errand>,
}

impl LedgerDoor {
    /// The door, and where its errands come out.
    pub(super) fn pair() -> (LedgerDoor, mpsc::Receiver<Errand>) {
        let (errands, come) = mpsc::channel(ERRANDS);
        (LedgerDoor { errands }, come)
    }

    /// Has something done and waits for it, on a thread that may wait; none if the ledger has stopped, or if `errand` broke off by an error in the
    /// program: then nothing that it had begun to write is kept.
    pub fn run<T: Send + 'static>(&self, errand: impl FnOnce(&mut Ledger) -> T + Send + 'static) -> Option<T> {
        let (tell, told) = sync_channel(1);
        let errand: Errand = Box::new(move |ledger| {
            let done = errand(ledger);
            Box::new(move || {
                let _ = tell.send(done);
            })
        });
        self.errands.blocking_send(errand).ok()?;
        told.recv().ok()
    }

    /// Has an import taken back whole; how many readings went. None if the ledger has stopped.
    pub fn undo_import(&self, origin: i64) -> Option<Result<u64, StoreError>> {
        self.run(move |ledger| ledger.take_back(origin).map(|gone| gone.readings as u64))
    }
}

/// Starts the thread. It ends when `stop` is asked for, with everything committed that came before; a road may still hold an inbox then.
pub(super) fn start(
    ledger: Ledger,
    book: Book,
    (taken, errands): (mpsc::Receiver<(Envelope, Ack)>, mpsc::Receiver<Errand>),
    send: mpsc::Sender<Publish>,
    engine: EngineDoor,
    health: Arc<Health>,
    stop: Stop,
) -> std::io::Result<JoinHandle<()>> {
    let room = Room { ledger, book, send, engine, health };
    // The thread waits for two things at once; a runtime of its own lets it.
    let waiting = tokio::runtime::Builder::new_current_thread().build()?;
    thread::Builder::new().name("ledger".to_owned()).spawn(move || room.run(taken, errands, &waiting, &stop))
}

/// What comes next.
enum Next {
    Message(Box<(Envelope, Ack)>),
    Errand(Errand),
    Stop,
}

struct Room {
    ledger: Ledger,
    book: Book,
    send: mpsc::Sender<Publish>,
    engine: EngineDoor,
    health: Arc<Health>,
}

impl Drop for Room {
    fn drop(&mut self) {
        if thread::panicking() {
            let says =
                "Readings are not kept any more: an error in the program. Boards keep theirs. Start Propstick again.";
            self.health.trouble("ledger thread", Light::Red, says);
        }
    }
}

impl Room {
    fn run(
        mut self,
        mut taken: mpsc::Receiver<(Envelope, Ack)>,
        mut errands: mpsc::Receiver<Errand>,
        waiting: &Runtime,
        stop: &Stop,
    ) {
        // No timer: whatever is there is committed, and the next lot gathers meanwhile.
        loop {
            let next = waiting.block_on(async {
                tokio::select! {
                    biased;
                    Some(first) = taken.recv() => Next::Message(Box::new(first)),
                    Some(errand) = errands.recv() => Next::Errand(errand),
                    () = stop.stopped() => Next::Stop,
                }
            });
            let first = match next {
                Next::Message(first) => *first,
                Next::Errand(errand) => {
                    self.run_errand(errand);
                    continue;
                }
                Next::Stop => return,
            };
            let mut lot: Vec<Took> = Vec::new();
            let mut acks = Vec::new();
            let mut next = Some(first);
            while let Some((envelope, ack)) = next {
                lot.append(&mut decode::read(&envelope, &self.book));
                acks.push(ack);
                next = if acks.len() < LOT { taken.try_recv().ok() } else { None };
            }
            match self.ledger.commit(&lot) {
                Ok(done) => self.committed(done, acks),
                Err(error) => self.failed(&error, acks),
            }
            // Where messages never end an errand has its turn, too.
            if let Ok(errand) = errands.try_recv() {
                self.run_errand(errand);
            }
        }
    }

    fn run_errand(&mut self, errand: Errand) {
        let before = self.ledger.generation();
        // A transaction that is dropped half-way is rolled back, and the ledger remembers nothing of it.
        let done = catch_unwind(AssertUnwindSafe(|| errand(&mut self.ledger)));
        let after = self.ledger.generation();
        if after != before {
            self.health.committed(after, 0, 0);
            self.engine.tell(Input::Command(Command::LookInLedger));
        }
        // Whoever waits for the errand and then for the engine finds it told.
        match done {
            Ok(answer) => answer(),
            Err(_) => {
                tracing::error!(
                    "an errand to the ledger broke off by an error in the program; nothing of it was stored"
                );
            }
        }
    }

    fn committed(&mut self, done: Committed, acks: Vec<Ack>) {
        self.health.well("store");
        self.health.committed(done.generation, acks.len(), done.fresh.len());
        for ack in acks {
            ack.fire(Stored::Yes);
        }
        for due in &done.receipts {
            if let Some(receipt) = receipt(due) {
                // A receipt that finds no room is told again: the board repeats its pack until it hears one.
                let _ = self.send.try_send(receipt);
            }
        }
        if !done.fresh.is_empty() || !done.boards.is_empty() || !done.receipts.is_empty() || done.refused > 0 {
            self.engine.tell(Input::Committed(done));
        }
    }

    fn failed(&self, error: &StoreError, acks: Vec<Ack>) {
        tracing::error!(%error, "readings could not be stored; boards keep them");
        self.health.trouble(
            "store",
            Light::Red,
            format!("Readings cannot be stored ({error}). Boards keep theirs until this is mended: look at the disk."),
        );
        for ack in acks {
            ack.fire(Stored::No);
        }
        thread::sleep(PAUSE);
    }
}

/// The message that tells a board how far it has been heard.
pub(super) fn receipt(due: &Due) -> Option<Publish> {
    let board = BoardUrn::parse(&due.device).ok()?;
    let mut buffer = [0; 160];
    let receipt = Receipt { queue: QueueId(due.queue), upto: due.upto, at_s: due.at.0.div_euclid(1_000) };
    let text = receipt.write(&mut buffer).ok()?;
    Some(Publish { topic: board.receipt_topic().to_string(), payload: text.as_bytes().to_vec(), retain: true })
}
