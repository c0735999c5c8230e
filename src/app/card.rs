//! The instruction card of a block: the hold and its words, the task, what always holds.

use super::keys::Pressed;
use super::look;
use super::names;
use super::page::{Page, Primary, panel, side, title};
use crate::engine::Answer;
use crate::protocol::Part;
use crate::window::Facts;
use crate::words::screens as words;
use egui::Ui;

/// The card of one block.
#[derive(Debug)]
pub(super) struct Card {
    /// Index into the schedule's blocks.
    pub(super) block: usize,
}

impl Card {
    /// Draws the card; the answer once the block may start.
    pub(super) fn show(&self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<Answer> {
        let primary = Primary { label: words::START_BLOCK, open: true, marked: true };
        let keys = [words::KEYS_IN_BLOCK];
        let page = Page { facts, block: Some(self.block), primary: Some(primary), keys: &keys };
        let clicked = page.show(ui, Some(pressed), |ui| self.body(ui, facts));
        (clicked || pressed.contains(&Pressed::Enter)).then_some(Answer::GoOn)
    }

    fn body(&self, ui: &mut Ui, facts: &Facts) {
        let protocol = &facts.protocol;
        let block = facts.schedule.blocks.get(self.block);
        if let Some(condition) = block.and_then(|block| protocol.conditions.get(block.condition)) {
            title(ui, &names::hold(condition));
            panel(ui, words::CARD_HOLD, true, |ui| {
                ui.label(&condition.say);
                let more = [names::tension(condition.tension), names::grip(condition.grip)];
                let more: Vec<&str> = more.into_iter().flatten().collect();
                if !more.is_empty() {
                    side(ui, &more.join(" "));
                }
            });
        }
        panel(ui, words::CARD_TASK, false, |ui| {
            ui.label(names::task(&protocol.task));
            if protocol.foreperiod.catch_share() > 0.0 {
                ui.label(words::CARD_EMPTY_WAITS);
            }
            if let Some(block) = block {
                let count = |part: Part| block.trials.iter().filter(|t| t.part == part).count();
                side(ui, &words::presses(count(Part::Main), count(Part::WarmUp)));
            }
        });
        panel(ui, words::CARD_ALWAYS, false, |ui| {
            ui.label(words::CARD_FINGER);
        });
        if !facts.sources.is_empty() {
            ui.add_space(look::em_of(ui) * 0.2);
            side(ui, &facts.sources);
        }
    }
}
