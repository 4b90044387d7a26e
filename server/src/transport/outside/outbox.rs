//! What this program has to say to an outside broker, kept until the broker has acknowledged it.

use std::collections::VecDeque;

use propstick_garden::took::Publish;

/// Messages sent and not acknowledged, at most.
const WINDOW: usize = 16;
/// Messages that wait, at most; retained ones of one topic count once. Beyond it the oldest is dropped.
const WAITING_MOST: usize = 10_000;

/// Sends in order, `WINDOW` at a time, and again after a lost connection.
#[derive(Debug)]
pub(super) struct OwnOutbox {
    waiting: VecDeque<Publish>,
    /// Handed to the client in this order; the number is known once it has been sent.
    sent: VecDeque<(Option<u16>, Publish)>,
    max_packet: usize,
}

impl OwnOutbox {
    pub fn new(max_packet: u32) -> OwnOutbox {
        OwnOutbox { waiting: VecDeque::new(), sent: VecDeque::new(), max_packet: max_packet as usize }
    }

    /// Adds a message. A retained one replaces an older one of its topic that waits: only the newest is kept by the broker anyway.
    pub fn push(&mut self, publish: Publish) {
        let topic = &publish.topic;
        if topic.is_empty() || topic.contains(['+', '#', '\0']) || publish.payload.len() + topic.len() > self.max_packet
        {
            tracing::error!(topic, bytes = publish.payload.len(), "not sent: no broker would take it");
            return;
        }
        if publish.retain {
            self.waiting.retain(|other| !(other.retain && other.topic == publish.topic));
        }
        if self.waiting.len() == WAITING_MOST {
            let dropped = self.waiting.pop_front();
            tracing::warn!(
                topic = dropped.map(|publish| publish.topic),
                "dropped: too much waits for the outside broker"
            );
        }
        self.waiting.push_back(publish);
    }

    /// Hands to `send` what may go now, until it takes no more (`false`).
    pub fn send_with(&mut self, mut send: impl FnMut(&Publish) -> bool) {
        while self.sent.len() < WINDOW {
            match self.waiting.pop_front() {
                Some(publish) if send(&publish) => self.sent.push_back((None, publish)),
                Some(publish) => return self.waiting.push_front(publish),
                None => return,
            }
        }
    }

    /// The oldest message without a number left under this one.
    pub fn left_as(&mut self, number: u16) {
        if let Some(first) = self.sent.iter_mut().find(|(known, _)| known.is_none()) {
            first.0 = Some(number);
        }
    }

    /// The broker answered for this number: it is not sent again, whatever the answer.
    pub fn answered(&mut self, number: u16) -> Option<Publish> {
        let at = self.sent.iter().position(|(known, _)| *known == Some(number))?;
        self.sent.remove(at).map(|(_, publish)| publish)
    }

    /// The connection is gone: what was sent and not answered goes first next time, unless something newer replaces it.
    pub fn send_again(&mut self) {
        while let Some((_, publish)) = self.sent.pop_back() {
            let replaced =
                publish.retain && self.waiting.iter().any(|newer| newer.retain && newer.topic == publish.topic);
            if !replaced {
                self.waiting.push_front(publish);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn publish(topic: &str, payload: &str, retain: bool) -> Publish {
        Publish { topic: topic.into(), payload: payload.into(), retain }
    }

    fn payloads(own: &mut OwnOutbox) -> Vec<String> {
        let mut seen = Vec::new();
        own.send_with(|publish| {
            seen.push(String::from_utf8(publish.payload.clone()).unwrap());
            true
        });
        seen
    }

    #[test]
    fn outbox_sends_a_window_and_goes_on_with_each_answer() {
        let mut own = OwnOutbox::new(1_000);
        for n in 0..=WINDOW {
            own.push(publish("t", &n.to_string(), false));
        }
        assert_eq!(payloads(&mut own).len(), WINDOW);
        assert!(payloads(&mut own).is_empty());
        own.left_as(7);
        assert_eq!(own.answered(7).unwrap().payload, b"0");
        assert_eq!(own.answered(7), None);
        assert_eq!(payloads(&mut own), [WINDOW.to_string()]);
    }

    #[test]
    fn outbox_after_a_lost_connection_sends_unanswered_messages_again_in_order() {
        let mut own = OwnOutbox::new(1_000);
        for n in 0..3 {
            own.push(publish(&format!("t/{n}"), &n.to_string(), true));
        }
        assert_eq!(payloads(&mut own), ["0", "1", "2"]);
        own.left_as(1);
        own.left_as(2);
        own.answered(1);
        own.push(publish("t/9", "9", true));
        own.send_again();
        assert_eq!(payloads(&mut own), ["1", "2", "9"]);
    }

    #[test]
    fn outbox_with_a_newer_retained_message_does_not_bring_back_the_older() {
        let mut own = OwnOutbox::new(1_000);
        own.push(publish("t", "old", true));
        assert_eq!(payloads(&mut own), ["old"]);
        own.push(publish("t", "newer", true));
        own.push(publish("t", "newest", true));
        own.send_again();
        assert_eq!(payloads(&mut own), ["newest"]);
    }

    #[test]
    fn outbox_whose_client_takes_no_more_keeps_the_message() {
        let mut own = OwnOutbox::new(1_000);
        own.push(publish("t", "a", false));
        own.send_with(|_| false);
        assert_eq!(payloads(&mut own), ["a"]);
    }

    #[test]
    fn outbox_refuses_what_no_broker_would_take() {
        let mut own = OwnOutbox::new(10);
        own.push(publish("a/+", "x", false));
        own.push(publish("", "x", false));
        own.push(publish("t", "0123456789", false));
        assert!(payloads(&mut own).is_empty());
    }

    #[test]
    fn outbox_while_the_broker_is_away_stays_bounded() {
        let mut own = OwnOutbox::new(1_000);
        for n in 0..WAITING_MOST + 5 {
            own.push(publish("t", &n.to_string(), false));
        }
        assert_eq!(own.waiting.len(), WAITING_MOST);
        assert_eq!(payloads(&mut own)[0], "5");
    }
}
