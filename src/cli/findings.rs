//! `findings`: works out what one or more sessions found.

use super::out::{Failure, say};
use super::source;
use crate::findings::files::{self, FOLDER};
use crate::findings::json::FindingsJson;
use crate::findings::{self, Findings, sentence};
use crate::record;
use crate::words::Told;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline findings FOLDER                   writes FOLDER/findings/, prints the sentence and the report's path
  tautline findings FOLDER FOLDER --out both several sessions of one player and one protocol together
  tautline findings FOLDER --json            the numbers, as findings.json has them, and writes nothing

The session itself is never changed.")]
pub(super) struct Arguments {
    /// Session folders
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Where the files go (default: findings/ in the session, or in the last one of several)
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON object and write nothing
    #[arg(long)]
    json: bool,
}

/// What was written.
pub(super) struct Written {
    /// The finding in one sentence.
    pub(super) sentence: String,
    /// The report.
    pub(super) report: PathBuf,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    if arguments.json {
        let findings = work_out(&arguments.folders)?;
        say(FindingsJson::of(&findings).text().trim_end())?;
        return Ok(ExitCode::SUCCESS);
    }
    let written = write(&arguments.folders, arguments.out.as_deref())?;
    say(&written.sentence)?;
    say(&written.report.display().to_string())?;
    Ok(ExitCode::SUCCESS)
}

/// Works the findings of `folders` out.
pub(super) fn work_out(folders: &[PathBuf]) -> Result<Findings, Failure> {
    let mut sessions = Vec::new();
    for folder in folders {
        let session = record::open(folder)?;
        if let Some(file) = session.changed.first() {
            return Err(Failure::Told(vec![Told {
                what: format!("{} has changed since the session was closed", file.name()),
                place: Some(folder.display().to_string()),
                mend: "use the folder as it was recorded; tautline replay FOLDER says what differs"
                    .to_owned(),
            }]));
        }
        let protocol = source::recorded(&session)?;
        sessions.push(findings::session_data(&session, &protocol));
    }
    Ok(findings::work_out(sessions)?)
}

/// Works the findings of `folders` out and writes them.
pub(super) fn write(folders: &[PathBuf], out: Option<&Path>) -> Result<Written, Failure> {
    let findings = work_out(folders)?;
    let folder = match (out, folders.last()) {
        (Some(out), _) => out.to_path_buf(),
        (None, Some(last)) => last.join(FOLDER),
        (None, None) => PathBuf::from(FOLDER),
    };
    let written = files::write_all(&findings, &folder)?;
    Ok(Written { sentence: sentence::headline(&findings), report: written.report })
}
