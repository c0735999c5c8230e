//! What no program can see: a row a question, three answers each.

use super::super::keys::Pressed;
use super::super::page::{Page, Primary, side, title};
use super::super::rows::{Row, Rows};
use crate::rig::asked::{Answer, Answered, Question};
use crate::window::{Facts, RigReply};
use crate::words::{rig as words, screens};
use egui::Ui;

/// The answers in the order of the cells.
const ANSWERS: [Answer; 3] = [Answer::No, Answer::Yes, Answer::Unknown];

/// The questions.
#[derive(Debug)]
pub(super) struct Ask {
    rows: Rows,
}

impl Ask {
    /// Nothing is answered yet.
    pub(super) fn new() -> Ask {
        let row = |question: Question| {
            Row::choice(words::asked(question.name()).question, &words::ANSWERS)
        };
        Ask { rows: Rows::new(Question::ALL.into_iter().map(row).collect()) }
    }

    /// Draws the questions; the answers, once all are there.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<RigReply> {
        let done = self.rows.press(pressed);
        let primary = Primary {
            label: screens::GO_ON,
            open: self.rows.complete(),
            marked: self.rows.at_button(),
        };
        let keys = [screens::KEYS_QUESTIONS, words::KEYS_STEP, words::KEYS_END];
        let page = Page { facts, block: None, primary: Some(primary), keys: &keys };
        let clicked = page.show(ui, None, |ui| {
            title(ui, words::ASK_TITLE);
            side(ui, words::ASK_TEXT);
            self.rows.show(ui);
        });
        (done || clicked).then(|| RigReply::Asked(self.answers()))
    }

    fn answers(&self) -> Vec<Answered> {
        Question::ALL
            .into_iter()
            .zip(self.rows.taken())
            .filter_map(|(question, cell)| {
                Some(Answered { question, answer: *ANSWERS.get(cell?)? })
            })
            .collect()
    }
}
