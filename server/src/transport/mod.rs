//! The roads in and out: messages come from a broker and go back to it. A message is acknowledged only after it is stored.
//!
//! [`embedded`] is a broker in this program; [`outside`] is a client of a broker elsewhere. Both are a [`Transport`] and keep one
//! contract, which one set of tests holds both to.

#[cfg(feature = "embedded-broker")]
pub mod embedded;
pub mod outside;
pub mod rights;
pub mod topic;

use std::collections::VecDeque;
use std::future::Future;
use std::net::SocketAddr;

use propstick_garden::took::{Envelope, Publish};
use propstick_wire::Millis;
use tokio::sync::{mpsc, oneshot};

pub use crate::stop::{Stop, Stopper};

/// A road: brings messages to the ledger and takes messages out, until it is told to stop.
pub trait Transport {
    /// Runs until `stop` fires (`Ok`) or the road cannot go on. Every message that comes in is put into `inbox` with an [`Ack`], and is
    /// acknowledged to its sender only after that fired [`Stored::Yes`]. Every message from `outbox` is sent at QoS 1; the end of
    /// `outbox` ends nothing.
    fn run(self, inbox: Inbox, outbox: Outbox, stop: Stop) -> impl Future<Output = Result<(), TransportError>> + Send;
}

/// Fires once the message it came with has been dealt with: `Yes` after the commit, `No` where it could not be stored.
/// Dropping it counts as `No`.
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

/// Tells the time of day. A road is given its clock, as every room but one of the program.
pub type Now = fn() -> Millis;

/// Where messages are put for the ledger.
pub type Inbox = mpsc::Sender<(Envelope, Ack)>;
/// Where messages to be sent come from.
pub type Outbox = mpsc::Receiver<Publish>;

/// News of the road itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RoadEvent {
    /// It carries messages (again): what boards wait for, such as receipts, is to be published anew.
    Connected,
    /// The connection to the outside broker ended or could not be made, `in_a_row` times without a steady connection between.
    Lost {
        /// What happened, in plain words.
        why: String,
        /// How often in a row; many mean that something is wrong which trying again does not mend.
        in_a_row: u32,
    },
    /// Connected, but no fresh message came for so many seconds; it connects anew.
    HeardNothing {
        /// Length of the silence in seconds.
        for_s: u64,
    },
    /// The outside broker does not let us hear this filter.
    NotSubscribed {
        /// The filter it refused.
        filter: String,
    },
}

/// Why a road ended.
#[derive(Debug, thiserror::Error)]
pub enum TransportError {
    /// The address cannot be listened on.
    #[error("cannot listen on {listen}: {why}")]
    Bind {
        /// The address asked for.
        listen: SocketAddr,
        /// The reason the system gave.
        why: String,
    },
    /// The broker in this program ended by itself.
    #[error("the broker in this program ended: {0}")]
    Broker(String),
    /// Nobody stores messages any more.
    #[error("the ledger is gone, so nothing can be stored")]
    LedgerGone,
}

/// Hands out news without ever waiting for the hearer; what does not fit is told at the next opportunity.
struct Teller {
    events: mpsc::Sender<RoadEvent>,
    owed: VecDeque<RoadEvent>,
}

/// News kept for a hearer that is slow; the oldest goes first.
const OWED_MOST: usize = 64;

impl Teller {
    fn new(events: mpsc::Sender<RoadEvent>) -> Teller {
        Teller { events, owed: VecDeque::new() }
    }

    fn tell(&mut self, event: RoadEvent) {
        if self.owed.len() == OWED_MOST {
            self.owed.pop_front();
        }
        self.owed.push_back(event);
        self.catch_up();
    }

    fn catch_up(&mut self) {
        while let Some(event) = self.owed.pop_front() {
            match self.events.try_send(event) {
                Ok(()) => {}
                Err(mpsc::error::TrySendError::Full(event)) => {
                    self.owed.push_front(event);
                    return;
                }
                // Nobody listens: nothing is owed.
                Err(mpsc::error::TrySendError::Closed(_)) => self.owed.clear(),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ack_dropped_unfired_counts_as_not_stored() {
        let (ack, done) = Ack::pair();
        drop(ack);
        assert_eq!(done.blocking_recv().unwrap_or(Stored::No), Stored::No);
    }

    #[test]
    fn teller_with_a_slow_hearer_tells_later_and_in_order() {
        let (tx, mut rx) = mpsc::channel(1);
        let mut teller = Teller::new(tx);
        for n in 1..=3 {
            teller.tell(RoadEvent::HeardNothing { for_s: n });
        }
        let mut heard = Vec::new();
        while let Ok(event) = rx.try_recv() {
            heard.push(event);
            teller.catch_up();
        }
        assert_eq!(heard, [1, 2, 3].map(|for_s| RoadEvent::HeardNothing { for_s }));
    }
}
