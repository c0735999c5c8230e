//! Why sessions cannot be compared, and how to mend it.

use crate::analysis::CompareError;
use crate::analysis::looks::LooksError;
use crate::words::{Tell, Told, held_elsewhere};
use std::path::PathBuf;

/// Why there are no findings.
#[derive(Debug, thiserror::Error)]
pub enum FindingsError {
    /// No session was named.
    #[error("no session was given")]
    NoSession,
    /// The same session twice.
    #[error("the session {session} was given twice")]
    SameSessionTwice {
        /// Its folder name.
        session: String,
    },
    /// Sessions of several players.
    #[error("{session} is a session of {player}, the first one of {first_player}")]
    OtherPlayer {
        /// The folder name of the one that differs.
        session: String,
        /// Its player's id.
        player: String,
        /// The first session's player.
        first_player: String,
    },
    /// Sessions of several protocols, or of versions of one.
    #[error(
        "{session} ran the protocol {protocol}, which is not the first session's {first_protocol}"
    )]
    OtherProtocol {
        /// The folder name of the one that differs.
        session: String,
        /// Its protocol's id.
        protocol: String,
        /// The first session's protocol.
        first_protocol: String,
    },
    /// Invented and real presses together.
    #[error("{session} and the first session are not both simulated or both real")]
    SimulatedAndReal {
        /// The folder name of the one that differs.
        session: String,
    },
    /// The model could not be worked out.
    #[error("the comparison could not be worked out: {0}")]
    Analysis(#[from] CompareError),
    /// The level of a look could not be worked out.
    #[error("the level of a look could not be worked out: {0}")]
    Looks(#[from] LooksError),
    /// Looks over sessions that cannot be.
    #[error("looks after {} sessions of {} cannot be", listed(looks), sessions.map_or("no declared number".to_owned(), |n| n.to_string()))]
    SessionLooks {
        /// After how many sessions.
        looks: Vec<usize>,
        /// How many were declared.
        sessions: Option<usize>,
    },
    /// A file could not be written.
    #[error("{} cannot be written: {source}", path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A picture could not be made.
    #[error("the picture of {width_px} x {height_px} px could not be made: {reason}")]
    Picture {
        /// Width, px.
        width_px: u32,
        /// Height, px.
        height_px: u32,
        /// What the painter said.
        reason: String,
    },
}

fn listed(looks: &[usize]) -> String {
    looks.iter().map(usize::to_string).collect::<Vec<_>>().join(", ")
}

impl Tell for FindingsError {
    fn tell(&self) -> Told {
        let mend = match self {
            FindingsError::NoSession => "name at least one session folder",
            FindingsError::SameSessionTwice { .. } => "name each session folder once",
            FindingsError::OtherPlayer { .. } => {
                "give the sessions of one player together; those of players who agreed to be compared \
                 with --players-agreed"
            }
            FindingsError::OtherProtocol { .. } => {
                "give sessions of one and the same protocol file together; ask for the others by \
                 themselves"
            }
            FindingsError::SimulatedAndReal { .. } => {
                "ask for simulated and real sessions separately"
            }
            FindingsError::Analysis(_) => {
                "look whether schedule.csv and trials.csv belong together: the blocks are not those of the plan"
            }
            FindingsError::Looks(_) => {
                "look whether protocol.toml is the file that the session was recorded with"
            }
            FindingsError::SessionLooks { .. } => {
                "write --session-looks in rising order, from 5 (fewer sessions tell too little) to below \
                 --sessions-declared: --sessions-declared 8 --session-looks 5,6"
            }
            FindingsError::Write { source, .. } if held_elsewhere(source).is_some() => {
                held_elsewhere(source).unwrap_or_default()
            }
            FindingsError::Write { .. } => {
                "check that the folder exists, may be written and has room, and that no other program \
                 shows the file; or name another folder with --out"
            }
            FindingsError::Picture { .. } => "free some memory and try again",
        };
        let place = match self {
            FindingsError::Write { path, .. } => Some(path.display().to_string()),
            FindingsError::SameSessionTwice { session }
            | FindingsError::OtherPlayer { session, .. }
            | FindingsError::OtherProtocol { session, .. }
            | FindingsError::SimulatedAndReal { session } => Some(session.clone()),
            FindingsError::NoSession => Some("FOLDER".to_owned()),
            FindingsError::Analysis(_) => Some("the session's blocks".to_owned()),
            FindingsError::Looks(_) => Some("analysis.looks".to_owned()),
            FindingsError::SessionLooks { .. } => Some("--session-looks".to_owned()),
            FindingsError::Picture { .. } => Some("the picture".to_owned()),
        };
        Told { what: self.to_string(), place, mend: mend.to_owned() }
    }
}
