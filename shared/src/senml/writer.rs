//! The writer.

use super::{ABSOLUTE_FROM_S, MAX_PACK_BYTES, MAX_RECORDS, is_name_char};
use crate::sink::{Full, Sink};
use crate::urn::CHANNEL_SEPARATOR;
use crate::{BoardUrn, Decimal, Millis};
use core::fmt::{self, Write};

/// Writes one pack into a buffer. A record that is refused leaves the pack as it was, so a board fills a pack until it hears
/// [`WriteError::Full`] and finishes it.
pub struct Writer<'b, 'n> {
    sink: Sink<'b>,
    base_name: &'n str,
    separator: &'static str,
    base_time: Option<Millis>,
    last_offset_ms: i64,
    records: usize,
}

/// A state of a pack to go back to.
#[derive(Clone, Copy, Debug)]
pub struct Mark {
    len: usize,
    records: usize,
    last_offset_ms: i64,
}

/// A number to write.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// Exact.
    Decimal(Decimal),
    /// As the shortest text that reads back as the same double.
    Float(f64),
}

impl From<Decimal> for Figure {
    fn from(decimal: Decimal) -> Figure {
        Figure::Decimal(decimal)
    }
}

impl From<f64> for Figure {
    fn from(float: f64) -> Figure {
        Figure::Float(float)
    }
}

impl<'b, 'n> Writer<'b, 'n> {
    /// Begins a pack. `base_name` goes in front of all names; `base_time` is the instant that offsets count from, `None` where the board has no
    /// clock. Of a buffer longer than [`MAX_PACK_BYTES`] only so much is used.
    ///
    /// # Errors
    /// [`WriteError::BadName`] for a base name against the rules; [`WriteError::BadTime`] for a base time that would read as relative.
    pub fn begin(
        buffer: &'b mut [u8],
        base_name: &'n str,
        base_time: Option<Millis>,
    ) -> Result<Writer<'b, 'n>, WriteError> {
        let starts_well = base_name.chars().next().is_none_or(|c| c.is_ascii_alphanumeric());
        if !starts_well || !base_name.chars().all(is_name_char) {
            return Err(WriteError::BadName);
        }
        if base_time.is_some_and(is_relative) {
            return Err(WriteError::BadTime);
        }
        let usable = buffer.len().min(MAX_PACK_BYTES);
        Ok(Writer {
            sink: Sink::new(&mut buffer[..usable]),
            base_name,
            separator: "",
            base_time,
            last_offset_ms: i64::MIN,
            records: 0,
        })
    }

    /// Begins the pack of a board: the base name is the board's name and the `_` that parts it from the channels.
    ///
    /// # Errors
    /// As [`Writer::begin`].
    pub fn begin_board(
        buffer: &'b mut [u8],
        board: &'n BoardUrn,
        base_time: Option<Millis>,
    ) -> Result<Writer<'b, 'n>, WriteError> {
        Ok(Writer { separator: CHANNEL_SEPARATOR, ..Writer::begin(buffer, board.as_str(), base_time)? })
    }

    /// Adds a record measured `offset_ms` after the base time, or, without a clock, `-offset_ms` before sending.
    ///
    /// # Errors
    /// [`WriteError::Full`]: no room for it. [`WriteError::TooMany`]: [`MAX_RECORDS`] are there. [`WriteError::BadName`],
    /// [`WriteError::BadUnit`]: characters that may not be. [`WriteError::NotANumber`]: not finite. [`WriteError::BadTime`]: earlier than the
    /// record before, or after sending without a clock.
    pub fn record(
        &mut self,
        name: &str,
        unit: &str,
        value: impl Into<Figure>,
        offset_ms: i64,
    ) -> Result<(), WriteError> {
        let value = value.into();
        let first = self.base_name.chars().chain(name.chars()).next();
        if !first.is_some_and(|c| c.is_ascii_alphanumeric()) || !name.chars().all(is_name_char) {
            return Err(WriteError::BadName);
        }
        if !unit.chars().all(|c| c.is_ascii_graphic() && c != '"' && c != '\\') {
            return Err(WriteError::BadUnit);
        }
        if matches!(value, Figure::Float(float) if !float.is_finite()) {
            return Err(WriteError::NotANumber);
        }
        let bad_time = match self.base_time {
            Some(base) => is_relative(base.plus(offset_ms)),
            None => offset_ms > 0,
        };
        if bad_time || offset_ms < self.last_offset_ms {
            return Err(WriteError::BadTime);
        }
        if self.records == MAX_RECORDS {
            return Err(WriteError::TooMany);
        }
        let before = self.sink.len();
        if self.write(name, unit, value, offset_ms).is_err() || self.sink.room() == 0 {
            self.sink.cut(before);
            return Err(WriteError::Full);
        }
        self.records += 1;
        self.last_offset_ms = offset_ms;
        Ok(())
    }

