//! The instruction card of a block: the hold and its words, the task, what always holds.

use super::band;
use super::keys::Pressed;
use super::look;
use super::names;
use super::page::{Page, Primary, panel, side, title};
use super::sample;
use crate::engine::Answer;
use crate::protocol::{Foreperiod, Part};
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
                ui.label(words::CARD_FINGER);
                let more = [names::tension(condition.tension), names::grip(condition.grip)];
                let more: Vec<&str> = more.into_iter().flatten().collect();
                if !more.is_empty() {
                    side(ui, &more.join(" "));
                }
                if let Some(force) = &facts.force {
                    band::show(ui, condition.tension, force.get());
                }
            });
        }
        panel(ui, words::CARD_TASK, false, |ui| {
            let width = ui.available_width() - (sample::WIDTH_EM + 1.0) * look::em_of(ui);
            ui.horizontal_top(|ui| {
                ui.vertical(|ui| {
                    ui.set_width(width);
                    self.task(ui, facts);
                });
                sample::show(ui, protocol);
            });
        });
        if !facts.timing.is_empty() {
            ui.add_space(look::em_of(ui) * 0.2);
            side(ui, facts.timing);
        }
    }

    fn task(&self, ui: &mut Ui, facts: &Facts) {
        ui.label(names::task(&facts.protocol.task).as_ref());
        if matches!(facts.protocol.foreperiod, Foreperiod::Partner { .. }) {
            ui.label(words::CARD_PARTNER);
        }
        if facts.protocol.foreperiod.catch_share() > 0.0 {
            ui.label(words::CARD_EMPTY_WAITS);
        }
        if let Some(block) = facts.schedule.blocks.get(self.block) {
            let count = |part: Part| block.trials.iter().filter(|t| t.part == part).count();
            let text = match count(Part::Feel) {
                0 => names::amount(&facts.protocol.task, count(Part::Main), count(Part::WarmUp)),
                presses => words::presses_to_feel(presses),
            };
            side(ui, &text);
        }
    }
}
