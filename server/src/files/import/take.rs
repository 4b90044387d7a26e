//! Reading a file into the ledger: on one thread it is read, on the ledger's it is stored, all of it or nothing.

use std::io;
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::mpsc::sync_channel;
use std::thread;

use propstick_garden::exchange::{self, Form};
use propstick_garden::table::{self, FileMapping, Piece, Report, Trouble};
use propstick_wire::Millis;

use super::source::{Identity, OnDisk};
use crate::store::imports::{ImportError, ImportPiece, Imported, NewOrigin};
use crate::store::{Ledger, StoreError};

/// Pieces that may wait for the ledger.
const AHEAD: usize = 8;

/// How a file is to be read.
#[derive(Clone, Debug, PartialEq)]
pub enum How {
    /// By a mapping.
    Mapping(Box<FileMapping>),
    /// It is in one of our own forms.
    Ours(Form),
}

impl How {
    /// The mapping as a file, or the name of the form of our own: what is kept with the origin.
    pub fn text(&self) -> String {
        match self {
            How::Mapping(mapping) => mapping.to_toml(),
            How::Ours(form) => form_name(*form).to_owned(),
        }
    }

    /// The zone its times were read in, as text.
    pub fn zone(&self) -> Option<String> {
        match self {
            How::Mapping(mapping) => mapping.time.zone.map(|zone| zone.to_string()),
            How::Ours(_) => Some("UTC".to_owned()),
        }
    }
}

/// The origin that a file becomes, with its label and its own name; `pressed` is where its bytes wait.
pub fn new_origin(
    identity: &Identity,
    how: &How,
    (label, name): (String, &str),
    made_at: Millis,
    pressed: &Path,
) -> NewOrigin {
    NewOrigin {
        label,
        made_at,
        file: Some(name.to_owned()),
        sha256: identity.sha256.clone(),
        mapping: how.text(),
        zone: how.zone(),
        source: Some(pressed.to_owned()),
    }
}

/// What a form of our own is called where people read it.
pub fn form_name(form: Form) -> &'static str {
    match form {
        Form::Csv => "readings as a table",
        Form::Senml => "readings as SenML",
        Form::Lines => "readings as line protocol",
    }
}

/// Why a file was not taken in. Nothing of it is stored then.
#[derive(Debug, thiserror::Error)]
pub enum ImportTrouble {
    /// The file could not be read.
    #[error("it could not be read to its end: {0}")]
    Unreadable(#[from] io::Error),
    /// The mapping does not fit.
    #[error("{0}")]
    Misfit(String),
    /// There is nothing in it.
    #[error("not one reading was found in it: {0}")]
    Nothing(String),
    /// The ledger said no.
    #[error("it could not be stored, and nothing of it is: {0}")]
    Store(StoreError),
}

/// What came of a file.
#[derive(Clone, Debug)]
pub struct TakenIn {
    /// What the ledger did with it.
    pub imported: Imported,
    /// What was found in it.
    pub report: Report,
}

/// Reads a file without storing anything: what would be read, and what set aside.
///
/// # Errors
/// A file that cannot be read, or a mapping that does not fit.
pub fn rehearse(source: &OnDisk<'_>, how: &How, now: Millis) -> Result<Report, ImportTrouble> {
    let report = read(source, how, now, &mut |_| ControlFlow::Continue(()))?;
    if report.readings == 0 {
        return Err(ImportTrouble::Nothing(in_words(&report)));
    }
    Ok(report)
}

/// Reads a file into the ledger as a new origin, in one transaction.
///
/// # Errors
/// Whatever it is, nothing of the file is stored.
pub fn take_in(
    ledger: &mut Ledger,
    source: &OnDisk<'_>,
    how: &How,
    origin: &NewOrigin,
) -> Result<TakenIn, ImportTrouble> {
    let (send, pieces) = sync_channel::<Result<ImportPiece, String>>(AHEAD);
    let now = origin.made_at;
    thread::scope(|scope| {
        let reader = scope.spawn(move || {
            let told = |piece| match send.send(Ok(piece)) {
                Ok(()) => ControlFlow::Continue(()),
                Err(_) => ControlFlow::Break(()),
            };
            let done = read(source, how, now, &mut |piece| match piece {
                Piece::Series(key) => told(ImportPiece::Series(key.clone())),
                Piece::Readings(all) => told(ImportPiece::Readings(all.iter().map(|r| (r.series, r.t, r.v)).collect())),
            });
            let done = done.and_then(|report| match report.readings {
                0 => Err(ImportTrouble::Nothing(in_words(&report))),
                _ => Ok(report),
            });
            match &done {
                Ok(report) => {
                    let text = serde_json::to_string(report).unwrap_or_default();
                    let _ = send.send(Ok(ImportPiece::Report(text)));
                }
                Err(trouble) => {
                    let _ = send.send(Err(trouble.to_string()));
                }
            }
            done
        });
        let stored = ledger.import(origin, &mut || pieces.recv().ok());
        // A reader that waits for room is let go.
        drop(pieces);
        let read = match reader.join() {
            Ok(read) => read,
            Err(panic) => std::panic::resume_unwind(panic),
        };
        match (stored, read) {
            (Ok(imported), Ok(report)) => Ok(TakenIn { imported, report }),
            (Err(ImportError::Store(error)), _) => Err(ImportTrouble::Store(error)),
            (_, Err(trouble)) => Err(trouble),
            (Err(error), Ok(_)) => Err(ImportTrouble::Misfit(error.to_string())),
        }
    })
}

/// Makes the compressed copy of a file that is kept with its origin.
///
/// # Errors
/// A file that cannot be read, or a disk that is full.
pub fn press(source: &OnDisk<'_>, identity: &Identity, into: &Path) -> Result<(), ImportTrouble> {
    source.press(identity, into).map_err(|error| match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::FileTooLarge | io::ErrorKind::QuotaExceeded => {
            ImportTrouble::Store(StoreError::Io { path: into.to_owned(), source: error })
        }
        _ => ImportTrouble::Unreadable(error),
    })
}

fn read(
    source: &OnDisk<'_>,
    how: &How,
    now: Millis,
    take: &mut dyn FnMut(Piece<'_>) -> ControlFlow<()>,
) -> Result<Report, ImportTrouble> {
    let done = match how {
        How::Mapping(mapping) => table::read(source, mapping, now, take),
        How::Ours(form) => exchange::read_form(source, *form, now, take),
    };
    done.map_err(|trouble| match trouble {
        Trouble::Source(error) => ImportTrouble::Unreadable(error),
        Trouble::Misfit(misfit) => ImportTrouble::Misfit(misfit.to_string()),
        Trouble::Stopped => ImportTrouble::Misfit("the ledger did not take it".to_owned()),
    })
}

/// What was set aside, in a sentence.
fn in_words(report: &Report) -> String {
    let aside: Vec<String> = report
        .aside
        .iter()
        .take(3)
        .map(|a| format!("{} x {} (first in line {}: {})", a.times, a.why.word(), a.first_line, a.example))
        .collect();
    let rows = report.rows;
    if aside.is_empty() { format!("{rows} rows") } else { format!("{rows} rows; set aside {}", aside.join(", ")) }
}
