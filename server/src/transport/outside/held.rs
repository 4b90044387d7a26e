//! Messages that came in and are not acknowledged yet, in the order they came: acknowledgements must keep it.

use std::collections::VecDeque;
use std::time::Duration;

use propstick_garden::took::Envelope;
use tokio::sync::oneshot;
use tokio::time::Instant;

use crate::transport::{Ack, Stored};

/// `M` is what the client needs to acknowledge a message; `None` for one at QoS 0, which nobody acknowledges.
pub(super) struct Held<M> {
    messages: VecDeque<(Option<M>, Stage)>,
    /// How many at the front are past `Waits`.
    given: usize,
}

enum Stage {
    /// Waits for room in the inbox.
    Waits(Envelope),
    /// The ledger has it.
    Given { done: oneshot::Receiver<Stored>, since: Instant },
    /// Not for us, or settled.
    Settled,
}

impl<M> Held<M> {
    pub fn new() -> Held<M> {
        Held { messages: VecDeque::new(), given: 0 }
    }

    pub fn len(&self) -> usize {
        self.messages.len()
    }

    /// A message for the ledger.
    pub fn take_in(&mut self, envelope: Envelope, message: Option<M>) {
        self.messages.push_back((message, Stage::Waits(envelope)));
    }

    /// A message for nobody, to be acknowledged in its turn.
    pub fn pass_over(&mut self, message: M) {
        let all_given = self.given == self.messages.len();
        self.messages.push_back((Some(message), Stage::Settled));
        if all_given {
            self.given += 1;
        }
    }

    /// Whether a message waits for room in the inbox.
    pub fn has_waiting(&self) -> bool {
        self.given < self.messages.len()
    }

    /// Whether the first message is past waiting, so that it can settle.
    pub fn is_first_given(&self) -> bool {
        self.given > 0
    }

    /// The next message for the inbox.
    pub fn give(&mut self, now: Instant) -> Option<(Envelope, Ack)> {
        let mut to_give = None;
        while let Some((_, stage)) = self.messages.get_mut(self.given) {
            if matches!(stage, Stage::Waits(_)) && to_give.is_some() {
                break;
            }
            if matches!(stage, Stage::Waits(_)) {
                let (ack, done) = Ack::pair();
                if let Stage::Waits(envelope) = std::mem::replace(stage, Stage::Given { done, since: now }) {
                    to_give = Some((envelope, ack));
                }
            }
            self.given += 1;
        }
        to_give
    }

    /// Waits until the first message is settled and takes it off. `Ok(None)`: nothing to acknowledge. May be dropped and called again.
    pub async fn settle(&mut self) -> Result<Option<M>, NotStored> {
        let Some((_, stage)) = self.messages.front_mut() else {
            return std::future::pending().await;
        };
        let stored = match stage {
            Stage::Waits(_) => return std::future::pending().await,
            Stage::Given { done, .. } => done.await.unwrap_or(Stored::No),
            Stage::Settled => Stored::Yes,
        };
        if stored == Stored::No {
            return Err(NotStored);
        }
        self.given = self.given.saturating_sub(1);
        Ok(self.messages.pop_front().and_then(|(message, _)| message))
    }

    /// When the first message has been with the ledger for too long.
    pub fn overdue_at(&self, limit: Duration) -> Option<Instant> {
        match self.messages.front() {
            Some((_, Stage::Given { since, .. })) => Some(*since + limit),
            _ => None,
        }
    }
}

/// The first message could not be stored.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct NotStored;

#[cfg(test)]
mod tests {
    use propstick_garden::took::Via;
    use propstick_wire::Millis;

    use super::*;

    fn envelope(topic: &str) -> Envelope {
        let (qos, retain, dup) = (1, false, false);
        Envelope { arrived: Millis(0), via: Via::Outside, topic: topic.into(), payload: vec![], qos, retain, dup }
    }

    fn settle_now(held: &mut Held<u8>) -> Option<Result<Option<u8>, NotStored>> {
        let mut settling = std::pin::pin!(held.settle());
        let mut context = std::task::Context::from_waker(std::task::Waker::noop());
        match settling.as_mut().poll(&mut context) {
            std::task::Poll::Ready(settled) => Some(settled),
            std::task::Poll::Pending => None,
        }
    }

    #[test]
    fn held_settles_in_the_order_of_arrival_whatever_the_order_of_storing() {
        let mut held = Held::new();
        held.take_in(envelope("a"), Some(1));
        held.pass_over(2);
        held.take_in(envelope("b"), Some(3));
        let now = Instant::now();
        let (first, ack_first) = held.give(now).unwrap();
        let (second, ack_second) = held.give(now).unwrap();
        assert_eq!((first.topic.as_str(), second.topic.as_str()), ("a", "b"));
        assert!(!held.has_waiting());
        ack_second.fire(Stored::Yes);
        assert_eq!(settle_now(&mut held), None);
        ack_first.fire(Stored::Yes);
        for expected in [1, 2, 3] {
            assert_eq!(settle_now(&mut held), Some(Ok(Some(expected))));
        }
        assert_eq!(held.len(), 0);
        assert_eq!(settle_now(&mut held), None);
    }

    #[test]
    fn held_with_a_refused_message_reports_it_and_settles_nothing_behind_it() {
        let mut held = Held::new();
        held.take_in(envelope("a"), Some(1));
        held.take_in(envelope("b"), Some(2));
        let now = Instant::now();
        held.give(now).unwrap().1.fire(Stored::No);
        held.give(now).unwrap().1.fire(Stored::Yes);
        assert_eq!(settle_now(&mut held), Some(Err(NotStored)));
    }

    #[test]
    fn held_message_at_qos_0_is_settled_without_an_acknowledgement() {
        let mut held: Held<u8> = Held::new();
        held.take_in(envelope("a"), None);
        held.give(Instant::now()).unwrap().1.fire(Stored::Yes);
        assert_eq!(settle_now(&mut held), Some(Ok(None)));
    }

    #[test]
    fn held_message_becomes_overdue_only_once_the_ledger_has_it() {
        let mut held = Held::new();
        held.take_in(envelope("a"), Some(1));
        assert_eq!(held.overdue_at(Duration::from_secs(5)), None);
        let now = Instant::now();
        let _ack = held.give(now).unwrap();
        assert_eq!(held.overdue_at(Duration::from_secs(5)), Some(now + Duration::from_secs(5)));
    }

    #[test]
    fn held_messages_passed_over_behind_a_waiting_one_keep_their_place() {
        let mut held = Held::new();
        held.take_in(envelope("a"), Some(1));
        held.pass_over(2);
        assert!(held.has_waiting());
        assert_eq!(settle_now(&mut held), None);
        let (_, ack) = held.give(Instant::now()).unwrap();
        assert!(!held.has_waiting());
        ack.fire(Stored::Yes);
        assert_eq!(settle_now(&mut held), Some(Ok(Some(1))));
        assert_eq!(settle_now(&mut held), Some(Ok(Some(2))));
        assert!(!held.has_waiting());
    }
}
