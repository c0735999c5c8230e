//! Chooses a file or folder: a button for the system's own dialog, and a list of folders and tables
//! that works without one and by keyboard. Nothing is read here.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::chooser::Want;
use super::super::folders::{self, Listing};
use super::super::{Guide, widgets};
use super::Act;
use crate::words::{choosing as words, guide};
use egui::{ScrollArea, Ui, vec2};

/// More entries than this are not listed: the name can be typed.
const MOST: usize = 400;

/// The list of folders.
#[derive(Debug, Default)]
pub(in super::super) struct Browse {
    /// What is looked for; none: the list is closed.
    want: Option<Want>,
    /// The folder on show, once it was read.
    listing: Option<Listing>,
    /// Why the list is there and not the system's dialog.
    pub(in super::super) why: Option<String>,
}

impl Browse {
    /// Opens the list; the folder is still to be read.
    pub(in super::super) fn begin(&mut self, want: Want) {
        *self = Browse { want: Some(want), ..Browse::default() };
    }

    /// Closes it.
    pub(in super::super) fn close(&mut self) {
        *self = Browse::default();
    }

    /// What is looked for.
    pub(in super::super) const fn want(&self) -> Option<Want> {
        self.want
    }

    /// Takes in a folder that was read.
    pub(in super::super) fn hear(&mut self, listing: Listing) {
        if self.want == Some(listing.want) {
            self.listing = Some(listing);
        }
    }
}

/// The buttons: each asks the system's dialog for its `want`; `list`: what the list of folders
/// would look for, where it has a button of its own. The list, where it is open, below them.
pub(super) fn show(
    guide: &Guide,
    ui: &mut Ui,
    buttons: &[(Want, &str)],
    list: Option<Want>,
) -> Option<Act> {
    let em = look::em_of(ui);
    let mut act = None;
    let ours = |want: Want| buttons.iter().any(|(other, _)| *other == want);
    if guide.chooser.asking().is_some_and(ours) {
        ui.horizontal_wrapped(|ui| {
            ui.label(words::DIALOG_OPEN);
            if widgets::button(ui, words::DIALOG_LEAVE).clicked() {
                act = Some(Act::LeaveDialog);
            }
        });
        return act;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
        for (want, label) in buttons {
            if widgets::button(ui, label).clicked() {
                act = Some(Act::AskSystem(*want));
            }
        }
        if let Some(want) = list
            && guide.state.browse.want.is_none()
            && widgets::button(ui, words::BROWSE).clicked()
        {
            act = Some(Act::Browse(want));
        }
    });
    let browse = &guide.state.browse;
    if let Some(want) = browse.want.filter(|want| ours(*want)) {
        panel(ui, words::BROWSE_TITLE, true, |ui| {
            if let Some(why) = &browse.why {
                ui.label(why);
            }
            match &browse.listing {
                Some(listing) => act = act.take().or(folder(ui, want, listing)),
                None => {
                    ui.label(guide::WORKING);
                }
            }
        });
    }
    act
}

/// A folder, and what can be done there.
fn folder(ui: &mut Ui, want: Want, listing: &Listing) -> Option<Act> {
    let em = look::em_of(ui);
    let mut act = None;
    ui.label(listing.at.display().to_string());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
        let taken = match want {
            Want::Table => None,
            Want::DataFolder => Some((words::BROWSE_TAKE, listing.at.clone())),
            Want::Picture(_) => {
                want.file_name().map(|name| (words::BROWSE_SAVE, listing.at.join(name)))
            }
        };
        if let Some((label, path)) = taken
            && listing.fault.is_none()
            && widgets::button(ui, label).clicked()
        {
            act = Some(Act::TakeFile(want, path));
        }
        if let Some(up) = listing.at.parent()
            && widgets::button(ui, words::BROWSE_UP).clicked()
        {
            act = Some(Act::Enter(up.to_owned()));
        }
        if widgets::button(ui, words::BROWSE_OVER).clicked() {
            act = Some(Act::BrowseOver);
        }
    });
    if let Some(fault) = &listing.fault {
        ui.label(words::browse_fault(fault));
    } else if listing.folders.is_empty() && listing.tables.is_empty() {
        let nothing =
            if want == Want::Table { words::BROWSE_NOTHING } else { words::BROWSE_NO_FOLDER };
        side(ui, nothing);
    }
    ScrollArea::vertical().max_height(em * 16.0).show(ui, |ui| {
        for table in listing.tables.iter().take(MOST) {
            if widgets::button(ui, &folders::name(table)).clicked() {
                act = Some(Act::TakeFile(want, table.clone()));
            }
        }
        for folder in listing.folders.iter().take(MOST) {
            if widgets::button(ui, &words::browse_folder(&folders::name(folder))).clicked() {
                act = Some(Act::Enter(folder.clone()));
            }
        }
    });
    if listing.tables.len().max(listing.folders.len()) > MOST {
        side(ui, words::BROWSE_MORE);
    }
    act
}
