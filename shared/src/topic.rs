//! Where messages go: the topics of the MQTT contract.

use crate::urn::{BoardUrn, TopicPart};
use core::fmt;

/// What every topic of the contract begins with.
pub const ROOT: &str = "propstick/v1";

/// Highest number that a sample can have: whole numbers up to here are exact in every JSON reader (RFC 8259, section 6), and none a board
/// that takes a sample a millisecond comes near.
pub const MAX_SAMPLE: u64 = (1 << 53) - 1;

/// Subscription to the reports of all boards.
pub const ALL_REPORTS: &str = "propstick/v1/+/report/+/+";

/// Subscription to the states of all boards.
pub const ALL_STATES: &str = "propstick/v1/+/state";

/// Subscription to everything under the contract.
pub const EVERYTHING: &str = "propstick/v1/#";

/// The random number of a board's queue, drawn when the queue begins anew; written as eight lower-case hexadecimal digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct QueueId(pub u32);

impl QueueId {
    /// Reads the eight digits back.
    pub fn parse(text: &str) -> Option<QueueId> {
        let is_hex = text.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f'));
        if text.len() == 8 && is_hex { u32::from_str_radix(text, 16).ok().map(QueueId) } else { None }
    }
}

impl fmt::Display for QueueId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:08x}", self.0)
    }
}

/// A topic of the contract. `board` is the board's [`BoardUrn::topic_part`]; what [`Topic::parse`] gives is one, and a topic is written with one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Topic<'a> {
    /// Samples `first` to `last` of a queue, from the board. Samples are numbered from 1, so that a receipt can say 0 for none, to
    /// [`MAX_SAMPLE`].
    Report {
        /// The board.
        board: &'a str,
        /// Its queue.
        queue: QueueId,
        /// The first sample.
        first: u64,
        /// The last sample, not before the first.
        last: u64,
    },
    /// What the server has of a board's queue, to the board.
    Receipt {
        /// The board.
        board: &'a str,
    },
    /// How a board is, from the board.
    State {
        /// The board.
        board: &'a str,
    },
    /// What a board is to do, to the board.
    Settings {
        /// The board.
        board: &'a str,
    },
}

impl<'a> Topic<'a> {
    /// Reads a topic; `None` where it is none of the contract. There is one spelling: numbers without leading zeros or sign, the queue with eight
    /// lower-case digits, a board that [`BoardUrn::from_topic_part`] takes.
    pub fn parse(topic: &'a str) -> Option<Topic<'a>> {
        let mut levels = topic.strip_prefix(ROOT)?.strip_prefix('/')?.split('/');
        let board = levels.next().filter(|part| BoardUrn::from_topic_part(part).is_ok())?;
        let read = match levels.next()? {
            "report" => {
                let queue = QueueId::parse(levels.next()?)?;
                let (first, last) = levels.next()?.split_once('-')?;
                let (first, last) = (sample(first)?, sample(last)?);
                if first > last {
                    return None;
                }
                Topic::Report { board, queue, first, last }
            }
            "receipt" => Topic::Receipt { board },
            "state" => Topic::State { board },
            "settings" => Topic::Settings { board },
            _ => return None,
        };
        if levels.next().is_some() { None } else { Some(read) }
    }

    /// The board's level.
    pub fn board(&self) -> &'a str {
        match self {
            Topic::Report { board, .. }
            | Topic::Receipt { board }
            | Topic::State { board }
            | Topic::Settings { board } => board,
        }
    }
}

impl fmt::Display for Topic<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Topic::Report { board, queue, first, last } => write!(f, "{ROOT}/{board}/report/{queue}/{first}-{last}"),
            Topic::Receipt { board } => write!(f, "{ROOT}/{board}/receipt"),
            Topic::State { board } => write!(f, "{ROOT}/{board}/state"),
            Topic::Settings { board } => write!(f, "{ROOT}/{board}/settings"),
        }
    }
}

/// Topics and subscriptions of one board, for which its level need not be written out first; each is written through `Display`.
impl BoardUrn {
    /// Topic of the samples `first` to `last` of `queue`.
    pub fn report_topic(&self, queue: QueueId, first: u64, last: u64) -> impl fmt::Display + '_ {
        Of { part: self.topic_part(), tail: Tail::Report(queue, first, last) }
    }

    /// Topic of the receipt.
    pub fn receipt_topic(&self) -> impl fmt::Display + '_ {
        Of { part: self.topic_part(), tail: Tail::Plain("receipt") }
    }

    /// Topic of the state.
    pub fn state_topic(&self) -> impl fmt::Display + '_ {
        Of { part: self.topic_part(), tail: Tail::Plain("state") }
    }

    /// Topic of the settings.
    pub fn settings_topic(&self) -> impl fmt::Display + '_ {
        Of { part: self.topic_part(), tail: Tail::Plain("settings") }
    }
}

struct Of<'a> {
    part: TopicPart<'a>,
    tail: Tail,
}

