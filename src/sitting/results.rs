//! What one or more sessions found, worked out from their folders, and written beside them.

use super::{Trouble, source};
use crate::findings::files::{self, FOLDER};
use crate::findings::input::SessionData;
use crate::findings::{self, Findings, sentence};
use crate::record::{self, Session};
use std::path::{Path, PathBuf};

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The finding in one sentence.
    pub sentence: String,
    /// The report.
    pub report: PathBuf,
}

/// Works the findings of `folders` out, of one player.
///
/// # Errors
/// A folder that does not read, a record that was changed, or sessions that do not belong together.
pub fn work_out(folders: &[PathBuf]) -> Result<Findings, Trouble> {
    work_out_as(folders, findings::Asked::default())
}

/// Works the findings of `folders` out as `asked`.
///
/// # Errors
/// As [`work_out`].
pub fn work_out_as(folders: &[PathBuf], asked: findings::Asked) -> Result<Findings, Trouble> {
    // Opening a folder reads and checks every file of it: many folders are read on all cores.
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let share = folders.len().div_ceil(cores).max(1);
    let parts: Vec<Result<Vec<SessionData>, Trouble>> = std::thread::scope(|scope| {
        let started: Vec<_> = folders
            .chunks(share)
            .map(|part| scope.spawn(move || part.iter().map(|folder| opened(folder)).collect()))
            .collect();
        let ended = started.into_iter().map(|part| match part.join() {
            Ok(part) => part,
            Err(panic) => std::panic::resume_unwind(panic),
        });
        ended.collect()
    });
    let mut sessions = Vec::with_capacity(folders.len());
    for part in parts {
        sessions.extend(part?);
    }
    Ok(findings::work_out_as(sessions, asked)?)
}

/// A session as the findings see it.
fn opened(folder: &Path) -> Result<SessionData, Trouble> {
    let session = open(folder)?;
    let protocol = source::recorded(&session)?;
    Ok(findings::session_data(&session, &protocol))
}

/// Opens a session that is as it was recorded.
///
/// # Errors
/// A folder that does not read, or a record that was changed.
pub fn open(folder: &Path) -> Result<Session, Trouble> {
    let session = record::open(folder)?;
    if let Some(file) = session.changed.first() {
        return Err(Trouble::one(
            format!("{} has changed since the session was closed", file.name()),
            Some(folder.display().to_string()),
            "use the folder as it was recorded; tautline replay FOLDER says what differs"
                .to_owned(),
        ));
    }
    Ok(session)
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
