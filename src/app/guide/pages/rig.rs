//! Display, mouse and computer: how they stand, and the check of about a minute that looks at them.

use super::super::super::page::{panel, side};
use super::super::{Guide, widgets};
use super::{Act, framed};
use crate::sitting::rig_check::Standing;
use crate::words::guide as words;
use egui::Ui;

/// How the rig stands, and its check.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let label = match guide.rig {
        Some(Standing::Checked { .. }) => words::RIG_AGAIN,
        Some(Standing::Never | Standing::Changed { .. }) | None => words::RIG_CHECK,
    };
    let (on, act) = framed(guide, ui, Some((label, true)), words::RIG_LASTS, |guide, ui| {
        panel(ui, words::RIG_STATE, true, |ui| match &guide.rig {
            Some(Standing::Checked { profile }) => {
                ui.label(words::rig_checked(profile));
            }
            Some(Standing::Changed { profile, changes }) => {
                ui.label(words::rig_changed(profile));
                for change in changes {
                    ui.label(change);
                }
            }
            Some(Standing::Never) | None => {
                ui.label(words::RIG_NOT_CHECKED);
            }
        });
        ui.label(words::RIG_TEXT);
        side(ui, words::RIG_NOTE);
        widgets::button(ui, words::RIG_PASS).clicked().then_some(Act::RigPassed)
    });
    if on { Some(Act::CheckRig) } else { act }
}