enum Tail {
    Plain(&'static str),
    Report(QueueId, u64, u64),
}

impl fmt::Display for Of<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.tail {
            Tail::Plain(word) => write!(f, "{ROOT}/{}/{word}", self.part),
            Tail::Report(queue, first, last) => write!(f, "{ROOT}/{}/report/{queue}/{first}-{last}", self.part),
        }
    }
}

/// The number of a sample: digits, the first of them not 0.
fn sample(text: &str) -> Option<u64> {
    let digits = !text.starts_with('0') && text.bytes().all(|digit| digit.is_ascii_digit());
    if digits { text.parse().ok().filter(|n| *n <= MAX_SAMPLE) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::format;
    use std::string::{String, ToString};

    const BOARD: &str = "mac-02005efffe10a2b3";

    #[test]
    fn parse_topics_of_the_contract() {
        let report = "propstick/v1/mac-02005efffe10a2b3/report/3f9c21a7/1050-1051";
        assert_eq!(
            Topic::parse(report),
            Some(Topic::Report { board: BOARD, queue: QueueId(0x3f9c_21a7), first: 1050, last: 1051 })
        );
        assert_eq!(Topic::parse("propstick/v1/mac-02005efffe10a2b3/receipt"), Some(Topic::Receipt { board: BOARD }));
        assert_eq!(Topic::parse("propstick/v1/mac-02005efffe10a2b3/state"), Some(Topic::State { board: BOARD }));
        assert_eq!(Topic::parse("propstick/v1/mac-02005efffe10a2b3/settings"), Some(Topic::Settings { board: BOARD }));
    }

    #[test]
    fn board_topics_are_those_that_parse() {
        let board = BoardUrn::parse("urn:dev:mac:02005efffe10a2b3").unwrap();
        let queue = QueueId(0x0000_00a7);
        let report = board.report_topic(queue, 1, MAX_SAMPLE).to_string();
        assert_eq!(report, "propstick/v1/mac-02005efffe10a2b3/report/000000a7/1-9007199254740991");
        assert_eq!(Topic::parse(&report), Some(Topic::Report { board: BOARD, queue, first: 1, last: MAX_SAMPLE }));
        for (topic, read) in [
            (board.receipt_topic().to_string(), Topic::Receipt { board: BOARD }),
            (board.state_topic().to_string(), Topic::State { board: BOARD }),
            (board.settings_topic().to_string(), Topic::Settings { board: BOARD }),
        ] {
            assert_eq!(Topic::parse(&topic), Some(read));
            assert_eq!(read.to_string(), topic);
            assert_eq!(read.board(), BOARD);
        }
    }

    #[test]
    fn parse_other_topics_is_none() {
        for tail in [
            "",
            "/",
            "/state",
            "state",
            "//state",
            "/mac-02005efffe10a2b3",
            "/mac-02005efffe10a2b3/",
            "/mac-02005efffe10a2b3/state/",
            "/mac-02005efffe10a2b3/States",
            "/mac-02005EFFFE10A2B3/state",
            "/nobody/state",
            "/+/state",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1050",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1051-1050",
            "/mac-02005efffe10a2b3/report/3f9c21a7/0-1",
            "/mac-02005efffe10a2b3/report/3f9c21a7/01-2",
            "/mac-02005efffe10a2b3/report/3f9c21a7/+1-2",
            "/mac-02005efffe10a2b3/report/3f9c21a7/-1-2",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-2-3",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-9007199254740992",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-18446744073709551615",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-18446744073709551616",
            "/mac-02005efffe10a2b3/report/3f9c21a7/1-2/3",
            "/mac-02005efffe10a2b3/report/3F9C21A7/1-2",
            "/mac-02005efffe10a2b3/report/3f9c21a/1-2",
            "/mac-02005efffe10a2b3/report/+f9c21a7/1-2",
            "/mac-02005efffe10a2b3/report/3f9c21a77/1-2",
        ] {
            let topic = format!("{ROOT}{tail}");
            assert_eq!(Topic::parse(&topic), None, "{topic}");
        }
        assert_eq!(Topic::parse("site/3/air"), None);
        assert_eq!(Topic::parse(""), None);
    }

    proptest! {
        #[test]
        fn prop_report_reads_back(queue in any::<u32>(), first in 1_u64..=MAX_SAMPLE, more in 0_u64..100) {
            let last = (first + more).min(MAX_SAMPLE);
            let topic = Topic::Report { board: BOARD, queue: QueueId(queue), first, last };
            let text = topic.to_string();
            prop_assert_eq!(Topic::parse(&text), Some(topic));
        }

        #[test]
        fn prop_any_text_never_panics_and_what_parses_is_spelt_the_one_way(
            text in prop_oneof![any::<String>(), "propstick/v1/(mac-02005efffe10a2b3|ow-1)/(report|state)(/[0-9a-f]{7,9}/[0-9+-]{1,6})?"],
        ) {
            if let Some(topic) = Topic::parse(&text) {
                prop_assert_eq!(topic.to_string(), text);
            }
        }
    }
}
