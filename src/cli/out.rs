//! What a command writes, and how it fails: results on stdout, the three lines of an error on
//! stderr.

use crate::sitting::Trouble;
use crate::words::{Tell, Told};
use std::fmt;
use std::io::{self, Write};
use std::process::ExitCode;

/// The session ended before its last block.
pub(super) const ENDED_EARLY: u8 = 3;

/// Why a command could not be done.
#[derive(Debug, Clone)]
pub(super) enum Failure {
    /// One or more things to be told.
    Told(Vec<Told>),
    /// The output was closed by its reader (a pipe): no fault.
    Closed,
}

impl Failure {
    /// Writes the failure to stderr and gives the exit code.
    pub(super) fn report(self) -> ExitCode {
        match self {
            Failure::Told(list) => {
                for told in list {
                    warn(&told.to_string());
                }
                ExitCode::from(1)
            }
            Failure::Closed => ExitCode::SUCCESS,
        }
    }
}

/// As the box shows it, where nobody reads stderr.
impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Told(list) => list.iter().try_for_each(|told| writeln!(f, "{told}")),
            Failure::Closed => Ok(()),
        }
    }
}

impl From<Trouble> for Failure {
    fn from(Trouble(list): Trouble) -> Failure {
        Failure::Told(list)
    }
}

impl<T: Tell> From<T> for Failure {
    fn from(fault: T) -> Failure {
        Failure::Told(vec![fault.tell()])
    }
}

/// Writes a line to stdout.
pub(super) fn say(line: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    writeln!(out, "{line}").and_then(|()| out.flush()).map_err(|source| {
        if source.kind() == io::ErrorKind::BrokenPipe {
            Failure::Closed
        } else {
            Failure::Told(vec![Told {
                what: format!("the output cannot be written: {source}"),
                place: Some("stdout".to_owned()),
                mend: "look at where the output is sent".to_owned(),
            }])
        }
    })
}

/// Writes a line to stderr. If even that is closed, nobody is listening and nothing is left to do.
pub(super) fn warn(line: &str) {
    let _closed = writeln!(io::stderr().lock(), "{line}");
}

/// Tells of what does not end the command.
pub(super) fn told(Trouble(list): Trouble) {
    list.iter().for_each(|told| warn(&told.to_string()));
}

/// Writes a value as JSON to stdout.
pub(super) fn say_json(value: &serde_json::Value) -> Result<(), Failure> {
    say(&format!("{value:#}"))
}
