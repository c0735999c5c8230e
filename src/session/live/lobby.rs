//! The window before the first block and after the last: the surface is lent screen by screen.

use super::error::LiveError;
use crate::clock::Bell;
use crate::display::Stage;
use crate::window::{Facts, FromMain, MainHandle, Reply, Screenful, Show};
use crate::words::Told;
use std::sync::mpsc::{Receiver, RecvError};

/// The window outside the engine's course: before the first block and after the last.
pub(super) struct Lobby {
    /// The surface, while nobody else has it.
    pub(super) stage: Option<Stage>,
    pub(super) from_main: Option<Receiver<FromMain>>,
    pub(super) main: MainHandle,
    pub(super) bell: Bell,
}

impl Lobby {
    /// Shows a screen and waits for its reply.
    pub(super) fn ask(&mut self, show: Show, facts: &Facts) -> Result<Reply, LiveError> {
        let (Some(stage), Some(from_main)) = (self.stage.take(), &self.from_main) else {
            return Err(LiveError::WindowGone);
        };
        self.main.lend(stage, Screenful { show, facts: facts.clone() });
        let (stage, reply) = returned(from_main)?;
        self.stage = Some(stage);
        Ok(reply)
    }

    /// Tells of an error, where the surface is still there.
    pub(super) fn say(&mut self, told: Told, facts: &Facts) -> Result<(), LiveError> {
        if self.stage.is_some() {
            self.ask(Show::Notice(told), facts)?;
        }
        Ok(())
    }
}

/// Waits until a lent surface comes back.
///
/// # Errors
/// The window went away.
pub fn returned(from_main: &Receiver<FromMain>) -> Result<(Stage, Reply), LiveError> {
    loop {
        let told = from_main.recv().map_err(|RecvError| LiveError::WindowGone)?;
        // Nothing is timed yet, and a lent screen tells of a close by its reply.
        if let Some(back) = told.returned() {
            return Ok(back);
        }
    }
}
