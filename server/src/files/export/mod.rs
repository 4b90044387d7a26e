//! What goes out of a data folder: read in stretches, handed on in pieces, so that memory does not grow with it. Nothing is written to the stores, and a
//! running house is not disturbed.

mod advice;
mod days;
mod output;
mod readings;
mod recording;
mod spots;

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use propstick_garden::model::Garden;
use propstick_wire::Millis;

use crate::store::StoreError;
use crate::store::folder::{garden_path, readings_path};
use crate::store::garden::GardenDb;

pub use advice::advice;
pub use days::{DaysAsked, DaysTold, days};
pub use output::Output;
pub use readings::{By, ReadingsAsked, ReadingsTold, readings};
pub use recording::{RecordingTold, recording};

/// Takes a piece of text; says when it wants no more.
pub type Give<'a> = &'a mut dyn FnMut(&[u8]) -> ControlFlow<()>;

/// Why nothing came out, or not all of it.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// What was asked for cannot be.
    #[error("{0}")]
    Asked(String),
    /// A store could not be read.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A file could not be written.
    #[error("{path}: {source}", path = path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
}

/// From when until before when; open ends are left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stretch {
    /// First instant.
    pub from: Option<Millis>,
    /// First instant after it.
    pub to: Option<Millis>,
}

impl Stretch {
    fn ends(self) -> (Millis, Millis) {
        (self.from.unwrap_or(Millis(i64::MIN)), self.to.unwrap_or(Millis(i64::MAX)))
    }
}

/// The garden of a data folder.
///
/// # Errors
/// A folder without one, and a store that cannot be read.
pub fn garden(folder: &Path) -> Result<Garden, ExportError> {
    let none = || ExportError::Asked(format!("{}: no garden is set up in it yet", folder.display()));
    if !garden_path(folder).is_file() {
        return Err(none());
    }
    GardenDb::open_reader(&garden_path(folder))?.garden()?.ok_or_else(none)
}

/// Says no where a folder has no readings.
///
/// # Errors
/// A folder without a store of readings.
pub fn must_have_readings(folder: &Path) -> Result<(), ExportError> {
    if readings_path(folder).is_file() {
        return Ok(());
    }
    Err(ExportError::Asked(format!("{}: there are no readings in it; name the folder with --data", folder.display())))
}
