//! The first start: the short caution, then ten unscored presses.

use super::super::super::look;
use super::super::super::page::side;
use super::super::Guide;
use super::{Act, framed};
use crate::words::{guide as words, screens};
use egui::Ui;

/// The caution, before anything else.
pub(super) fn caution(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let primary = Some((words::CAUTION_READ, true));
    let (on, act) = framed(guide, ui, primary, "", |_, ui| {
        for [heading, text] in screens::CAUTION {
            ui.scope(|ui| {
                ui.spacing_mut().item_spacing.y = look::em_of(ui) * 0.15;
                side(ui, heading);
                ui.label(text);
            });
        }
        None
    });
    if on { Some(Act::CautionRead) } else { act }
}

/// The ten presses; they can be left out.
pub(super) fn feel(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let primary = Some((words::FEEL_START, true));
    let (on, act) = framed(guide, ui, primary, "", |_, ui| {
        ui.label(words::FEEL_TEXT);
        ui.label(screens::TASK_SIMPLE);
        side(ui, words::FEEL_NOTE);
        ui.add_space(look::em_of(ui) * 0.5);
        super::widgets::button(ui, words::FEEL_SKIP).clicked().then_some(Act::Next)
    });
    if on { Some(Act::Feel) } else { act }
}
