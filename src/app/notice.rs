//! Something is in the way, or must be said before going on: what, where, and how to mend it.

use super::keys::Pressed;
use super::page::{Page, Primary, panel, side, title};
use crate::engine::Answer;
use crate::window::Facts;
use crate::words::Told;
use crate::words::screens as words;
use egui::Ui;

/// A notice.
#[derive(Debug)]
pub(super) struct Notice {
    /// What it says.
    pub(super) told: Told,
}

impl Notice {
    /// Draws the notice; the answer once it was read.
    pub(super) fn show(&self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<Answer> {
        let primary = Primary { label: words::GO_ON, open: true, marked: true };
        let page = Page { facts, block: None, primary: Some(primary), keys: &[] };
        let clicked = page.show(ui, Some(pressed), |ui| {
            title(ui, words::TROUBLE_TITLE);
            ui.label(words::sentence(&self.told.what));
            if let Some(place) = &self.told.place {
                side(ui, &words::trouble_place(place));
            }
            panel(ui, words::TROUBLE_MEND, true, |ui| {
                ui.label(words::sentence(&self.told.mend));
            });
        });
        (clicked || pressed.contains(&Pressed::Enter)).then_some(Answer::GoOn)
    }
}
