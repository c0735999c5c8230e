//! Where a session's bytes go: a small trait, so that tests can cut at any byte and fail at any
//! sync, and the real folder behind it.
//!
//! It knows no format. An append that fails half-way is taken back where the system lets it.

use super::RecordError;
use super::files::RecordFile;
use super::patience::patiently;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// The file whose lock says that a run holds the folder.
pub(super) const LOCK_NAME: &str = ".lock";

/// Takes a session's bytes.
pub trait Store: Send {
    /// The session folder, for messages.
    fn folder(&self) -> &Path;

    /// Adds bytes at a file's end and hands them to the system.
    ///
    /// # Errors
    /// What the system said; the file then ends where it did before, or has a torn end.
    fn append(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()>;

    /// Waits until a file's bytes are on the disk.
    ///
    /// # Errors
    /// What the system said.
    fn sync(&mut self, file: RecordFile) -> io::Result<()>;

    /// Puts a whole file in the place of the one before it; at every moment one of the two is
    /// there.
    ///
    /// # Errors
    /// What the system said; the file before is then still there.
    fn replace(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()>;

    /// A file's bytes.
    ///
    /// # Errors
    /// What the system said.
    fn read(&mut self, file: RecordFile) -> io::Result<Vec<u8>>;

    /// Lets go of the folder: nothing more will be written.
    ///
    /// # Errors
    /// What the system said.
    fn release(&mut self) -> io::Result<()>;
}

/// Whether bytes must outlive a power cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Durability {
    /// Syncs wait for the disk.
    Synced,
    /// Syncs do nothing: for simulated sessions, which can be made again.
    Unsynced,
}

/// A session folder on the disk, held by this run alone.
#[derive(Debug)]
pub struct FolderStore {
    folder: PathBuf,
    durability: Durability,
    growing: Vec<Growing>,
    // Held, never read: the lock goes when it is closed, at the latest when the process ends.
    lock: Option<File>,
}

#[derive(Debug)]
struct Growing {
    which: RecordFile,
    file: File,
    bytes: u64,
}

impl Growing {
    fn open(folder: &Path, which: RecordFile) -> io::Result<Growing> {
        let file = OpenOptions::new().append(true).open(folder.join(which.name()))?;
        let bytes = file.metadata()?.len();
        Ok(Growing { which, file, bytes })
    }
}

impl FolderStore {
    /// Takes hold of a session folder.
    ///
    /// # Errors
    /// [`RecordError::InUse`] while another run holds it; [`RecordError::Io`] where a file cannot be
    /// opened.
    pub fn open(folder: &Path, durability: Durability) -> Result<FolderStore, RecordError> {
        let lock = hold_lock(folder)?;
        let mut growing = Vec::new();
        for which in RecordFile::GROWING {
            let opened = Growing::open(folder, which);
            growing.push(opened.map_err(RecordError::io("open", &folder.join(which.name())))?);
        }
        Ok(FolderStore { folder: folder.to_owned(), durability, growing, lock: Some(lock) })
    }

    /// Cuts a growing file to its first `bytes` bytes.
    ///
    /// # Errors
    /// [`RecordError::Io`].
    pub(super) fn cut(&mut self, file: RecordFile, bytes: u64) -> Result<(), RecordError> {
        let path = self.folder.join(file.name());
        let growing = self.growing(file).map_err(RecordError::io("cut the torn end of", &path))?;
        growing.file.set_len(bytes).map_err(RecordError::io("cut the torn end of", &path))?;
        growing.bytes = bytes;
        Ok(())
    }

