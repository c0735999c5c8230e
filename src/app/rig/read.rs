//! Two screens to be read before something is measured: the start of the check, and the caution
//! before filming.

use super::super::keys::Pressed;
use super::super::page::{Page, Primary, title};
use crate::window::{Facts, RigReply};
use crate::words::{rig as words, screens};
use egui::Ui;

/// What the check is.
pub(super) fn start(ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<RigReply> {
    read(ui, facts, pressed, words::START_TITLE, &words::START, screens::GO_ON)
}

/// What filming is, and its caution.
pub(super) fn film(ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<RigReply> {
    read(ui, facts, pressed, words::CAMERA_TITLE, &words::CAMERA, words::CAMERA_START)
}

fn read(
    ui: &mut Ui,
    facts: &Facts,
    pressed: &[Pressed],
    heading: &str,
    texts: &[&str],
    button: &str,
) -> Option<RigReply> {
    let primary = Primary { label: button, open: true, marked: true };
    let page = Page { facts, block: None, primary: Some(primary), keys: &[words::KEYS_END] };
    let clicked = page.show(ui, Some(pressed), |ui| {
        title(ui, heading);
        for text in texts {
            ui.label(*text);
        }
    });
    (clicked || pressed.contains(&Pressed::Enter)).then_some(RigReply::Done)
}
