//! The state: how a board is.

use super::{MessageError, VERSION, object};
use crate::json::{Elements, JsonText, Object, Value};
use crate::sink::{Full, QuotedList, Sink};
use crate::{Decimal, QueueId};
use core::fmt::Write;

/// What the broker says for a board that stays connected and is lost (its will).
pub const WILL: &str = r#"{"v":1,"online":false}"#;

/// What a board says of itself, to be written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateReport<'a> {
    /// Whether it is there; only the will says no.
    pub online: bool,
    /// Whether it sleeps between reports, so that silence means nothing before the next.
    pub sleeps: bool,
    /// Seconds until its next report.
    pub next_report_s: u32,
    /// Its queue.
    pub queue: QueueId,
    /// Samples in it.
    pub queued: u32,
    /// Samples lost from it for want of room, since the queue began.
    pub dropped: u64,
    /// How often it has started.
    pub boot: u32,
    /// Why it last started, such as `power-on`.
    pub reset: &'a str,
    /// Where its clock has the time from: `sntp`, `receipt`, `none` or `doubtful`.
    pub clock: &'a str,
    /// Version of its program.
    pub fw: &'a str,
    /// Revision of the settings it follows.
    pub settings: u32,
    /// Voltage of its battery, where it can tell.
    pub battery_v: Option<Decimal>,
    /// Strength of its radio signal in dBW (dBm - 30), where it can tell.
    pub signal_dbw: Option<i32>,
    /// What is wrong, each `what:how`, such as `soil-temperature-2:no-answer`.
    pub faults: &'a [&'a str],
}

impl StateReport<'_> {
    /// Writes the message; figures that are not there are left out.
    ///
    /// # Errors
    /// The buffer is too short; 384 bytes and the texts are enough.
    pub fn write<'b>(&self, buffer: &'b mut [u8]) -> Result<&'b str, Full> {
        use crate::sink::Quoted;
        let mut sink = Sink::new(buffer);
        write!(sink, r#"{{"v":{VERSION},"online":{},"sleeps":{}"#, self.online, self.sleeps)?;
        write!(sink, r#","next_report_s":{},"queue":"{}""#, self.next_report_s, self.queue)?;
        write!(sink, r#","queued":{},"dropped":{},"boot":{}"#, self.queued, self.dropped, self.boot)?;
        write!(sink, r#","reset":{},"clock":{}"#, Quoted(self.reset), Quoted(self.clock))?;
        write!(sink, r#","fw":{},"settings":{}"#, Quoted(self.fw), self.settings)?;
        if let Some(battery_v) = self.battery_v {
            write!(sink, r#","battery_v":{battery_v}"#)?;
        }
        if let Some(signal_dbw) = self.signal_dbw {
            write!(sink, r#","signal_dbw":{signal_dbw}"#)?;
        }
        write!(sink, r#","faults":{}}}"#, QuotedList(self.faults))?;
        Ok(sink.into_str())
    }
}

/// What a board said of itself, as read. A field that is missing, or is not what belongs there, is `None`; the others count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State<'a> {
    /// As in [`StateReport`].
    pub online: Option<bool>,
    /// As in [`StateReport`].
    pub sleeps: Option<bool>,
    /// As in [`StateReport`].
    pub next_report_s: Option<u32>,
    /// As in [`StateReport`].
    pub queue: Option<QueueId>,
    /// As in [`StateReport`].
    pub queued: Option<u32>,
    /// As in [`StateReport`].
    pub dropped: Option<u64>,
    /// As in [`StateReport`].
    pub boot: Option<u32>,
    /// As in [`StateReport`].
    pub reset: Option<JsonText<'a>>,
    /// As in [`StateReport`].
    pub clock: Option<JsonText<'a>>,
    /// As in [`StateReport`].
    pub fw: Option<JsonText<'a>>,
    /// As in [`StateReport`].
    pub settings: Option<u32>,
    /// As in [`StateReport`].
    pub battery_v: Option<f64>,
    /// As in [`StateReport`].
    pub signal_dbw: Option<f64>,
    object: Object<'a>,
}

impl<'a> State<'a> {
    /// Reads the message.
    ///
    /// # Errors
    /// [`MessageError`] where it is no JSON object or its `v` is not 1.
    pub fn parse(text: &'a str) -> Result<State<'a>, MessageError> {
        let object = object(text)?;
        let truth = |name| object.member(name).and_then(|v| v.to_bool());
        let whole = |name| object.member(name).and_then(|v| v.to_u64());
        let small = |name| whole(name).and_then(|n| u32::try_from(n).ok());
        let text = |name| object.member(name).and_then(|v| v.to_text());
        let number = |name| object.member(name).and_then(|v| v.to_f64());
        Ok(State {
            online: truth("online"),
            sleeps: truth("sleeps"),
            next_report_s: small("next_report_s"),
            queue: text("queue").and_then(|queue| queue.as_plain()).and_then(QueueId::parse),
            queued: small("queued"),
            dropped: whole("dropped"),
            boot: small("boot"),
            reset: text("reset"),
            clock: text("clock"),
            fw: text("fw"),
            settings: small("settings"),
            battery_v: number("battery_v"),
            signal_dbw: number("signal_dbw"),
            object,
        })
    }

    /// What is wrong with the board, each `what:how`; what is no text in the list is left out.
    pub fn faults(&self) -> Faults<'a> {
        match self.object.member("faults") {
            Some(Value::Array(array)) => Faults { elements: Some(array.elements()) },
            _ => Faults { elements: None },
        }
    }
}

/// The faults of a [`State`].
#[derive(Clone, Debug)]
pub struct Faults<'a> {
    elements: Option<Elements<'a>>,
}

impl<'a> Iterator for Faults<'a> {
    type Item = JsonText<'a>;

    fn next(&mut self) -> Option<JsonText<'a>> {
        self.elements.as_mut()?.find_map(|value| value.to_text())
    }
}