    /// Not there if it could not be opened again after [`Store::replace`], which told so.
    fn growing(&mut self, file: RecordFile) -> io::Result<&mut Growing> {
        let found = self.growing.iter_mut().find(|growing| growing.which == file);
        found.ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

/// Takes the folder's lock.
pub(super) fn hold_lock(folder: &Path) -> Result<File, RecordError> {
    let path = folder.join(LOCK_NAME);
    let opened = OpenOptions::new().create(true).append(true).open(&path);
    let file = opened.map_err(RecordError::io("open", &path))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(RecordError::InUse { folder: folder.to_owned() }),
        Err(TryLockError::Error(source)) => Err(RecordError::io("lock", &path)(source)),
    }
}

impl Store for FolderStore {
    fn folder(&self) -> &Path {
        &self.folder
    }

    fn append(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()> {
        let growing = self.growing(file)?;
        if let Err(error) = growing.file.write_all(bytes) {
            // Where the end cannot be taken back either, opening the session finds and cuts it.
            return growing.file.set_len(growing.bytes).and(Err(error));
        }
        growing.bytes += bytes.len() as u64;
        Ok(())
    }

    fn sync(&mut self, file: RecordFile) -> io::Result<()> {
        match self.durability {
            Durability::Synced => self.growing(file)?.file.sync_data(),
            Durability::Unsynced => Ok(()),
        }
    }

    fn replace(&mut self, file: RecordFile, bytes: &[u8]) -> io::Result<()> {
        // Windows can refuse a rename onto an open file even to the program that has it open, so a
        // growing file is let go of first; afterwards another file is behind its name.
        let held = self.growing.iter().position(|growing| growing.which == file);
        if let Some(at) = held {
            self.growing.swap_remove(at);
        }
        let replaced = replace_file(&self.folder, file.name(), bytes, self.durability);
        if held.is_some() {
            match Growing::open(&self.folder, file) {
                Ok(growing) => self.growing.push(growing),
                Err(error) => return replaced.and(Err(error)),
            }
        }
        replaced
    }

    fn read(&mut self, file: RecordFile) -> io::Result<Vec<u8>> {
        fs::read(self.folder.join(file.name()))
    }

    fn release(&mut self) -> io::Result<()> {
        match self.lock.take() {
            // A second run that opened the same file meanwhile gets its lock and finds the session
            // ended. Closing lets the lock go; asking for it by name was refused under wine.
            Some(lock) => {
                drop(lock);
                patiently(|| fs::remove_file(self.folder.join(LOCK_NAME)))
            }
            None => Ok(()),
        }
    }
}

/// Writes a file beside its place and renames it into it.
pub(super) fn replace_file(
    folder: &Path,
    name: &str,
    bytes: &[u8],
    durability: Durability,
) -> io::Result<()> {
    let beside = folder.join(format!("{name}.new"));
    let mut file = File::create(&beside)?;
    file.write_all(bytes)?;
    if durability == Durability::Synced {
        file.sync_all()?;
    }
    drop(file);
    patiently(|| fs::rename(&beside, folder.join(name)))?;
    if durability == Durability::Synced { sync_folder(folder) } else { Ok(()) }
}

/// A rename is on the disk once its folder is.
#[cfg(unix)]
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Windows keeps renames in the journal of its file system; a folder cannot be synced there.
#[cfg(not(unix))]
pub(super) fn sync_folder(_: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On Windows, and under wine, a rename onto a file that is still open can be refused.
    #[test]
    fn a_growing_file_that_was_replaced_grows_on() {
        let folder = std::env::temp_dir().join(format!("tautline-store-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder of our own");
        for which in RecordFile::GROWING {
            File::create(folder.join(which.name())).expect("a new file");
        }
        let mut store = FolderStore::open(&folder, Durability::Unsynced).expect("held by us alone");
        store.append(RecordFile::Trials, b"one\n").expect("room for four letters");
        store.replace(RecordFile::Trials, b"other\n").expect("nobody else holds it");
        store.append(RecordFile::Trials, b"two\n").expect("open again");
        assert_eq!(store.read(RecordFile::Trials).expect("it is there"), b"other\ntwo\n");
        drop(store);
        fs::remove_dir_all(&folder).expect("no file of it is open");
    }
}
