//! Writes the manual pages and the completions of shells into a folder, from the command line itself.
//!
//! usage: cargo run --example papers -- FOLDER

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use clap_complete::Shell;

fn main() -> io::Result<()> {
    let wrong = || io::Error::new(io::ErrorKind::InvalidInput, "usage: papers FOLDER");
    let folder = PathBuf::from(env::args_os().nth(1).ok_or_else(wrong)?);
    manual(&folder.join("man"))?;
    completions(&folder.join("completions"))
}

/// One page for the program and one for each command, as `tautline-run.1`.
fn manual(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    clap_mangen::generate_to(tautline::cli::command(), folder)
}

fn completions(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    for shell in [Shell::Bash, Shell::Zsh, Shell::Fish, Shell::PowerShell] {
        clap_complete::generate_to(shell, &mut tautline::cli::command(), "tautline", folder)?;
    }
    Ok(())
}
