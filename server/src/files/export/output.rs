//! Where an export goes: standard output, or a file that is there whole or not at all.

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use super::ExportError;

/// An open output. A file has another name until [`Output::finish`]; without that, nothing is left behind.
pub struct Output {
    to: To,
    failed: Option<io::Error>,
}

enum To {
    Standard,
    File { path: PathBuf, written_as: PathBuf, file: Option<File>, may_replace: bool },
}

impl Output {
    /// Standard output, or the file at `path`, which must not be there unless `may_replace`.
    ///
    /// # Errors
    /// A file that is there already, and a place where nothing can be written.
    pub fn open(path: Option<&Path>, may_replace: bool) -> Result<Output, ExportError> {
        let Some(path) = path else { return Ok(Output { to: To::Standard, failed: None }) };
        let wrong = |source| ExportError::Write { path: path.to_owned(), source };
        if path.is_dir() {
            return Err(ExportError::Asked(format!("{}: is a folder; name a file", path.display())));
        }
        if path.exists() && !may_replace {
            return Err(is_there(path));
        }
        let name = path.file_name().ok_or_else(|| wrong(ErrorKind::InvalidInput.into()))?;
        let mut part = name.to_owned();
        part.push(format!(".{}.part", std::process::id()));
        let written_as = path.with_file_name(part);
        let file = OpenOptions::new().write(true).create_new(true).open(&written_as).map_err(wrong)?;
        Ok(Output { to: To::File { path: path.to_owned(), written_as, file: Some(file), may_replace }, failed: None })
    }

    /// Writes a piece; breaks off when nobody reads any more or nothing can be written.
    pub fn give(&mut self, piece: &[u8]) -> ControlFlow<()> {
        let written = match &mut self.to {
            To::Standard => io::stdout().lock().write_all(piece),
            To::File { file: Some(file), .. } => file.write_all(piece),
            To::File { file: None, .. } => Ok(()),
        };
        match written {
            Ok(()) => ControlFlow::Continue(()),
            Err(error) => {
                self.failed = Some(error);
                ControlFlow::Break(())
            }
        }
    }

    /// Brings everything to its place. That the reader of standard output has gone is no fault.
    ///
    /// # Errors
    /// What kept a piece from being written; the file is then not there.
    pub fn finish(mut self) -> Result<(), ExportError> {
        let failed = self.failed.take();
        match &mut self.to {
            To::Standard => {
                let done = failed.map_or_else(|| io::stdout().lock().flush(), Err);
                match done {
                    Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                        Err(ExportError::Write { path: "standard output".into(), source: error })
                    }
                    _ => Ok(()),
                }
            }
            To::File { path, written_as, file, may_replace } => {
                let wrong = |source| ExportError::Write { path: path.clone(), source };
                if let Some(error) = failed {
                    return Err(wrong(error));
                }
                if let Some(file) = file.take() {
                    file.sync_all().map_err(wrong)?;
                }
                // Somebody may have put one there meanwhile.
                if path.exists() && !*may_replace {
                    return Err(is_there(path));
                }
                fs::rename(written_as, path.as_path()).map_err(wrong)
            }
        }
    }
}

impl Drop for Output {
    fn drop(&mut self) {
        if let To::File { written_as, file, .. } = &mut self.to {
            drop(file.take());
            // After a rename it is not there any more.
            let _ = fs::remove_file(written_as);
        }
    }
}

fn is_there(path: &Path) -> ExportError {
    ExportError::Asked(format!("{}: is there already; --force writes over it", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(dir: &Path) -> Vec<String> {
        let mut all: Vec<String> =
            fs::read_dir(dir).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        all.sort();
        all
    }

    #[test]
    fn file_is_there_only_when_it_is_whole() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("readings.csv");
        let mut out = Output::open(Some(&path), false).unwrap();
        assert!(out.give(b"half").is_continue());
        assert!(!path.exists());
        drop(out);
        assert_eq!(names(dir.path()), [""; 0]);
        let mut out = Output::open(Some(&path), false).unwrap();
        assert!(out.give(b"whole").is_continue());
        out.finish().unwrap();
        assert_eq!((names(dir.path()).len(), fs::read_to_string(&path).unwrap()), (1, "whole".to_owned()));
    }

    #[test]
    fn file_that_is_there_is_replaced_only_where_that_was_said() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.csv");
        fs::write(&path, "old").unwrap();
        let Err(error) = Output::open(Some(&path), false) else { panic!("it is there") };
        assert!(error.to_string().ends_with("a.csv: is there already; --force writes over it"), "{error}");
        let mut out = Output::open(Some(&path), true).unwrap();
        assert!(out.give(b"new").is_continue());
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
        out.finish().unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        // One that comes meanwhile stays.
        let late = dir.path().join("b.csv");
        let out = Output::open(Some(&late), false).unwrap();
        fs::write(&late, "somebody else's").unwrap();
        assert!(out.finish().is_err());
        assert_eq!(fs::read_to_string(&late).unwrap(), "somebody else's");
        assert_eq!(names(dir.path()), ["a.csv", "b.csv"]);
        assert!(Output::open(Some(dir.path()), true).is_err(), "a folder");
        assert!(Output::open(Some(&dir.path().join("none/a.csv")), false).is_err(), "no such folder");
    }
}
