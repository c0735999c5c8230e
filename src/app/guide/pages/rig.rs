//! The rig: display, mouse and computer. Until it can be checked here, the page says so and lets
//! the player pass; what a session measured of its rig is in its own record all the same.

use super::super::super::page::{panel, side};
use super::super::Guide;
use super::{Act, framed};
use crate::words::guide as words;
use egui::Ui;

/// What is known of the rig before the first trial: nothing yet.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (on, act) = framed(guide, ui, Some((words::RIG_PASS, true)), "", |_, ui| {
        panel(ui, words::RIG_STATE, true, |ui| {
            ui.label(words::RIG_NOT_CHECKED);
        });
        ui.label(words::RIG_TEXT);
        side(ui, words::RIG_NOTE);
        None
    });
    if on {
        guide.state.rig_passed = true;
        return Some(Act::Next);
    }
    act
}
