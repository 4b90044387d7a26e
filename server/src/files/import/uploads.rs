//! Files that a page has sent and that nobody has decided on yet.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

/// Most files that wait at a time; the oldest makes room.
const MOST: usize = 8;

/// The files that wait, in a folder of their own below the data folder. They do not outlive the program.
#[derive(Clone, Debug)]
pub struct Uploads {
    folder: PathBuf,
}

/// A file that waits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Upload {
    /// Its number, 16 hexadecimal digits that nobody can guess.
    pub id: String,
    /// Where it is.
    pub path: PathBuf,
    /// Its name where it came from.
    pub name: String,
}

impl Uploads {
    /// The files that wait below a data folder.
    pub fn below(data: &Path) -> Uploads {
        Uploads { folder: data.join("uploads") }
    }

    /// Throws away what an earlier run of the program left.
    pub fn tidy(&self) {
        let _ = fs::remove_dir_all(&self.folder);
    }

    /// Room for a file of that name; its number comes from `secret`, which nobody can guess.
    ///
    /// # Errors
    /// A disk that says no.
    pub fn begin(&self, secret: &str, name: &str) -> io::Result<Upload> {
        let id: String = Sha256::digest(secret).iter().take(8).map(|byte| format!("{byte:02x}")).collect();
        fs::create_dir_all(&self.folder)?;
        self.make_room()?;
        let name: String = name.chars().filter(|c| !c.is_control()).take(200).collect();
        let name = if name.trim().is_empty() { "file".to_owned() } else { name };
        fs::write(self.folder.join(format!("{id}.name")), &name)?;
        Ok(Upload { path: self.folder.join(&id), id, name })
    }

    /// The file of that number.
    pub fn find(&self, id: &str) -> Option<Upload> {
        // Only a number of our own making is ever part of a path.
        if id.len() != 16 || !id.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)) {
            return None;
        }
        let path = self.folder.join(id);
        let name = fs::read_to_string(self.folder.join(format!("{id}.name"))).ok()?;
        path.is_file().then(|| Upload { id: id.to_owned(), path, name })
    }

    /// Throws a file away.
    pub fn drop(&self, upload: &Upload) {
        let _ = fs::remove_file(&upload.path);
        let _ = fs::remove_file(self.folder.join(format!("{}.name", upload.id)));
    }

    /// Where a compressed copy may be made meanwhile.
    ///
    /// # Errors
    /// A disk that says no.
    pub fn scratch(&self, id: &str) -> io::Result<PathBuf> {
        fs::create_dir_all(&self.folder)?;
        Ok(self.folder.join(format!("{id}.gz")))
    }

    fn make_room(&self) -> io::Result<()> {
        let mut waiting: Vec<_> = fs::read_dir(&self.folder)?
            .flatten()
            .filter(|entry| entry.path().extension().is_some_and(|e| e == "name"))
            .map(|entry| (entry.metadata().and_then(|m| m.modified()).ok(), entry.path()))
            .collect();
        waiting.sort();
        let too_many = (waiting.len() + 1).saturating_sub(MOST);
        for (_, path) in waiting.into_iter().take(too_many) {
            let _ = fs::remove_file(path.with_extension(""));
            let _ = fs::remove_file(path);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn upload_is_found_by_its_number_alone_and_never_by_a_path() {
        let dir = tempfile::tempdir().unwrap();
        let uploads = Uploads::below(dir.path());
        let upload = uploads.begin("a secret", "north\nbed.csv").unwrap();
        assert_eq!(uploads.find(&upload.id), None, "nothing has arrived yet");
        fs::write(&upload.path, "x").unwrap();
        assert_eq!(uploads.find(&upload.id).unwrap().name, "northbed.csv");
        fs::write(dir.path().join("secret"), "x").unwrap();
        for guess in ["../secret", "", "0000000000000001.name", "000000000000000G", "/etc/passwd12345"] {
            assert_eq!(uploads.find(guess), None, "{guess}");
        }
        uploads.drop(&upload);
        assert_eq!(uploads.find(&upload.id), None);
    }

    #[test]
    fn ninth_upload_makes_the_oldest_give_way() {
        let dir = tempfile::tempdir().unwrap();
        let uploads = Uploads::below(dir.path());
        let sent: Vec<Upload> = (0..12)
            .map(|n| {
                let upload = uploads.begin(&format!("secret {n}"), "a.csv").unwrap();
                fs::write(&upload.path, "x").unwrap();
                upload
            })
            .collect();
        let kept = sent.iter().filter(|upload| uploads.find(&upload.id).is_some()).count();
        assert_eq!(kept, MOST);
        assert!(uploads.find(&sent[11].id).is_some());
    }
}
