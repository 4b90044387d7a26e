//! A file on disk as something that can be gone through again and again.

use std::fs::File;
use std::io::{self, Read, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use flate2::Compression;
use flate2::write::{GzDecoder, GzEncoder};
use propstick_garden::exchange::{self, Form};
use propstick_garden::table::Source;
use sha2::{Digest, Sha256};

use crate::store::{Readings, StoreError};

/// How much is read in one go.
const PIECE: usize = 256 << 10;
/// How much of its beginning is looked at to recognise a form of our own.
const BEGINNING: usize = 4 << 10;

/// Told how far a pass has come: bytes done, and bytes in all.
pub type Told<'a> = &'a (dyn Fn(u64, u64) + Sync);

/// A file on disk, as long as it was when it was opened: what a logger appends meanwhile is for the next time.
pub struct OnDisk<'a> {
    path: PathBuf,
    bytes: u64,
    told: Told<'a>,
}

impl<'a> OnDisk<'a> {
    /// The file at `path`; `told` hears of the progress of every pass through it.
    ///
    /// # Errors
    /// A file that is absent, is a folder or may not be read.
    pub fn open(path: &Path, told: Told<'a>) -> io::Result<OnDisk<'a>> {
        // Looked at before it is opened: a pipe would let us wait for ever.
        if !std::fs::metadata(path)?.is_file() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file"));
        }
        let about = File::open(path)?.metadata()?;
        Ok(OnDisk { path: path.to_owned(), bytes: about.len(), told })
    }

    /// How long it is.
    pub fn bytes(&self) -> u64 {
        self.bytes
    }

    /// What identifies it, and whether it is a form of our own.
    ///
    /// # Errors
    /// A file that cannot be read to its end.
    pub fn identify(&self) -> io::Result<Identity> {
        let mut hash = Sha256::new();
        let mut beginning = Vec::with_capacity(BEGINNING);
        self.pieces(&mut |piece| {
            hash.update(piece);
            let wanted = BEGINNING.saturating_sub(beginning.len()).min(piece.len());
            beginning.extend_from_slice(&piece[..wanted]);
            ControlFlow::Continue(())
        })?;
        Ok(Identity { sha256: in_digits(hash), form: exchange::recognise(&beginning) })
    }

    /// Writes it, compressed by gzip, into a new file.
    ///
    /// # Errors
    /// A file that cannot be read or is not the one that was identified, or a disk that is full.
    pub fn press(&self, identity: &Identity, into: &Path) -> io::Result<()> {
        let mut pressed = GzEncoder::new(File::create_new(into)?, Compression::fast());
        let mut hash = Sha256::new();
        let mut done = Ok(());
        self.pieces(&mut |piece| {
            hash.update(piece);
            match pressed.write_all(piece) {
                Ok(()) => ControlFlow::Continue(()),
                Err(error) => {
                    done = Err(error);
                    ControlFlow::Break(())
                }
            }
        })?;
        done?;
        if in_digits(hash) != identity.sha256 {
            return Err(changed());
        }
        pressed.finish().map(|_| ())
    }
}

fn in_digits(hash: Sha256) -> String {
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

fn changed() -> io::Error {
    io::Error::other("it changed while it was being read; try again when nobody writes to it")
}

impl Source for OnDisk<'_> {
    type Error = io::Error;

    fn pieces(&self, take: &mut dyn FnMut(&[u8]) -> ControlFlow<()>) -> io::Result<()> {
        let mut file = File::open(&self.path)?.take(self.bytes);
        let mut room = vec![0; PIECE];
        let mut done = 0;
        loop {
            let n = match file.read(&mut room) {
                Ok(0) if done < self.bytes => return Err(changed()),
                Ok(0) => return Ok(()),
                Ok(n) => n,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            done += n as u64;
            (self.told)(done, self.bytes);
            if take(&room[..n]).is_break() {
                return Ok(());
            }
        }
    }
}

/// Writes the file that is kept with an import, as it came.
///
/// # Errors
/// A store that cannot be read, or a sink that takes no more.
pub fn unpack(readings: &Readings, origin: i64, to: impl Write) -> Result<(), StoreError> {
    readings.origin_source(origin, &mut GzDecoder::new(to))
}

/// What identifies a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// SHA-256 of its bytes, as lower-case hexadecimal digits.
    pub sha256: String,
    /// The form of our own that it has, if any.
    pub form: Option<Form>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_is_identified_and_comes_back_from_its_compressed_copy() {
        let dir = tempfile::tempdir().unwrap();
        let (path, pressed) = (dir.path().join("a.csv"), dir.path().join("a.gz"));
        std::fs::write(&path, "abc").unwrap();
        let source = OnDisk::open(&path, &|_, _| {}).unwrap();
        // FIPS 180-2, appendix B.1: the digest of "abc".
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(source.identify().unwrap(), Identity { sha256: expected.to_owned(), form: None });
        let identity = source.identify().unwrap();
        source.press(&identity, &pressed).unwrap();
        let mut again = String::new();
        flate2::read::GzDecoder::new(File::open(&pressed).unwrap()).read_to_string(&mut again).unwrap();
        assert_eq!(again, "abc");
        assert_eq!(source.press(&identity, &pressed).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
    }

    #[test]
    fn file_that_is_written_to_meanwhile_is_read_as_long_as_it_was_or_not_at_all() {
        let dir = tempfile::tempdir().unwrap();
        let (path, pressed) = (dir.path().join("a.csv"), dir.path().join("a.gz"));
        std::fs::write(&path, "abc").unwrap();
        let source = OnDisk::open(&path, &|_, _| {}).unwrap();
        let identity = source.identify().unwrap();
        std::fs::write(&path, "abcdef").unwrap();
        assert_eq!(source.identify().unwrap(), identity, "what is appended is for the next time");
        source.press(&identity, &pressed).unwrap();
        std::fs::write(&path, "abd").unwrap();
        assert!(source.press(&identity, &dir.path().join("b.gz")).unwrap_err().to_string().contains("changed"));
        std::fs::write(&path, "ab").unwrap();
        assert!(source.identify().unwrap_err().to_string().contains("changed"));
    }

    #[test]
    fn folder_is_not_a_file() {
        let dir = tempfile::tempdir().unwrap();
        assert_eq!(OnDisk::open(dir.path(), &|_, _| {}).err().unwrap().kind(), io::ErrorKind::InvalidInput);
    }
}
