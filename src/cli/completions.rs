//! `completions`: prints completions for a shell.

use super::out::{Failure, say};
use clap_complete::Shell;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Which shell
    shell: Shell,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let mut text = Vec::new();
    let mut command = super::command();
    clap_complete::generate(arguments.shell, &mut command, "tautline", &mut text);
    say(String::from_utf8_lossy(&text).trim_end())?;
    Ok(ExitCode::SUCCESS)
}
