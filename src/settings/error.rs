//! What can go wrong with settings and player files, each with its path.

use crate::words::{Tell, Told};
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Settings or a player could not be read or kept.
#[derive(Debug, Error)]
pub enum SettingsError {
    /// The system names no home folder.
    #[error("no home folder: {source}")]
    NoHome {
        /// What the system said.
        source: etcetera::HomeDirError,
    },
    /// The system refused.
    #[error("cannot {doing} {}: {source}", path.display())]
    Io {
        /// What was tried, as a verb.
        doing: &'static str,
        /// With which file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file does not read.
    #[error("{}: {source}", path.display())]
    Toml {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: toml::de::Error,
    },
    /// A file could not be put into words.
    #[error("{}: {source}", path.display())]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// Why.
        source: toml::ser::Error,
    },
    /// A nickname with nothing in it.
    #[error("the nickname is empty")]
    NoNickname,
}

impl SettingsError {
    pub(super) fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> SettingsError {
        move |source| SettingsError::Io { doing, path: path.to_owned(), source }
    }
}

impl Tell for SettingsError {
    fn tell(&self) -> Told {
        let (what, place, mend) = match self {
            SettingsError::NoHome { .. } => (
                "the system names no home folder".to_owned(),
                "--data".to_owned(),
                "give a folder with --data",
            ),
            SettingsError::Io { path, source, .. }
                if matches!(
                    source.kind(),
                    io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded
                ) =>
            {
                (
                    "the disk is full".to_owned(),
                    path.display().to_string(),
                    "free some room, or choose another folder with --data",
                )
            }
            SettingsError::Io { doing, path, source } => (
                format!("cannot {doing} this file or folder: {source}"),
                path.display().to_string(),
                "allow it there, or choose another folder with --data",
            ),
            SettingsError::Toml { path, source } => (
                format!("this file does not read: {}", source.message()),
                path.display().to_string(),
                "mend it by hand, or remove it to start it anew",
            ),
            SettingsError::Unwritable { path, source } => (
                format!("this file cannot be written: {source}"),
                path.display().to_string(),
                "use plain numbers and text",
            ),
            SettingsError::NoNickname => (
                "the nickname is empty".to_owned(),
                "--player".to_owned(),
                "give at least one letter or digit",
            ),
        };
        Told { what, place: Some(place), mend: mend.to_owned() }
    }
}
