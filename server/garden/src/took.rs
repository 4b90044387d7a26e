//! What comes in, and what a message turns into: the values between the roads and the ledger.

use propstick_wire::Millis;

/// One message as it arrived, whatever road it took.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Envelope {
    /// When the program received it.
    pub arrived: Millis,
    /// The road it took.
    pub via: Via,
    /// Its MQTT topic.
    pub topic: String,
    /// Its payload, untouched.
    pub payload: Vec<u8>,
    /// Quality of service, 0 to 2.
    pub qos: u8,
    /// Whether it was delivered as a retained message.
    pub retain: bool,
    /// Whether the sender marked it as sent before.
    pub dup: bool,
}

/// The road a message took.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Via {
    /// The broker in this program.
    Broker,
    /// A broker outside.
    Outside,
    /// A recording.
    Replay,
    /// The invented history of the demo.
    Demo,
}

/// A message to be sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Publish {
    /// Its MQTT topic.
    pub topic: String,
    /// Its payload.
    pub payload: Vec<u8>,
    /// Whether the broker keeps it for later subscribers.
    pub retain: bool,
}

/// What a message turned into. Readings of a pack stand before the `Settled` that closes it.
#[derive(Clone, Debug, PartialEq)]
pub enum Took {
    /// A reading to be kept.
    Reading(RawReading),
    /// A numbered pack has been dealt with, stored or refused: the receipt may say so.
    Settled(Settled),
    /// A board told its state.
    Board(BoardState),
    /// Something refused, with the reason.
    Reject(Reject),
}

/// What kind of source a device is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DeviceKind {
    /// A board of ours, by the contract.
    Board,
    /// Another maker's device, by a mapping.
    Foreign,
    /// An imported file.
    File,
}

impl DeviceKind {
    /// The word kept in the store.
    pub const fn word(self) -> &'static str {
        match self {
            DeviceKind::Board => "board",
            DeviceKind::Foreign => "foreign",
            DeviceKind::File => "file",
        }
    }
}

/// What a number of a series means in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SeriesKind {
    /// The value at an instant.
    Instant,
    /// A sum over an interval.
    Sum,
    /// A mean over an interval.
    Mean,
    /// The lowest value of an interval.
    Min,
    /// The highest value of an interval.
    Max,
}

impl SeriesKind {
    /// All kinds.
    pub const ALL: [SeriesKind; 5] =
        [SeriesKind::Instant, SeriesKind::Sum, SeriesKind::Mean, SeriesKind::Min, SeriesKind::Max];

    /// The word kept in the store.
    pub const fn word(self) -> &'static str {
        match self {
            SeriesKind::Instant => "instant",
            SeriesKind::Sum => "sum",
            SeriesKind::Mean => "mean",
            SeriesKind::Min => "min",
            SeriesKind::Max => "max",
        }
    }

    /// The kind of that word.
    pub fn from_word(word: &str) -> Option<SeriesKind> {
        SeriesKind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// The identity of a series: what changes any of it starts a new series.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SeriesKey {
    /// URN of the device.
    pub device: String,
    /// What kind of source the device is.
    pub device_kind: DeviceKind,
    /// Name of the mapping that read it, for foreign devices and files.
    pub mapping: Option<String>,
    /// Channel, such as `soil-temperature-2`.
    pub channel: String,
    /// Unit as sent.
    pub unit_sent: String,
    /// What a number means in time.
    pub kind: SeriesKind,
    /// Length of the interval in seconds; 0 for an instant.
    pub span_s: i64,
    /// Whether what belongs to an interval is stamped at its end.
    pub stamp_end: bool,
}

/// One number as it was sent.
#[derive(Clone, Debug, PartialEq)]
pub struct RawReading {
    /// The series it belongs to.
    pub series: SeriesKey,
    /// Its instant.
    pub t: Millis,
    /// The value as sent, in the unit sent.
    pub v: f64,
    /// When its message arrived.
    pub arrived: Millis,
    /// How its instant was found, and what else is to be known of its message.
    pub facts: Facts,
    /// Its place in the board's numbered queue.
    pub sample: Option<Sample>,
}

