//! The settings: what a board is to do.

use super::{MessageError, VERSION, object};
use crate::json::{JsonText, Value};
use crate::quantity::Quantity;
use crate::sink::{Full, Quoted, QuotedList, Sink};
use core::fmt::{self, Write};
use core::ops::RangeInclusive;

/// Seconds between samples, and between reports, that a board accepts.
pub const SECONDS_ALLOWED: RangeInclusive<u32> = 10..=86_400;

/// Whether a board may heat its humidity sensor dry.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Heater {
    /// When it thinks right.
    #[default]
    Auto,
    /// Never.
    Off,
}

impl Heater {
    /// The word in the message.
    pub const fn word(self) -> &'static str {
        match self {
            Heater::Auto => "auto",
            Heater::Off => "off",
        }
    }
}

/// The settings of a board, to be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings<'a> {
    /// Counts up with each change; the board echoes it.
    pub revision: u32,
    /// Seconds between samples.
    pub sample_s: u32,
    /// Seconds between reports.
    pub report_s: u32,
    /// The heater.
    pub heater: Heater,
    /// Channels, or quantities and so all their channels, that the board leaves out.
    pub off: &'a [&'a str],
}

impl Settings<'_> {
    /// Writes the message.
    ///
    /// # Errors
    /// The buffer is too short; 128 bytes and the texts are enough.
    pub fn write<'b>(&self, buffer: &'b mut [u8]) -> Result<&'b str, Full> {
        let mut sink = Sink::new(buffer);
        let Settings { revision, sample_s, report_s, heater, off } = self;
        write!(sink, r#"{{"v":{VERSION},"revision":{revision},"sample_s":{sample_s},"report_s":{report_s}"#)?;
        write!(sink, r#","heater":{},"off":{}}}"#, Quoted(heater.word()), QuotedList(off))?;
        Ok(sink.into_str())
    }
}

/// The settings in force on a board: of fixed size, and changed by messages only within what is allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardSettings {
    /// Revision of the last message applied; 0 where there was none.
    pub revision: u32,
    /// Seconds between samples.
    pub sample_s: u32,
    /// Seconds between reports; fewer than `sample_s` means a report for each sample.
    pub report_s: u32,
    /// The heater.
    pub heater: Heater,
    /// What is left out.
    pub off: OffChannels,
}

impl Default for BoardSettings {
    /// A sample every five minutes, a report every fifteen, the heater as the board thinks, nothing left out.
    fn default() -> BoardSettings {
        BoardSettings { revision: 0, sample_s: 300, report_s: 900, heater: Heater::Auto, off: OffChannels::default() }
    }
}

impl BoardSettings {
    /// Applies a message and says which of its keys were refused: those keep their old value. A key that is not in the message keeps it too, unknown
    /// keys are ignored.
    ///
    /// # Errors
    /// [`MessageError`] where it is no JSON object, its `v` is not 1 or it has no revision; then nothing changes.
    pub fn apply(&mut self, text: &str) -> Result<RefusedKeys, MessageError> {
        let object = object(text)?;
        let revision = object.member("revision").and_then(|v| v.to_u64()).and_then(|n| u32::try_from(n).ok());
        self.revision = revision.ok_or(MessageError::Field("revision"))?;
        let mut refused = RefusedKeys::default();
        for key in SettingsKey::ALL {
            if let Some(given) = object.member(key.name())
                && !self.set(key, given)
            {
                refused.bits |= key.bit();
            }
        }
        Ok(refused)
    }

    fn set(&mut self, key: SettingsKey, given: Value<'_>) -> bool {
        match key {
            SettingsKey::SampleS => seconds(given).map(|s| self.sample_s = s).is_some(),
            SettingsKey::ReportS => seconds(given).map(|s| self.report_s = s).is_some(),
            SettingsKey::Heater => {
                let word = given.to_text();
                let heater = [Heater::Auto, Heater::Off].into_iter().find(|h| word.is_some_and(|w| w == h.word()));
                heater.map(|heater| self.heater = heater).is_some()
            }
            SettingsKey::Off => OffChannels::read(given).map(|off| self.off = off).is_some(),
        }
    }
}

fn seconds(given: Value<'_>) -> Option<u32> {
    given.to_u64().and_then(|s| u32::try_from(s).ok()).filter(|s| SECONDS_ALLOWED.contains(s))
}

/// A key of the settings that can be refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SettingsKey {
    /// `sample_s`
    SampleS,
    /// `report_s`
    ReportS,
    /// `heater`
    Heater,
    /// `off`
    Off,
}

impl SettingsKey {
    const ALL: [SettingsKey; 4] = [SettingsKey::SampleS, SettingsKey::ReportS, SettingsKey::Heater, SettingsKey::Off];

    /// The key in the message.
    pub const fn name(self) -> &'static str {
        match self {
            SettingsKey::SampleS => "sample_s",
            SettingsKey::ReportS => "report_s",
            SettingsKey::Heater => "heater",
            SettingsKey::Off => "off",
        }
    }

    /// How a refused key shows among the board's faults.
    pub const fn fault(self) -> &'static str {
        match self {
            SettingsKey::SampleS => "settings-sample_s:refused",
            SettingsKey::ReportS => "settings-report_s:refused",
            SettingsKey::Heater => "settings-heater:refused",
            SettingsKey::Off => "settings-off:refused",
        }
    }

    const fn bit(self) -> u8 {
        1 << self as u8
    }
}

/// The keys of a message that were refused.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RefusedKeys {
    bits: u8,
}

impl RefusedKeys {
    /// Each of them.
    pub fn iter(self) -> impl Iterator<Item = SettingsKey> {
        SettingsKey::ALL.into_iter().filter(move |key| self.bits & key.bit() != 0)
    }

    /// Whether all were accepted.
    pub fn is_empty(self) -> bool {
        self.bits == 0
    }
}

/// The channels that a board leaves out: at most [`OffChannels::CAPACITY`].
#[derive(Clone, Copy, Default, PartialEq, Eq)]
pub struct OffChannels {
    // Each is a quantity and the number of its channel; 0 stands for all of the quantity.
    channels: [Option<(Quantity, u8)>; OffChannels::CAPACITY],
}

impl OffChannels {
    /// So many channels can be left out.
    pub const CAPACITY: usize = 16;

    /// Whether the channel is left out, by its own name or with all of its quantity.
    pub fn has(&self, channel: &str) -> bool {
        Quantity::from_channel(channel).is_some_and(|(quantity, number)| {
            self.channels.iter().flatten().any(|&(off, n)| off == quantity && (n == 0 || n == number))
        })
    }

    /// Whether nothing is left out.
    pub fn is_empty(&self) -> bool {
        self.channels[0].is_none()
    }

    /// The list in a message; `None` where it is none, too long, or names what is no channel.
    fn read(given: Value<'_>) -> Option<OffChannels> {
        let Value::Array(array) = given else { return None };
        let mut off = OffChannels::default();
        for (place, element) in array.elements().enumerate() {
            let channel = element.to_text().and_then(|text: JsonText<'_>| text.as_plain())?;
            *off.channels.get_mut(place)? = Some(Quantity::from_channel(channel)?);
        }
        Some(off)
    }
}

impl fmt::Debug for OffChannels {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.channels.iter().flatten()).finish()
    }
}
