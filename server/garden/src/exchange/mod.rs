//! What goes out, in open formats, and comes back in: readings in three forms, days, advice, and traffic as a recording.
//!
//! Pure: text is written piece by piece into an [`Outlet`], and read from a [`Source`](crate::table::Source). Nothing is filled: where nothing was
//! measured a cell is empty. Numbers are the shortest text that reads back as the same number.

mod advice;
mod cells;
mod days;
mod label;
mod lines;
mod outlet;
mod read;
pub mod recording;
mod senml;
mod text;
mod wide;
mod writer;

pub use advice::{AdviceMove, AdvicePiece, AdviceReading, advice_header, advice_row};
pub use days::{DayColumns, DayOfStructure};
pub use label::{from_label, label, series_key, spot_label};
pub use outlet::Outlet;
pub use read::{RECOGNISED_BY_BYTES, read_form, recognise};
pub use text::json_text;
pub use wide::{wide_header, wide_rows};
pub use writer::{Form, ReadingsWriter};

#[cfg(test)]
mod tests;
