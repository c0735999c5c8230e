//! What one or more sessions found, worked out from their folders, and written beside them.

use super::{Trouble, source};
use crate::findings::files::{self, FOLDER};
use crate::findings::{self, Findings, sentence};
use crate::record;
use std::path::{Path, PathBuf};

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The finding in one sentence.
    pub sentence: String,
    /// The report.
    pub report: PathBuf,
}

/// Works the findings of `folders` out.
///
/// # Errors
/// A folder that does not read, a record that was changed, or sessions that do not belong together.
pub fn work_out(folders: &[PathBuf]) -> Result<Findings, Trouble> {
    let mut sessions = Vec::new();
    for folder in folders {
        let session = record::open(folder)?;
        if let Some(file) = session.changed.first() {
            return Err(Trouble::one(
                format!("{} has changed since the session was closed", file.name()),
                Some(folder.display().to_string()),
                "use the folder as it was recorded; tautline replay FOLDER says what differs"
                    .to_owned(),
            ));
        }
        let protocol = source::recorded(&session)?;
        sessions.push(findings::session_data(&session, &protocol));
    }
    Ok(findings::work_out(sessions)?)
}

/// Works the findings of `folders` out and writes them into `findings/` of the last.
///
/// # Errors
/// As [`work_out`]; or the files cannot be written.
pub fn write(folders: &[PathBuf]) -> Result<Written, Trouble> {
    write_out(&work_out(folders)?, folders, None)
}

/// Writes `findings` into `out`, or into `findings/` of the last of `folders`.
///
/// # Errors
/// The files cannot be written.
pub fn write_out(
    findings: &Findings,
    folders: &[PathBuf],
    out: Option<&Path>,
) -> Result<Written, Trouble> {
    let folder = match (out, folders.last()) {
        (Some(out), _) => out.to_path_buf(),
        (None, Some(last)) => last.join(FOLDER),
        (None, None) => PathBuf::from(FOLDER),
    };
    let written = files::write_all(findings, &folder)?;
    Ok(Written { sentence: sentence::headline(findings), report: written.report })
}
