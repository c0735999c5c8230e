//! What can go wrong with a session folder, each with the path it is about.
//!
//! Nothing is swallowed here: whoever gets one of these tells it, and what was written before it
//! stays on the disk.

use crate::words::{Tell, Told, held_elsewhere};
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// A session folder could not be made, written, read or erased.
#[derive(Debug, Error)]
pub enum RecordError {
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
    /// An earlier write failed, so nothing more is written.
    #[error("the record of {} stopped at an earlier error", folder.display())]
    Stopped {
        /// The session folder.
        folder: PathBuf,
    },
    /// Another run holds the folder.
    #[error("{} is in use by another run", folder.display())]
    InUse {
        /// The session folder.
        folder: PathBuf,
    },
    /// The session has ended and takes no more trials.
    #[error("{} has ended", folder.display())]
    Ended {
        /// The session folder.
        folder: PathBuf,
    },
    /// A file of a stopped session is not what it was at the stop.
    #[error("{file} in {} was changed since the session was stopped", folder.display())]
    Changed {
        /// The session folder.
        folder: PathBuf,
        /// The file.
        file: &'static str,
    },
    /// No session stands there.
    #[error("{} is not a session folder: it has no {missing}", folder.display())]
    NotASession {
        /// The folder.
        folder: PathBuf,
        /// The first file that is missing.
        missing: &'static str,
    },
    /// Written by a newer program.
    #[error("{} has format {found}; this program reads up to {known}", path.display())]
    NewerFormat {
        /// The file.
        path: PathBuf,
        /// Its format number.
        found: u32,
        /// The newest that is known here.
        known: u32,
    },
    /// A JSON file does not read.
    #[error("{}: {source}", path.display())]
    Json {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: serde_json::Error,
    },
    /// A table does not read.
    #[error("{}: {source}", path.display())]
    Table {
        /// The file.
        path: PathBuf,
        /// Where and why.
        source: csv::Error,
    },
    /// `events.bin` does not read at all.
    #[error("{}: {source}", path.display())]
    Events {
        /// The file.
        path: PathBuf,
        /// Why.
        source: super::events::EventsError,
    },
    /// A text file is not UTF-8.
    #[error("{}: not UTF-8 from byte {offset}", path.display())]
    NotText {
        /// The file.
        path: PathBuf,
        /// The first byte that is not.
        offset: usize,
    },
}

impl RecordError {
    /// Wraps what the system said with what was tried and where.
    pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(io::Error) -> RecordError {
        move |source| RecordError::Io { doing, path: path.to_owned(), source }
    }

    /// Whether the disk (or the player's share of it) is full.
    pub fn disk_full(&self) -> bool {
        match self {
            RecordError::Io { source, .. } => {
                matches!(source.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded)
            }
            _ => false,
        }
    }
}

impl Tell for RecordError {
    fn tell(&self) -> Told {
        let place = |path: &Path| Some(path.display().to_string());
        let told = |what: String, place, mend: &str| Told { what, place, mend: mend.to_owned() };
        match self {
            RecordError::Io { path, .. } if self.disk_full() => told(
                "the disk is full".to_owned(),
                place(path),
                "free some room, or choose another folder with --data; what was written is kept",
            ),
            RecordError::Io { doing, path, source } if held_elsewhere(source).is_some() => told(
                format!("cannot {doing} this file or folder: {source}"),
                place(path),
                held_elsewhere(source).unwrap_or_default(),
            ),
            RecordError::Io { path, source, doing: "read" | "list" } => told(
                format!("cannot read this file or folder: {source}"),
                place(path),
                "look at its spelling, and that it may be read",
            ),
            RecordError::Io { doing, path, source } => told(
                format!("cannot {doing} this file or folder: {source}"),
                place(path),
                "allow writing there, close other programs that show it, or choose another folder with \
                 --data; what was written is kept",
            ),
            RecordError::Stopped { folder } => told(
                "the record stopped at an earlier error".to_owned(),
                place(folder),
                "what was written before it is kept: open the session again to go on or close it",
            ),
            RecordError::InUse { folder } => told(
                "this session is in use by another run".to_owned(),
                place(folder),
                "end the other run first",
            ),
            RecordError::Ended { folder } => {
                told("this session has ended".to_owned(), place(folder), "start a new session")
            }
            RecordError::Changed { folder, file } => told(
                format!("{file} was changed since this session was stopped"),
                place(folder),
                "put the file back as it was, or start a new session",
            ),
            RecordError::NotASession { folder, missing } => told(
                format!("this is not a session folder: it has no {missing}"),
                place(folder),
                "give the folder that holds manifest.json",
            ),
            RecordError::NewerFormat { path, found, known } => told(
                format!("this file has format {found}; this program reads up to {known}"),
                place(path),
                "use a newer version of the program",
            ),
            RecordError::Json { path, source } => told(
                format!("this file does not read: {source}"),
                place(path),
                "put back the file as it was written",
            ),
            RecordError::Table { path, source } => told(
                format!("this table does not read: {source}"),
                place(path),
                "put back the file as it was written",
            ),
            RecordError::Events { path, source } => told(
                format!("the events do not read: {source}"),
                place(path),
                "put back the file as it was written",
            ),
            RecordError::NotText { path, offset } => told(
                format!("this file is not text (UTF-8) from byte {offset}"),
                place(path),
                "put back the file as it was written",
            ),
        }
    }
}