    /// The pack as it is now, for [`Writer::back_to`]: the records of one sample go in together or not at all.
    pub fn mark(&self) -> Mark {
        Mark { len: self.sink.len(), records: self.records, last_offset_ms: self.last_offset_ms }
    }

    /// Forgets the records written since `mark` was taken of this writer. A mark that was gone back behind must not be used again.
    pub fn back_to(&mut self, mark: Mark) {
        self.sink.cut(mark.len);
        self.records = self.records.min(mark.records);
        self.last_offset_ms = mark.last_offset_ms;
    }

    /// How many records are in the pack.
    pub fn records(&self) -> usize {
        self.records
    }

    /// Closes the pack and gives its text.
    ///
    /// # Errors
    /// [`Full`] where the buffer cannot even hold an empty pack.
    pub fn finish(mut self) -> Result<&'b str, Full> {
        // Every record left room for the last bracket.
        self.sink.write_str(if self.records == 0 { "[]" } else { "]" })?;
        Ok(self.sink.into_str())
    }

    fn write(&mut self, name: &str, unit: &str, value: Figure, offset_ms: i64) -> fmt::Result {
        let sink = &mut self.sink;
        if self.records == 0 {
            sink.write_str("[{")?;
            if !self.base_name.is_empty() {
                write!(sink, "\"bn\":\"{}{}\",", self.base_name, self.separator)?;
            }
            if let Some(base) = self.base_time {
                write!(sink, "\"bt\":{},", Decimal::new(base.0, 3))?;
            }
        } else {
            sink.write_str(",{")?;
        }
        if !name.is_empty() {
            write!(sink, "\"n\":\"{name}\",")?;
        }
        if !unit.is_empty() {
            write!(sink, "\"u\":\"{unit}\",")?;
        }
        match value {
            Figure::Decimal(decimal) => write!(sink, "\"v\":{decimal}")?,
            Figure::Float(float) => write!(sink, "\"v\":{float}")?,
        }
        if offset_ms != 0 {
            write!(sink, ",\"t\":{}", Decimal::new(offset_ms, 3))?;
        }
        sink.write_str("}")
    }
}

/// Whether an instant is so early that its seconds would read as relative.
fn is_relative(at: Millis) -> bool {
    at.0 < ABSOLUTE_FROM_S as i64 * 1000
}

/// Why a record or the beginning of a pack is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WriteError {
    /// No room for it.
    Full,
    /// The pack has its [`MAX_RECORDS`].
    TooMany,
    /// Not a name by section 4.5.1.
    BadName,
    /// A unit with a space, a quotation mark, a backslash or anything beyond ASCII.
    BadUnit,
    /// Not finite.
    NotANumber,
    /// Earlier than the record before, after sending without a clock, or before 4 July 1978.
    BadTime,
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            WriteError::Full => "no room for the record",
            WriteError::TooMany => "too many records",
            WriteError::BadName => "not a name",
            WriteError::BadUnit => "not a unit",
            WriteError::NotANumber => "not a number",
            WriteError::BadTime => "a time out of order",
        })
    }
}

impl core::error::Error for WriteError {}
