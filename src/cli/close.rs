//! `close`: ends a session that was cut off, as partial.

use super::out::{Failure, say, warn};
use crate::record;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  tautline close FOLDER     nothing is lost; findings use the blocks that have enough trials

To go on with it instead: tautline run --resume FOLDER")]
pub(super) struct Arguments {
    /// The session's folder
    folder: PathBuf,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let mended = record::close_partial(&arguments.folder)?;
    let cut = mended.trials_bytes + mended.ratings_bytes + mended.events_bytes;
    if cut > 0 {
        warn(&format!("{cut} bytes of what was being written when it broke off were left out"));
    }
    say(&arguments.folder.display().to_string())?;
    Ok(ExitCode::SUCCESS)
}
