//! Which mice there are and which source would be used: for a person who asks before a session.
//!
//! Opens what it can and lets go of it at once; hears nothing.

use super::DeviceInfo;
use super::choice::{InputChoice, Reason, Refusal};
use super::devices::Devices;
use crate::units::StampSource;
use serde::Serialize;
use std::sync::Arc;

/// A mouse as one source sees it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SurveyedMouse {
    /// The source.
    pub source: StampSource,
    /// The mouse; its ident is what `--mouse` takes with this source.
    pub info: DeviceInfo,
}

/// Whether a source can be used now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SourceState {
    /// Which.
    pub source: StampSource,
    /// The word for `--input`.
    pub choice: InputChoice,
    /// Why not, if not.
    pub refused: Option<Refusal>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Survey {
    /// The mice, by source.
    pub mice: Vec<SurveyedMouse>,
    /// The sources of this program on this system, the best first.
    pub sources: Vec<SourceState>,
    /// The one that `--input auto` would take.
    pub chosen: StampSource,
}

/// The sources that this system can have, the best first.
pub(super) const OF_THIS_SYSTEM: &[StampSource] = if cfg!(target_os = "linux") {
    &[StampSource::Evdev, StampSource::WaylandPointer, StampSource::Xinput, StampSource::Window]
} else if cfg!(windows) {
    &[StampSource::RawInput, StampSource::Window]
} else {
    &[StampSource::Window]
};

/// Looks at every source, the best first.
pub fn survey() -> Survey {
    let mut mice = Vec::new();
    let mut sources = Vec::new();
    for &source in OF_THIS_SYSTEM {
        let choice = match source {
            StampSource::Evdev => InputChoice::Evdev,
            StampSource::WaylandPointer => InputChoice::Wayland,
            StampSource::Xinput => InputChoice::Xinput,
            StampSource::RawInput => InputChoice::RawInput,
            _ => InputChoice::Window,
        };
        let devices = Arc::new(Devices::default());
        let tried = attempt(source, &devices);
        mice.extend(devices.all().into_iter().map(|info| SurveyedMouse { source, info }));
        let refused = tried.err().map(|reason| Refusal::new(source, &reason));
        sources.push(SourceState { source, choice, refused });
    }
    let chosen = sources.iter().find(|state| state.refused.is_none());
    let chosen = chosen.map_or(StampSource::Window, |state| state.source);
    Survey { mice, sources, chosen }
}

#[cfg(target_os = "linux")]
fn attempt(source: StampSource, devices: &Arc<Devices>) -> Result<(), Reason> {
    use super::{evdev, hands, mice, wayland, xinput};
    use crate::units::MotionUnit;
    match source {
        StampSource::Evdev => {
            let there = mice::mice()?;
            // All of them are listed, also those behind the one that may not be read.
            for mouse in &there {
                devices.enter(mouse.identity.clone(), MotionUnit::Counts, 1);
            }
            if there.is_empty() {
                return Err(Reason::NoMouse);
            }
            there.iter().try_for_each(evdev::try_open)
        }
        StampSource::WaylandPointer if !hands::window_is_wayland() => Err(Reason::NoWaylandWindow),
        StampSource::WaylandPointer => wayland::Wayland::look(Arc::clone(devices)),
        StampSource::Xinput => {
            let opened = xinput::Xinput::open(Arc::clone(devices), None).map(drop);
            if opened.is_ok() && hands::window_is_wayland() {
                return Err(Reason::WaylandWindow);
            }
            opened
        }
        _ => Ok(()),
    }
}

#[cfg(windows)]
fn attempt(source: StampSource, devices: &Arc<Devices>) -> Result<(), Reason> {
    use super::rawinput::RawInput;
    match source {
        // Whether the registration is taken is seen at the session's start alone: taking it twice
        // would take it away from a session that runs.
        StampSource::RawInput => RawInput::open(Arc::clone(devices), None).map(drop),
        _ => Ok(()),
    }
}

/// The window's events need nothing of the system.
#[cfg(not(any(target_os = "linux", windows)))]
fn attempt(_source: StampSource, _devices: &Arc<Devices>) -> Result<(), Reason> {
    Ok(())
}
