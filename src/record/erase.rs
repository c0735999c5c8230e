//! Erases a session or a player whole, which only the owner of the data may ask for.
//!
//! The folder is renamed first, so that a half-erased one is never taken for a session. Nothing is
//! erased in part, and nothing that another run holds.

use super::RecordError;
use super::files::RecordFile;
use super::open::folders;
use super::store::hold_lock;
use std::fs;
use std::path::{Path, PathBuf};

/// The file that makes a folder a player's.
const PLAYER_FILE: &str = "player.toml";

/// Erases a session with everything in it, findings too.
///
/// # Errors
/// [`RecordError::NotASession`] where none stands there, [`RecordError::InUse`] while a run holds
/// it, [`RecordError::Io`] where the system refuses.
pub fn erase_session(folder: &Path) -> Result<(), RecordError> {
    must_hold(folder, RecordFile::Manifest.name())?;
    refuse_in_use(folder)?;
    erase(folder)
}

/// Erases a player: the player's file and every session.
///
/// # Errors
/// As [`erase_session`]; where one session is in use, none is erased.
pub fn erase_player(home: &Path) -> Result<(), RecordError> {
    must_hold(home, PLAYER_FILE)?;
    for folder in folders(home)? {
        if folder.join(RecordFile::Manifest.name()).is_file() {
            refuse_in_use(&folder)?;
        }
    }
    erase(home)
}

fn must_hold(folder: &Path, name: &'static str) -> Result<(), RecordError> {
    if folder.join(name).is_file() {
        return Ok(());
    }
    Err(RecordError::NotASession { folder: folder.to_owned(), missing: name })
}

/// The lock is let go at once: Windows removes no folder with an open file in it.
fn refuse_in_use(folder: &Path) -> Result<(), RecordError> {
    hold_lock(folder).map(drop)
}

fn erase(folder: &Path) -> Result<(), RecordError> {
    let hidden = hidden_name(folder);
    fs::rename(folder, &hidden).map_err(RecordError::io("erase", folder))?;
    fs::remove_dir_all(&hidden).map_err(RecordError::io("erase", &hidden))
}

fn hidden_name(folder: &Path) -> PathBuf {
    let name = folder.file_name().unwrap_or_default().to_string_lossy();
    folder.with_file_name(format!(".erased-{name}"))
}
