//! A stand-in for the ledger: it answers as told and remembers what it was given.

use std::sync::{Arc, Mutex};

use propstick::transport::{Ack, Inbox, Stored};
use propstick_garden::took::Envelope;
use tokio::sync::{mpsc, watch};

use crate::within;

/// What the ledger does with a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Stores it and says so.
    Store,
    /// Says that it could not.
    Refuse,
    /// Keeps it and says nothing.
    Withhold,
}

pub struct Ledger {
    answer: watch::Sender<Answer>,
    seen: watch::Receiver<Seen>,
    withheld: Arc<Mutex<Vec<Ack>>>,
}

/// What the ledger has been given so far.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    pub offered: Vec<Envelope>,
    pub stored: Vec<Envelope>,
}

impl Ledger {
    /// A ledger with room for so many messages that it has not looked at.
    pub fn start(room: usize) -> (Ledger, Inbox) {
        let (inbox, mut incoming) = mpsc::channel::<(Envelope, Ack)>(room);
        let (answer, answers) = watch::channel(Answer::Store);
        let (told, seen) = watch::channel(Seen::default());
        let withheld = Arc::new(Mutex::new(Vec::new()));
        let keep = Arc::clone(&withheld);
        tokio::spawn(async move {
            while let Some((envelope, ack)) = incoming.recv().await {
                let answer = *answers.borrow();
                told.send_modify(|seen| {
                    seen.offered.push(envelope.clone());
                    if answer == Answer::Store {
                        seen.stored.push(envelope);
                    }
                });
                match answer {
                    Answer::Store => ack.fire(Stored::Yes),
                    Answer::Refuse => ack.fire(Stored::No),
                    Answer::Withhold => keep.lock().unwrap().push(ack),
                }
            }
        });
        (Ledger { answer, seen, withheld }, inbox)
    }

    pub fn answer(&self, answer: Answer) {
        self.answer.send_replace(answer);
    }

    /// Says "stored" for all that was withheld.
    pub fn release(&self) {
        for ack in self.withheld.lock().unwrap().drain(..) {
            ack.fire(Stored::Yes);
        }
    }

    /// Waits until what was seen fits, and returns it.
    pub async fn until(&self, what: &str, mut fits: impl FnMut(&Seen) -> bool) -> Seen {
        let mut seen = self.seen.clone();
        within(what, seen.wait_for(|seen| fits(seen))).await.expect("the ledger runs").clone()
    }

    /// Waits until a message with this payload is stored.
    pub async fn until_stored(&self, payload: &str) -> Envelope {
        let seen = self.until(&format!("{payload} to be stored"), |seen| has(&seen.stored, payload)).await;
        seen.stored.into_iter().find(|envelope| envelope.payload == payload.as_bytes()).unwrap()
    }

    /// Waits until a message with this payload has been offered so often.
    pub async fn until_offered(&self, payload: &str, times: usize) -> Seen {
        self.until(&format!("{payload} to be offered {times} times"), |seen| {
            seen.offered.iter().filter(|envelope| envelope.payload == payload.as_bytes()).count() >= times
        })
        .await
    }

    pub fn seen(&self) -> Seen {
        self.seen.borrow().clone()
    }

    /// Payloads stored so far, in order.
    pub fn stored(&self) -> Vec<String> {
        self.seen().stored.iter().map(|envelope| String::from_utf8_lossy(&envelope.payload).into_owned()).collect()
    }
}

fn has(envelopes: &[Envelope], payload: &str) -> bool {
    envelopes.iter().any(|envelope| envelope.payload == payload.as_bytes())
}
