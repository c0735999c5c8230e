//! Finds a protocol: the id of a shipped one, or a file.

use super::Trouble;
use crate::protocol::{self, Protocol};
use crate::settings;
use crate::words::{Tell, Told};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A protocol with its text, which goes into the record as it is.
#[derive(Debug, Clone)]
pub struct Source {
    /// The protocol.
    pub protocol: Protocol,
    /// Its file, word for word.
    pub text: String,
}

/// Reads `asked`: a shipped id first, else a path.
///
/// # Errors
/// No such file, or every fault of the file.
pub fn load(asked: &str) -> Result<Source, Trouble> {
    let (name, text) = match protocol::shipped::find(asked) {
        Some(shipped) => (format!("{}.toml (shipped)", shipped.id), shipped.text.to_owned()),
        None => (asked.to_owned(), read_file(asked)?),
    };
    match protocol::read(&text, &name) {
        Ok(protocol) => Ok(Source { protocol, text }),
        Err(faults) => Err(Trouble(faults.iter().map(Tell::tell).collect())),
    }
}

fn read_file(asked: &str) -> Result<String, Trouble> {
    std::fs::read_to_string(asked).map_err(|source| {
        let known: Vec<_> = protocol::shipped::shipped().iter().map(|s| s.id).collect();
        let what = match source.kind() {
            io::ErrorKind::NotFound => {
                "there is no such file and no shipped protocol of this id".to_owned()
            }
            _ => format!("this file cannot be read: {source}"),
        };
        Trouble(vec![Told {
            what,
            place: Some(asked.to_owned()),
            mend: format!("give a path to a .toml file, or one of: {}", known.join(", ")),
        }])
    })
}

/// The data folder: as given, else as in the settings, else the platform's.
///
/// # Errors
/// The system names no home folder, or the settings do not read.
pub fn data_folder(given: Option<&Path>) -> Result<PathBuf, Trouble> {
    match given {
        Some(path) => Ok(path.to_path_buf()),
        None => match settings::load(&settings::settings_file()?)?.data {
            Some(kept) => Ok(kept),
            None => Ok(settings::data_dir()?),
        },
    }
}

/// A seed: as given, or from the clock (it only has to differ from session to session; the record
/// keeps it).
pub fn seed(given: Option<u64>) -> u64 {
    given.unwrap_or_else(|| {
        let ns = crate::clock::utc().as_nanosecond();
        u64::try_from(ns).unwrap_or_default()
    })
}

/// The protocol that a session was recorded under.
///
/// # Errors
/// Every fault of the session's protocol file.
pub fn recorded(session: &crate::record::Session) -> Result<Arc<Protocol>, Trouble> {
    let name = session.folder.join("protocol.toml").display().to_string();
    match protocol::read(&session.protocol_text, &name) {
        Ok(protocol) => {
            let of = &session.manifest;
            Ok(Arc::new(protocol::as_frozen(protocol, &of.rules_hash, of.analysis_version)))
        }
        Err(faults) => Err(Trouble(faults.iter().map(Tell::tell).collect())),
    }
}