/// A place in a board's numbered queue.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sample {
    /// The queue's random id.
    pub queue: u32,
    /// The number in it.
    pub n: u64,
}

/// What is known of a reading's message, as bits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Facts(pub u8);

impl Facts {
    /// The message named the instant itself.
    pub const TIME_OWN: Facts = Facts(0);
    /// The message counted back from sending; the arrival stands for the sending.
    pub const TIME_RELATIVE: Facts = Facts(1);
    /// The message named no instant; the arrival stands for it.
    pub const TIME_RECEIPT: Facts = Facts(2);
    /// The message named an instant that cannot be; the arrival replaces it.
    pub const TIME_REPLACED: Facts = Facts(3);
    /// Delivered as a retained message.
    pub const RETAINED: Facts = Facts(4);
    /// The sender said that its clock is doubtful.
    pub const DOUBTFUL_CLOCK: Facts = Facts(8);

    /// These facts and those.
    #[must_use]
    pub const fn and(self, other: Facts) -> Facts {
        Facts(self.0 | other.0)
    }

    /// Whether the instant is not the sender's own.
    pub const fn time_kind(self) -> Facts {
        Facts(self.0 & 3)
    }

    /// Whether all of `other`'s bits are set.
    pub const fn has(self, other: Facts) -> bool {
        self.0 & other.0 == other.0
    }
}

/// Samples `first..=last` of a queue have been dealt with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settled {
    /// URN of the board.
    pub device: String,
    /// Its queue.
    pub queue: u32,
    /// First sample.
    pub first: u64,
    /// Last sample.
    pub last: u64,
    /// When the pack arrived.
    pub arrived: Millis,
}

/// What a board said of itself: the message is kept as sent, the parts that are used stand beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardState {
    /// URN of the board.
    pub device: String,
    /// When it arrived.
    pub arrived: Millis,
    /// Delivered as a retained message: old news of unknown age.
    pub retained: bool,
    /// The message as sent (JSON).
    pub payload: String,
}

/// Something refused.
#[derive(Clone, Debug, PartialEq)]
pub struct Reject {
    /// When it arrived.
    pub at: Millis,
    /// URN of the device, where known.
    pub device: Option<String>,
    /// Topic of the message.
    pub topic: String,
    /// Why, as a word.
    pub reason: Reason,
    /// What, value, allowed and where, in plain words.
    pub detail: String,
    /// The message.
    pub payload: Vec<u8>,
    /// Queue, first and last of the numbered samples that it is about; what is settled already is not counted again.
    pub pack: Option<(u32, u64, u64)>,
}

/// Why something was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// Not to be read at all.
    Malformed,
    /// Longer than allowed.
    Oversized,
    /// A value that is no number (`nan`, `inf`, text where a number belongs).
    NotANumber,
    /// A quantity this program does not know.
    UnknownQuantity,
    /// A unit that is not of the channel's quantity.
    WrongUnit,
    /// Outside the range that can be meant.
    OutOfRange,
    /// The board in the topic is not the board in the message.
    WrongBoard,
    /// The number of samples is not what the topic says.
    WrongCount,
    /// No time of its own and delivered as retained: of unknown age.
    NoTime,
    /// A topic that no contract and no mapping knows.
    UnknownTopic,
}

impl Reason {
    /// The word kept in the store and shown.
    pub const fn word(self) -> &'static str {
        match self {
            Reason::Malformed => "malformed",
            Reason::Oversized => "oversized",
            Reason::NotANumber => "not-a-number",
            Reason::UnknownQuantity => "unknown-quantity",
            Reason::WrongUnit => "wrong-unit",
            Reason::OutOfRange => "out-of-range",
            Reason::WrongBoard => "wrong-board",
            Reason::WrongCount => "wrong-count",
            Reason::NoTime => "no-time",
            Reason::UnknownTopic => "unknown-topic",
        }
    }
}
