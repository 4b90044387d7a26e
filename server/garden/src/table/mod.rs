//! Tables in files: what loggers, stations and spreadsheets write out, read by a mapping file.
//!
//! Pure: a [`Source`] gives bytes as often as wanted, a [`FileMapping`] says what they mean, [`read`] gives readings and a [`Report`]. Nothing grows
//! with the file. Text becomes lines in [`text`], lines become cells in [`cells`], the texts of dates and times become local times in [`stamp`], and
//! [`clock`] makes instants of them.

pub mod cells;
pub mod clock;
pub mod mapping;
pub mod propose;
pub mod report;
pub mod stamp;
pub mod text;

mod read;
mod source;

pub use crate::decode::mapping::{Column, MappingError, MappingField, Stamp};
pub use cells::{column_name, column_names};
pub use clock::Clock;
pub use mapping::{Decimal, Encoding, FileDevice, FileMapping, TimeColumns, TimeForm};
pub use read::{Misfit, Piece, Reading, Trouble, number, read};
pub use report::{Aside, AsideWhy, Caution, ClockNote, Report, SampleRow, SeriesReport};
pub use source::Source;
pub use stamp::Order;
