//! `picture`: draws the picture for an audience, in both shapes.

use super::out::{Failure, say};
use crate::findings::files::{self, FOLDER};
use crate::findings::picture::Naming;
use crate::sitting::results::work_out;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline picture FOLDER                1920x1080 and 1080x1920, as PNG and SVG, without a name
  tautline picture FOLDER --name Ana --out ~/show")]
pub(super) struct Arguments {
    /// Session folders
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Where the files go (default: findings/ in the last session)
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// A name to show on the picture
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let findings = work_out(&arguments.folders)?;
    let folder = match (&arguments.out, arguments.folders.last()) {
        (Some(out), _) => out.clone(),
        (None, Some(last)) => last.join(FOLDER),
        (None, None) => PathBuf::from(FOLDER),
    };
    let naming = arguments.name.as_deref().map_or(Naming::Nobody, Naming::Player);
    for file in files::write_pictures(&findings, &folder, naming)? {
        say(&file.display().to_string())?;
    }
    Ok(ExitCode::SUCCESS)
}
