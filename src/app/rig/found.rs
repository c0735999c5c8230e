//! What was found: worth mending first, then notes, then what nobody could tell, then what is well.

use super::super::keys::Pressed;
use super::super::page::{Page, Primary, panel, side, title};
use crate::rig::{self, Finding, Grade, Saved};
use crate::window::{Facts, RigReply};
use crate::words::{rig as words, screens};
use egui::{RichText, TextStyle, Ui};

/// The groups, in order, with their headings.
const GROUPS: [(Grade, &str); 4] = [
    (Grade::Mend, words::END_MEND),
    (Grade::Note, words::END_NOTE),
    (Grade::NotTold, words::END_NOT_TOLD),
    (Grade::Good, words::END_GOOD),
];

/// A profile on show.
#[derive(Debug)]
pub(super) struct Found {
    /// What was kept.
    pub(super) saved: Box<Saved>,
}

impl Found {
    /// Draws the findings; the reply once they were read.
    pub(super) fn show(&self, ui: &mut Ui, facts: &Facts, pressed: &[Pressed]) -> Option<RigReply> {
        let primary = Primary { label: screens::GO_ON, open: true, marked: true };
        let page = Page { facts, block: None, primary: Some(primary), keys: &[] };
        let profile = &self.saved.profile;
        let clicked = page.show(ui, Some(pressed), |ui| {
            title(ui, words::END_TITLE);
            ui.label(rig::summary(profile));
            for (grade, heading) in GROUPS {
                let list: Vec<&Finding> = profile.of_grade(grade).collect();
                if list.is_empty() {
                    continue;
                }
                panel(ui, heading, grade == Grade::Mend, |ui| {
                    for finding in list {
                        one(ui, finding);
                    }
                });
            }
            panel(ui, words::END_FILE, false, |ui| {
                let path = self.saved.path.display().to_string();
                ui.label(RichText::new(path).text_style(TextStyle::Monospace));
            });
        });
        (clicked || pressed.contains(&Pressed::Enter)).then_some(RigReply::Done)
    }
}

fn one(ui: &mut Ui, finding: &Finding) {
    ui.label(&finding.what);
    match finding.grade {
        // What is well, or not told, needs no weight.
        Grade::Good | Grade::NotTold => {}
        Grade::Mend | Grade::Note => {
            side(ui, &rig::said(finding.matters));
        }
    }
    if let Some(mend) = &finding.mend {
        side(ui, &words::to_mend(mend));
    }
    ui.add_space(super::super::look::em_of(ui) * 0.3);
}
