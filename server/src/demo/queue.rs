//! A board's numbered queue, and its packs by the contract.

use std::collections::VecDeque;

use propstick_wire::senml::{MAX_PACK_BYTES, Writer};
use propstick_wire::{BoardUrn, Decimal, Millis, QueueId};

use super::boards::{Channel, Kind};

/// A board has at most so many channels.
pub(super) const MOST_CHANNELS: usize = 3;
/// A board's memory holds a day of five-minute samples; beyond it the oldest is lost.
pub(super) const HELD_MOST: usize = 288;

/// One sample: a number for each channel, in hundredths of its unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub(super) at: Millis,
    pub(super) hundredths: [i32; MOST_CHANNELS],
    pub(super) oddity: Oddity,
}

/// What is wrong with a sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Oddity {
    /// Nothing.
    None,
    /// A channel says this, in hundredths, whatever is there.
    Says(Kind, i32),
    /// A channel says `nan`.
    NotANumber(Kind),
    /// A channel is sent in a unit it does not have.
    Unit(Kind, &'static str),
}

/// A pack ready to send.
#[derive(Clone, Debug)]
pub(super) struct Pack {
    pub(super) last: u64,
    pub(super) topic: String,
    pub(super) payload: Vec<u8>,
}

/// Samples that no receipt covers yet, oldest first.
pub(super) struct Queue {
    board: BoardUrn,
    channels: &'static [Channel],
    id: QueueId,
    /// Number of the next sample.
    next: u64,
    held: VecDeque<Sample>,
    dropped: u64,
}

/// A number that no sensor says, and its text: where `nan` belongs, which the writer rightly refuses to write.
const STAND_IN: (Decimal, &str) = (Decimal::new(-987_654_321, 3), "-987654.321");

impl Queue {
    pub(super) fn new(board: BoardUrn, channels: &'static [Channel], id: QueueId) -> Queue {
        Queue { board, channels, id, next: 1, held: VecDeque::new(), dropped: 0 }
    }

    pub(super) fn id(&self) -> QueueId {
        self.id
    }

    /// Number of the sample that comes next.
    pub(super) fn next(&self) -> u64 {
        self.next
    }

    pub(super) fn held(&self) -> usize {
        self.held.len()
    }

    pub(super) fn dropped(&self) -> u64 {
        self.dropped
    }

    /// Whether anything is wrong with what is held.
    pub(super) fn is_odd(&self) -> bool {
        self.held.iter().any(|sample| sample.oddity != Oddity::None)
    }

    /// Puts a sample at the end; the oldest is lost where there is no room.
    pub(super) fn push(&mut self, sample: Sample) {
        self.next += 1;
        self.held.push_back(sample);
        if self.held.len() > HELD_MOST {
            self.held.pop_front();
            self.dropped += 1;
        }
    }

    /// Forgets the samples up to and with `upto`. A number that was never given is no receipt of ours: nothing is forgotten.
    pub(super) fn forget_upto(&mut self, upto: u64) -> bool {
        if upto >= self.next {
            return false;
        }
        let keep = usize::try_from(self.next - 1 - upto).unwrap_or(usize::MAX);
        let forget = self.held.len().saturating_sub(keep);
        self.held.drain(..forget);
        true
    }

