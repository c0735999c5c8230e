//! Why a session for real could not be run, or broke off.

use crate::display::DisplayError;
use crate::input::force::ForceError;
use crate::input::{GamepadError, InputError};
use crate::record::RecordError;
use crate::rig::RigError;
use crate::words::{Tell, Told};

/// Why a session could not be run, or broke off.
#[derive(Debug, thiserror::Error)]
pub enum LiveError {
    /// No mouse can be heard.
    #[error(transparent)]
    Input(#[from] InputError),
    /// No gamepad can be heard.
    #[error(transparent)]
    Gamepads(#[from] GamepadError),
    /// The player's force axis cannot be heard.
    #[error(transparent)]
    Force(#[from] ForceError),
    /// The screen cannot be used.
    #[error(transparent)]
    Display(#[from] DisplayError),
    /// The record cannot be written.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// The rig's profile cannot be kept.
    #[error(transparent)]
    Rig(#[from] RigError),
    /// The window went away.
    #[error("the window went away")]
    WindowGone,
}

impl Tell for LiveError {
    fn tell(&self) -> Told {
        match self {
            LiveError::Input(error) => error.tell(),
            LiveError::Gamepads(error) => Told {
                what: error.to_string(),
                place: Some("--gamepad-answers".to_owned()),
                mend: "answer with the mouse".to_owned(),
            },
            LiveError::Force(error) => Told {
                what: error.to_string(),
                place: Some("the player's force axis".to_owned()),
                mend: "plug it in, or forget it with `tautline force --player NAME --off`"
                    .to_owned(),
            },
            LiveError::Display(error) => error.tell(),
            LiveError::Record(error) => error.tell(),
            LiveError::Rig(error) => error.tell(),
            LiveError::WindowGone => Told {
                what: self.to_string(),
                place: Some("the window".to_owned()),
                mend: "what was done until then is kept; start again to go on".to_owned(),
            },
        }
    }
}
