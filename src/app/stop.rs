//! Whether to stop the session, asked once more. The first line goes back.

use super::choices::Choices;
use super::keys::Pressed;
use super::page::{Page, title};
use crate::window::Facts;
use crate::words::screens as words;
use egui::Ui;

/// The question.
#[derive(Debug, Default)]
pub(super) struct Stop {
    choices: Choices,
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// Stop.
    Stop,
    /// Back to the screen.
    Back,
}

impl Stop {
    /// Draws the question; the answer.
    pub(super) fn show(&mut self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<Said> {
        if pressed.contains(&Pressed::Escape) {
            return Some(Said::Back);
        }
        let mut taken = None;
        let keys = [words::KEYS_LIST];
        Page { facts, block: None, primary: None, keys: &keys }.show(ui, None, |ui| {
            title(ui, words::STOP_TITLE);
            ui.label(words::STOP_TEXT);
            taken = self.choices.show(ui, &[words::STOP_NO, words::STOP_YES], pressed);
        });
        taken.map(|line| if line == 0 { Said::Back } else { Said::Stop })
    }
}
