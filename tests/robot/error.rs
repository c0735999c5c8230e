//! What can go wrong for the robot.
//!
//! Every one of these ends it: a robot that goes on half blind tells no truth.

use std::path::PathBuf;
use x11rb::errors::{ConnectError, ConnectionError, ReplyError, ReplyOrIdError};

/// Why the robot stopped.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RobotError {
    #[error("no X server: {0}")]
    Connect(#[from] ConnectError),
    #[error("the X server is gone: {0}")]
    Gone(#[from] ConnectionError),
    #[error("the X server refused: {0}")]
    Refused(#[from] ReplyError),
    #[error("the X server refused: {0}")]
    NoId(#[from] ReplyOrIdError),
    #[error("the shared memory cannot be read: {source}")]
    Memory { source: std::io::Error },
    #[error("{path} cannot be written: {source}")]
    Truth { path: PathBuf, source: std::io::Error },
    #[error("the screen has {bits} bits a pixel; the robot reads 32")]
    Depth { bits: u8 },
    #[error("no window came within {seconds} s")]
    NoWindow { seconds: u64 },
}
