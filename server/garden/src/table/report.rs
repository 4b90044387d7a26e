//! What was found in a file: counts by kind, never a list that grows with the file.

use propstick_wire::Millis;
use serde::{Serialize, Serializer};

use crate::instant::to_rfc3339;
use crate::took::SeriesKind;

/// At most so many entries stand in each list of a report; one more says how many others there were.
pub const MAX_ENTRIES: usize = 64;

/// What was found in a file.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Report {
    /// Lines in all, with title lines and header.
    pub lines: u64,
    /// Lines behind the header: `rows_read` and those that are set aside as a whole.
    pub rows: u64,
    /// Rows with a time that counts, whatever became of their cells.
    pub rows_read: u64,
    /// Numbers read.
    pub readings: u64,
    /// Cells without a value: empty, or a word that the mapping names as missing.
    pub no_value: u64,
    /// What was set aside, by reason and column.
    pub aside: Vec<Aside>,
    /// The first instant in time of all readings.
    #[serde(serialize_with = "instant_or_none")]
    pub first: Option<Millis>,
    /// The last instant in time of all readings.
    #[serde(serialize_with = "instant_or_none")]
    pub last: Option<Millis>,
    /// Its series.
    pub series: Vec<SeriesReport>,
    /// What became of the clock changes within its time.
    pub clock: Vec<ClockNote>,
    /// What a person should look at.
    pub cautions: Vec<Caution>,
    /// The first rows as they were understood.
    pub sample: Vec<SampleRow>,
}

/// One kind of thing that was set aside.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Aside {
    /// Why.
    pub why: AsideWhy,
    /// The column it is about; empty where it is the row.
    pub what: String,
    /// How often.
    pub times: u64,
    /// The first line with it.
    pub first_line: u64,
    /// What stood there.
    pub example: String,
}

/// Why a cell or a row was set aside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AsideWhy {
    /// A row with nothing but separators and white space.
    Blank,
    /// A cell that is not there, since the row ends before it.
    Short,
    /// A row with more cells than the header, or with more bytes than any row has.
    Long,
    /// A row without a time that can be read.
    NoTime,
    /// A row whose day and month cannot be told apart by its step, where they change places within the file.
    NoOrder,
    /// A row without the name of its device, where rows tell it.
    NoDevice,
    /// A cell that is no number.
    NotANumber,
    /// A cell outside what can be meant.
    OutOfRange,
    /// A row in the hour that the clock leaves out in spring.
    SkippedHour,
    /// A row later than now.
    Future,
    /// A row with a quote that does not close.
    Unbalanced,
    /// All that had no room in the list.
    Others,
}

impl AsideWhy {
    /// The word in a report.
    pub const fn word(self) -> &'static str {
        match self {
            AsideWhy::Blank => "blank",
            AsideWhy::Short => "short",
            AsideWhy::Long => "long",
            AsideWhy::NoTime => "no-time",
            AsideWhy::NoOrder => "no-order",
            AsideWhy::NoDevice => "no-device",
            AsideWhy::NotANumber => "not-a-number",
            AsideWhy::OutOfRange => "out-of-range",
            AsideWhy::SkippedHour => "skipped-hour",
            AsideWhy::Future => "future",
            AsideWhy::Unbalanced => "unbalanced",
            AsideWhy::Others => "others",
        }
    }

    /// Whether it sets aside a whole row, not a cell.
    pub const fn is_of_row(self) -> bool {
        !matches!(self, AsideWhy::Short | AsideWhy::NotANumber | AsideWhy::OutOfRange)
    }
}

/// One series of a file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeriesReport {
    /// URN of its device.
    pub device: String,
    /// Its channel.
    pub channel: String,
    /// The unit it is written in.
    pub unit: String,
    /// What a number says of its interval.
    #[serde(serialize_with = "kind_word")]
    pub kind: SeriesKind,
    /// Readings.
    pub n: u64,
    /// The first in time.
    #[serde(serialize_with = "instant_or_none")]
    pub first: Option<Millis>,
    /// The last in time.
    #[serde(serialize_with = "instant_or_none")]
    pub last: Option<Millis>,
    /// Its median step in seconds.
    pub cadence_s: Option<i64>,
    /// Steps of more than 2.5 cadences.
    pub gaps: u64,
    /// The longest of them.
    #[serde(serialize_with = "span_or_none")]
    pub longest_gap: Option<(Millis, Millis)>,
    /// The lowest number, in its unit.
    pub min: f64,
    /// The highest.
    pub max: f64,
}

/// What became of a clock change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ClockNote {
    /// The instant of the change by the zone's rules.
    #[serde(serialize_with = "instant")]
    pub at: Millis,
    /// What was seen and done.
    pub what: String,
}

/// Something that a person should look at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// What, in a sentence.
    pub says: String,
    /// How often.
    pub times: u64,
    /// The first line with it.
    pub first_line: u64,
}

/// A row as it was understood.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SampleRow {
    /// Its line.
    pub line: u64,
    /// Its instant.
    #[serde(serialize_with = "instant")]
    pub at: Millis,
    /// Channel, number and unit of each reading.
    pub values: Vec<(String, f64, String)>,
}

fn instant<S: Serializer>(at: &Millis, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&to_rfc3339(*at))
}

fn instant_or_none<S: Serializer>(at: &Option<Millis>, to: S) -> Result<S::Ok, S::Error> {
    at.map(to_rfc3339).serialize(to)
}

fn span_or_none<S: Serializer>(span: &Option<(Millis, Millis)>, to: S) -> Result<S::Ok, S::Error> {
    span.map(|(from, until)| [to_rfc3339(from), to_rfc3339(until)]).serialize(to)
}

fn kind_word<S: Serializer>(kind: &SeriesKind, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(kind.word())
}
