//! The roads in and out: messages come from a broker and go back to it. A message is acknowledged only after it is stored.

use propstick_garden::took::{Envelope, Publish};
use tokio::sync::{mpsc, oneshot};

/// Fires once the message it came with has been dealt with: `Ok` after the commit, `Refused` where it could not be stored.
/// Dropping it counts as refused.
#[derive(Debug)]
pub struct Ack(oneshot::Sender<Stored>);

/// What became of a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stored {
    /// It is on disk (or was settled before): acknowledge it.
    Yes,
    /// It could not be stored: do not acknowledge, the sender keeps it.
    No,
}

impl Ack {
    /// A new acknowledgement and the end that waits for it.
    pub fn pair() -> (Ack, oneshot::Receiver<Stored>) {
        let (tx, rx) = oneshot::channel();
        (Ack(tx), rx)
    }

    /// Says what became of the message. The waiting end may be gone already; that harms nothing.
    pub fn fire(self, stored: Stored) {
        let _ = self.0.send(stored);
    }
}

/// Where messages are put for the ledger.
pub type Inbox = mpsc::Sender<(Envelope, Ack)>;
/// Where messages to be sent come from.
pub type Outbox = mpsc::Receiver<Publish>;
