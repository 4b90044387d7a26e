//! What is kept on disk: `readings.db` (sacred), `garden.db` (the grower's), `derived.db` (disposable), in one data folder with one owner.

pub mod advice;
pub mod derived;
pub mod folder;
pub mod garden;
pub mod imports;
pub mod ledger;
pub mod outgoing;
pub mod placed;
mod queues;
pub mod readings;
mod registers;
mod rejects;
mod sqlite;

pub use folder::DataFolder;
pub use ledger::{Committed, Ledger};
pub use readings::{Bucket, Point, Readings, SeriesId};
pub use sqlite::StoreError;
