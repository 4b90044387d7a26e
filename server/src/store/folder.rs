//! The data folder: one process owns it at a time.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use super::StoreError;

const LOCK: &str = "owner.lock";
const ADDRESS: &str = "owner.address";
const TOKEN: &str = "cli-token";

/// An owned data folder. The ownership ends with this value or with the process.
#[derive(Debug)]
pub struct DataFolder {
    path: PathBuf,
    _lock: File,
}

impl DataFolder {
    /// Makes the folder if absent and takes it, or says that another process has it.
    pub fn take(path: &Path) -> Result<DataFolder, StoreError> {
        fs::create_dir_all(path).map_err(|e| StoreError::io(path, e))?;
        let lock_path = path.join(LOCK);
        let lock = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&lock_path)
            .map_err(|e| StoreError::io(&lock_path, e))?;
        match lock.try_lock() {
            Ok(()) => Ok(DataFolder { path: path.to_owned(), _lock: lock }),
            Err(TryLockError::WouldBlock) => Err(StoreError::Owned { path: path.to_owned() }),
            Err(TryLockError::Error(e)) => Err(StoreError::io(&lock_path, e)),
        }
    }

    /// The folder's path.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Path of the readings.
    pub fn readings(&self) -> PathBuf {
        readings_path(&self.path)
    }

    /// Path of the grower's records.
    pub fn garden(&self) -> PathBuf {
        garden_path(&self.path)
    }

    /// Path of what is worked out.
    pub fn derived(&self) -> PathBuf {
        derived_path(&self.path)
    }

    /// Leaves a note where commands find the running program: its address, and a fresh token that only this user may read.
    pub fn announce(&self, address: &str, token: &str) -> Result<(), StoreError> {
        write_private(&self.path.join(TOKEN), token)?;
        write_private(&self.path.join(ADDRESS), address)
    }
}

impl Drop for DataFolder {
    fn drop(&mut self) {
        let _ = fs::remove_file(self.path.join(ADDRESS));
        let _ = fs::remove_file(self.path.join(TOKEN));
    }
}

/// Where the running owner of `folder` listens and the token it takes, if it left word.
pub fn owner_of(folder: &Path) -> Option<(String, String)> {
    let address = read(&folder.join(ADDRESS))?;
    let token = read(&folder.join(TOKEN))?;
    Some((address, token))
}

/// Path of the readings in a data folder.
pub fn readings_path(folder: &Path) -> PathBuf {
    folder.join("readings.db")
}

/// Path of the grower's records in a data folder.
pub fn garden_path(folder: &Path) -> PathBuf {
    folder.join("garden.db")
}

/// Path of what is worked out in a data folder.
pub fn derived_path(folder: &Path) -> PathBuf {
    folder.join("derived.db")
}

fn read(path: &Path) -> Option<String> {
    let mut text = String::new();
    File::open(path).ok()?.read_to_string(&mut text).ok()?;
    Some(text.trim().to_owned())
}

fn write_private(path: &Path, text: &str) -> Result<(), StoreError> {
    let mut options = OpenOptions::new();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut file = options.open(path).map_err(|e| StoreError::io(path, e))?;
    file.write_all(text.as_bytes()).map_err(|e| StoreError::io(path, e))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folder_in_use_is_refused_and_free_again_afterwards() {
        let dir = tempfile::tempdir().unwrap();
        let first = DataFolder::take(dir.path()).unwrap();
        assert!(matches!(DataFolder::take(dir.path()), Err(StoreError::Owned { .. })));
        drop(first);
        DataFolder::take(dir.path()).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn token_is_readable_by_its_user_alone_and_goes_with_the_owner() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let folder = DataFolder::take(dir.path()).unwrap();
        folder.announce("127.0.0.1:1", "secret").unwrap();
        let mode = fs::metadata(dir.path().join(TOKEN)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        assert_eq!(owner_of(dir.path()), Some(("127.0.0.1:1".into(), "secret".into())));
        drop(folder);
        assert_eq!(owner_of(dir.path()), None);
    }
}
