//! What lies in a folder, and what a table's columns are: read beside the window by the clerk.

use super::chooser::{TABLE_ENDINGS, Want};
use crate::exchange::{Guess, Mapping, guess};
use std::path::{Path, PathBuf};

/// A folder as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Listing {
    /// What is being chosen.
    pub(super) want: Want,
    /// The folder.
    pub(super) at: PathBuf,
    /// Folders inside it, sorted.
    pub(super) folders: Vec<PathBuf>,
    /// Tables inside it, sorted, where a table is being chosen.
    pub(super) tables: Vec<PathBuf>,
    /// Why it does not read.
    pub(super) fault: Option<String>,
}

impl Listing {
    /// Reads `folder`; without one, or where it is none, the home folder.
    pub(super) fn of(want: Want, folder: Option<PathBuf>) -> Listing {
        let folder = folder.filter(|folder| folder.is_dir()).or_else(std::env::home_dir);
        let at = folder.unwrap_or_else(|| PathBuf::from(std::path::MAIN_SEPARATOR_STR));
        let mut listing =
            Listing { want, at, folders: Vec::new(), tables: Vec::new(), fault: None };
        match std::fs::read_dir(&listing.at) {
            Ok(entries) => {
                for path in entries.flatten().map(|entry| entry.path()) {
                    if name(&path).starts_with('.') {
                        continue;
                    }
                    if path.is_dir() {
                        listing.folders.push(path);
                    } else if want == Want::Table && is_table(&path) {
                        listing.tables.push(path);
                    }
                }
                listing.folders.sort();
                listing.tables.sort();
            }
            Err(error) => listing.fault = Some(error.to_string()),
        }
        listing
    }
}

/// The columns of the table in `file`; none where no table reads there.
pub(super) fn columns(file: &Path, mappings: &[Mapping]) -> Option<Guess> {
    // A device or a pipe might never end.
    if !file.is_file() {
        return None;
    }
    std::fs::read(file).ok().and_then(|bytes| guess(&bytes, mappings))
}

/// The last part of a path.
pub(super) fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn is_table(path: &Path) -> bool {
    let ending = path.extension().and_then(|ending| ending.to_str()).map(str::to_lowercase);
    ending.is_some_and(|ending| TABLE_ENDINGS.contains(&ending.as_str()))
}
