//! The end of a session: thanks, the finding's sentence, where the files lie.

use super::keys::Pressed;
use super::names;
use super::page::{Page, Primary, panel, side, title};
use crate::engine::Answer;
use crate::window::{Ended, Facts};
use crate::words::screens as words;
use egui::{RichText, TextStyle, Ui};

/// The end.
#[derive(Debug)]
pub(super) struct End {
    /// What it says.
    pub(super) ended: Ended,
}

impl End {
    /// Draws the end; the answer once it may close.
    pub(super) fn show(&self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<Answer> {
        let primary = Primary { label: words::CLOSE, open: true, marked: true };
        let page = Page { facts, block: None, primary: Some(primary), keys: &[] };
        let clicked = page.show(ui, Some(pressed), |ui| {
            title(ui, words::END_TITLE);
            ui.label(names::ending(self.ended.ending));
            if let Some(sentence) = &self.ended.sentence {
                panel(ui, words::END_FINDING, true, |ui| {
                    ui.label(sentence);
                });
            }
            panel(ui, words::END_FILES, false, |ui| {
                for path in [Some(&self.ended.folder), self.ended.report.as_ref()].iter().flatten()
                {
                    let text = path.display().to_string();
                    ui.label(RichText::new(text).text_style(TextStyle::Monospace));
                }
            });
            if !facts.sources.is_empty() {
                side(ui, &facts.sources);
            }
        });
        (clicked || pressed.contains(&Pressed::Enter)).then_some(Answer::GoOn)
    }
}
