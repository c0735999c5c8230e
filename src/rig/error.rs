//! What can go wrong with saved rigs, each with its path.

use crate::words::{Tell, Told};
use std::io;
use std::path::{Path, PathBuf};

/// A rig could not be kept or read.
#[derive(Debug, thiserror::Error)]
pub enum RigError {
    /// The system refused.
    #[error("cannot {doing} this file or folder: {source}")]
    Io {
        /// What was tried, as a verb.
        doing: &'static str,
        /// With which file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A profile does not read.
    #[error("this rig profile does not read: {source}")]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: serde_json::Error,
    },
    /// A profile of another format.
    #[error("this rig profile has format {found}; this program reads format {}", super::FORMAT)]
    Format {
        /// The file.
        path: PathBuf,
        /// Its number; 0 where it has none.
        found: u64,
    },
}

impl RigError {
    pub(super) fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> RigError {
        move |source| RigError::Io { doing, path: path.to_owned(), source }
    }
}

impl Tell for RigError {
    fn tell(&self) -> Told {
        let (path, mend) = match self {
            RigError::Io { path, .. } => {
                (path, "allow it there, or choose another folder with --data")
            }
            RigError::Unreadable { path, .. } => {
                (path, "move this file away, and make a new one: tautline rig")
            }
            RigError::Format { path, .. } => {
                (path, "use the program that wrote it, or make a new one: tautline rig")
            }
        };
        let place = Some(path.display().to_string());
        Told { what: self.to_string(), place, mend: mend.to_owned() }
    }
}
