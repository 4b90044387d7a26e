//! Reading a table by its mapping.

mod asides;
mod cautions;
mod devices;
mod number;
mod orders;
mod places;
mod reader;
mod rows;
mod tally;
mod when;

use std::ops::ControlFlow;

use propstick_wire::Millis;

use self::devices::Devices;
use self::orders::{Orders, Watch};
use self::reader::{Reader, Wall};
use self::rows::for_each_row;
use self::when::when;
use super::clock::{Changes, Clock, Passages, Resolver};
use super::mapping::FileMapping;
use super::report::Report;
use super::source::Source;
use super::stamp::Moment;
use crate::decode::AHEAD_ALLOWED_MS;
use crate::decode::mapping::MappingError;
use crate::took::SeriesKey;

pub use self::number::number;

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

/// Reads a whole file by its mapping. The same file and mapping give the same, however the source is cut into pieces. The source is gone through once,
/// and once more each where a zone's clock changes and where mixed orders of day and month have to be decided first; what is held at any time does not
/// grow with it.
///
/// A row is set aside as a whole where it is blank, has more cells than the header, has a quote that does not close, or has no time that counts: one that
/// can be read and that lies from 1900 to five minutes from `now`. Otherwise each of its cells gives a reading, counts as without a value, or is set
/// aside alone.
///
/// # Errors
/// [`Trouble::Misfit`] where the mapping is wrong or names a column that the header does not have. [`Trouble::Source`], [`Trouble::Stopped`] and a
/// misfit for too many devices may come after pieces were given: whoever takes them forgets them then. Rows and cells that cannot be read are no error.
pub fn read<S: Source + ?Sized>(
    source: &S,
    mapping: &FileMapping,
    now: Millis,
    take: &mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
) -> Result<Report, Trouble<S::Error>> {
    mapping.check().map_err(|error| Trouble::Misfit(error.into()))?;
    let until = now.plus(AHEAD_ALLOWED_MS);
    let mut orders = if mapping.time.mixed { Some(watch_orders(source, mapping)?) } else { None };
    let mut devices = Devices::default();
    let clock = match mapping.time.zone {
        None => Wall::None,
        Some(Clock::Fixed(ahead_s)) => Wall::Fixed(i64::from(ahead_s) * 1000),
        Some(Clock::Zone(zone)) => {
            let changes = Changes::of(zone, until);
            Wall::Zone(watch_clock(source, mapping, changes, &mut orders, &mut devices)?)
        }
    };
    if let Some(orders) = &mut orders {
        orders.again();
    }
    let mut reader = Reader::new(mapping, clock, orders, devices, until, take);
    let seen = for_each_row(source, mapping, &mut |places, found| reader.row(places, found))?;
    reader.end(seen)
}

/// Decides the order of day and month for every row.
fn watch_orders<S: Source + ?Sized>(source: &S, mapping: &FileMapping) -> Result<Orders, Trouble<S::Error>> {
    let order = mapping.time.order;
    let mut watch = Watch::new(order);
    for_each_row(source, mapping, &mut |places, found| {
        if let Ok(row) = found.row {
            let in_order = |order| match when(mapping, &places.when, &row, order)?.moment {
                Moment::Local(ms) => Some(ms),
                Moment::Instant(t) => Some(t.0),
            };
            watch.see(found.line, in_order(order), order.swapped().and_then(in_order));
        }
        ControlFlow::Continue(())
    })?;
    Ok(watch.end())
}

/// Decides how the rows go through the zone's changes.
fn watch_clock<S: Source + ?Sized>(
    source: &S,
    mapping: &FileMapping,
    changes: Changes,
    orders: &mut Option<Orders>,
    devices: &mut Devices,
) -> Result<Resolver, Trouble<S::Error>> {
    let mut passages = Passages::new(changes);
    for_each_row(source, mapping, &mut |places, found| {
        let Ok(row) = found.row else { return ControlFlow::Continue(()) };
        let order = match orders {
            Some(orders) => orders.of(found.line),
            None => Some(mapping.time.order),
        };
        let Some(Moment::Local(local_ms)) =
            order.and_then(|order| when(mapping, &places.when, &row, order)).map(|when| when.moment)
        else {
            return ControlFlow::Continue(());
        };
        match devices.of(places.device, &row) {
            Ok(Some(device)) => passages.see(device, found.line, local_ms),
            Ok(None) => {}
            Err(misfit) => return ControlFlow::Break(Some(misfit)),
        }
        ControlFlow::Continue(())
    })?;
    Ok(passages.end())
}

#[cfg(test)]
mod tests;
