//! The rig check, as the command line and the window start it, and how the rig stands.

use super::{Trouble, machine, source};
use crate::input::InputChoice;
use crate::protocol::{self, Protocol};
use crate::record::{self, RigNote};
use crate::rig::known;
use crate::session::live::RigPlan;
use crate::window::Facts;
use crate::words::rig as words;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a check of everything needs.
///
/// # Errors
/// The profile before does not read.
pub fn plan(data: PathBuf, input: InputChoice, mouse: Option<String>) -> Result<RigPlan, Trouble> {
    Ok(RigPlan {
        before: known::profile_before(&data)?,
        data,
        input,
        mouse,
        with_mouse: true,
        machine: machine::machine(),
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
    })
}

/// What the check's screens say of a session: only the title at their head.
///
/// # Errors
/// The shipped protocol does not read.
pub fn facts() -> Result<Facts, Trouble> {
    let shipped = source::load("first-look")?.protocol;
    let protocol = Protocol { title: words::TITLE.to_owned(), ..shipped };
    let schedule = Arc::new(protocol::draw(&protocol, 0));
    Ok(Facts {
        protocol: Arc::new(protocol),
        schedule,
        player: String::new(),
        minutes_left: None,
        sources: String::new(),
        timing: "",
        simulated: false,
        force: None,
    })
}

/// How the rig stands before a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// It was never checked.
    Never,
    /// It was checked, and the last session found it as it was.
    Checked {
        /// The profile's name, which begins with the day.
        profile: String,
    },
    /// It was checked, and the last session found something else.
    Changed {
        /// The profile's name.
        profile: String,
        /// What is another, a line each.
        changes: Vec<String>,
    },
}

/// How the rig under `data` stands.
///
/// # Errors
/// The newest profile or the newest session does not read.
pub fn standing(data: &Path) -> Result<Standing, Trouble> {
    let Some(newest) = known::profile_before(data)? else { return Ok(Standing::Never) };
    let profile = newest.name;
    let changes = match last_note(data)? {
        Some(note) if note.profile.as_ref() == Some(&profile) => note.changed_since_profile,
        // A session before that profile tells nothing of it.
        Some(_) | None => Vec::new(),
    };
    if changes.is_empty() {
        Ok(Standing::Checked { profile })
    } else {
        Ok(Standing::Changed { profile, changes })
    }
}

/// What the newest real session noted of its rig.
fn last_note(data: &Path) -> Result<Option<RigNote>, Trouble> {
    let mut folders = record::sessions(data)?;
    // Their names begin with the date.
    folders.sort_by(|a, b| a.file_name().cmp(&b.file_name()));
    while let Some(folder) = folders.pop() {
        let manifest = record::open(&folder)?.manifest;
        if !manifest.simulated {
            return Ok(manifest.rig);
        }
    }
    Ok(None)
}
