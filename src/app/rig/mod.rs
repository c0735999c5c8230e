//! The screens of the rig check: questions, the live steps, what was found, the caution before
//! filming.
//!
//! Here stands only which one is shown. F10 ends the check on each of them; Esc passes a step over.

mod ask;
mod found;
mod live;
mod read;

use super::keys::Pressed;
use crate::engine::Key;
use crate::window::{Facts, Reply, RigReply, RigScreen};
use egui::Ui;

/// One screen of the check.
#[derive(Debug)]
pub(super) struct Sheet(Kind);

#[derive(Debug)]
enum Kind {
    Start,
    Ask(ask::Ask),
    Live(live::Live),
    Found(found::Found),
    Film,
}

impl Sheet {
    /// The screen for what is asked.
    pub(super) fn new(screen: RigScreen) -> Sheet {
        Sheet(match screen {
            RigScreen::Start => Kind::Start,
            RigScreen::Ask => Kind::Ask(ask::Ask::new()),
            RigScreen::Live { step, progress } => Kind::Live(live::Live::new(step, progress)),
            RigScreen::Found(saved) => Kind::Found(found::Found { saved }),
            RigScreen::Film => Kind::Film,
        })
    }

    /// Draws the screen; the reply that ends it.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<Reply> {
        if pressed.contains(&Pressed::Stop) {
            return Some(Reply::Key(Key::Stop));
        }
        let said = match &mut self.0 {
            Kind::Start => read::start(ui, facts, pressed),
            Kind::Ask(screen) => screen.show(ui, facts, pressed),
            Kind::Live(screen) => screen.show(ui, facts, pressed),
            Kind::Found(screen) => screen.show(ui, facts, pressed),
            Kind::Film => read::film(ui, facts, pressed),
        };
        let passed_over = pressed.contains(&Pressed::Escape).then_some(RigReply::Skipped);
        said.or(passed_over).map(Reply::Rig)
    }
}