    /// The oldest samples, as many as fit into a pack; none where nothing is held.
    pub(super) fn pack(&self) -> Option<Pack> {
        let begin = self.held.front()?.at;
        let mut buffer = [0; MAX_PACK_BYTES];
        let mut writer = Writer::begin_board(&mut buffer, &self.board, Some(begin)).ok()?;
        let mut count = 0;
        let mut has_nan = false;
        for sample in &self.held {
            let before = writer.mark();
            let offset_ms = sample.at.since(begin);
            let written = self.channels.iter().zip(sample.hundredths).all(|(channel, hundredths)| {
                let mut number = Decimal::new(i64::from(hundredths), 2);
                let mut unit = channel.unit;
                match sample.oddity {
                    Oddity::NotANumber(odd) if odd == channel.kind => number = STAND_IN.0,
                    Oddity::Unit(odd, sent) if odd == channel.kind => unit = sent,
                    _ => {}
                }
                has_nan |= number == STAND_IN.0;
                writer.record(channel.name, unit, number, offset_ms).is_ok()
            });
            if !written {
                writer.back_to(before);
                break;
            }
            count += 1;
        }
        let text = writer.finish().ok()?;
        let payload = if has_nan { text.replace(STAND_IN.1, "nan").into_bytes() } else { text.as_bytes().to_vec() };
        let first = self.next - self.held.len() as u64;
        let last = first + count - 1;
        Some(Pack { last, topic: self.board.report_topic(self.id, first, last).to_string(), payload })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::boards::PLANS;
    use propstick_wire::Topic;

    fn queue() -> Queue {
        Queue::new(BoardUrn::parse(PLANS[0].urn).unwrap(), PLANS[0].channels, QueueId(7))
    }

    fn push(queue: &mut Queue, n: i64) {
        let at = Millis(1_772_971_200_000 + 300_000 * n);
        queue.push(Sample { at, hundredths: [612, 9_541, 0], oddity: Oddity::None });
    }

    #[test]
    fn pack_is_the_one_of_the_contract() {
        let mut queue = queue();
        push(&mut queue, 0);
        push(&mut queue, 1);
        let pack = queue.pack().unwrap();
        assert_eq!(pack.topic, "propstick/v1/mac-02005efffe10a2b1/report/00000007/1-2");
        assert_eq!(
            String::from_utf8(pack.payload).unwrap(),
            concat!(
                r#"[{"bn":"urn:dev:mac:02005efffe10a2b1_","bt":1772971200,"n":"air-temperature","u":"Cel","v":6.12},"#,
                r#"{"n":"air-humidity","u":"%RH","v":95.41},{"n":"light","u":"W/m2","v":0},"#,
                r#"{"n":"air-temperature","u":"Cel","v":6.12,"t":300},{"n":"air-humidity","u":"%RH","v":95.41,"t":300},"#,
                r#"{"n":"light","u":"W/m2","v":0,"t":300}]"#
            )
        );
    }

    #[test]
    fn backlog_goes_in_several_packs_without_a_number_missing() {
        let mut queue = queue();
        (0..60).for_each(|n| push(&mut queue, n));
        let mut expected = 1;
        let mut packs = 0;
        while let Some(pack) = queue.pack() {
            let Some(Topic::Report { first, last, .. }) = Topic::parse(&pack.topic) else { panic!("{}", pack.topic) };
            assert_eq!(first, expected);
            expected = last + 1;
            packs += 1;
            assert!(queue.forget_upto(pack.last));
        }
        assert_eq!((expected, queue.held()), (61, 0));
        assert!(packs > 1, "{packs}");
    }

    #[test]
    fn overflow_loses_the_oldest_and_counts_them() {
        let mut queue = queue();
        (0..300).for_each(|n| push(&mut queue, n));
        assert_eq!((queue.held(), queue.dropped()), (HELD_MOST, 12));
        assert!(queue.pack().unwrap().topic.contains("/13-"));
    }

    #[test]
    fn receipt_forgets_what_it_covers_and_one_of_samples_never_sent_forgets_nothing() {
        let mut queue = queue();
        (0..5).for_each(|n| push(&mut queue, n));
        assert!(queue.forget_upto(2));
        assert_eq!(queue.held(), 3);
        assert!(queue.forget_upto(1) && queue.forget_upto(0));
        assert_eq!(queue.held(), 3);
        assert!(!queue.forget_upto(6));
        assert_eq!(queue.held(), 3);
        assert!(queue.forget_upto(5));
        assert_eq!(queue.held(), 0);
    }
}
