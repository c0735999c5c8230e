//! A pause: why, and what the player may do: go on, stop, or say that the hand hurts.

use super::Said;
use super::choices::Choices;
use super::keys::Pressed;
use super::names;
use super::page::{Page, title};
use crate::engine::{Answer, Key, PauseReason};
use crate::window::{Facts, Reply};
use crate::words::screens as words;
use egui::Ui;

/// A pause.
#[derive(Debug)]
pub(super) struct Pause {
    why: PauseReason,
    choices: Choices,
}

impl Pause {
    pub(super) fn new(why: PauseReason) -> Pause {
        Pause { why, choices: Choices::default() }
    }

    /// Draws the pause; what the player chose.
    pub(super) fn show(&mut self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<Said> {
        let go_on = Said::Reply(Reply::Answer(Answer::GoOn));
        if pressed.contains(&Pressed::Escape) {
            return Some(go_on);
        }
        let keys = [words::KEYS_PAUSE, words::KEYS_SESSION];
        let lines = [words::GO_ON, words::PAUSE_HURTS, words::PAUSE_STOP];
        let mut taken = None;
        Page { facts, block: None, primary: None, keys: &keys }.show(ui, None, |ui| {
            title(ui, words::PAUSE_TITLE);
            ui.label(names::pause(self.why));
            taken = self.choices.show(ui, &lines, pressed);
        });
        Some(match taken? {
            0 => go_on,
            1 => Said::Reply(Reply::Key(Key::Hurts)),
            _ => Said::AskStop,
        })
    }
}
