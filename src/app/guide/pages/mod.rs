//! One file a page: what it says, and what was pressed on it. None of them acts by itself.

mod browse;
mod findings;
mod history;
mod holds;
mod intro;
mod plan;
mod player;
mod practice;
mod question;
mod rig;
mod settings;
mod show_it;
mod tables;

pub(super) use tables::TableState;

use super::super::first_start::FirstStartScreen;
use super::super::look;
use super::super::page::{panel, side};
use super::chooser::Want;
use super::sheet::{Said, Sheet};
use super::way::Place;
use super::{Guide, widgets};
use crate::window::FirstStart;
use crate::words::{guide as words, screens};
use egui::{Align, Id, Ui};
use std::path::PathBuf;

/// What a page asks for.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Act {
    /// A value was changed that concerns this page alone.
    Nothing,
    /// To the page before.
    Back,
    /// To the next page of the way.
    Next,
    /// To another page.
    Go(Place),
    /// Out of the program.
    Leave,
    /// The caution was read.
    CautionRead,
    /// Ten unscored presses.
    Feel,
    /// The check of display, mouse and computer.
    CheckRig,
    /// On without that check.
    RigPassed,
    /// This question (index).
    Choose(usize),
    /// The draft is another one.
    Changed,
    /// The player who is typed in.
    TakePlayer,
    /// What the player said to the questions and the agreement.
    Agreed(FirstStart),
    /// The session.
    Start,
    /// A session that broke off.
    GoOn(PathBuf),
    /// What these sessions found.
    Find(Vec<PathBuf>),
    /// What the table says.
    ReadTable,
    /// The frames of typical presses of this session.
    Frames(PathBuf),
    /// The note that is typed in.
    KeepNote,
    /// The settings as they are.
    SaveSettings,
    /// A session is to be gone for good.
    EraseSession(PathBuf),
    /// A player (id) is to be gone for good, with every session.
    ErasePlayer(String),
    /// What is known of the player chosen, as it is.
    KeepPlayer,
    /// A file or folder for the system's own program.
    OpenOutside(PathBuf),
    /// Something was done that is to be told.
    Told(String),
    /// The system's file dialog.
    AskSystem(Want),
    /// The system's file dialog is no longer waited for.
    LeaveDialog,
    /// The list of folders.
    Browse(Want),
    /// The list of folders is no longer needed.
    BrowseOver,
    /// A folder of the list.
    Enter(PathBuf),
    /// What was chosen from the list.
    TakeFile(Want, PathBuf),
    /// The table that is named is another one, or its columns are.
    LookAtTable,
}

/// What was typed and marked, and is not in the draft.
#[derive(Debug, Default)]
pub(super) struct State {
    /// The caution was read in this run.
    pub(super) caution_seen: bool,
    /// The questions that are asked less often are on show too.
    pub(super) more_questions: bool,
    /// The nickname as typed.
    pub(super) nickname: String,
    /// The field of the nickname was given the focus in this visit.
    pub(super) nickname_focused: bool,
    /// The questions and the agreement, while they are asked.
    pub(super) agreement: Option<FirstStartScreen>,
    /// The step of the rig check was passed.
    pub(super) rig_passed: bool,
    /// The hold that is practised (index), and since when.
    pub(super) practice: practice::Practice,
    /// The player was told of a second firm session on one day.
    pub(super) second_firm_told: bool,
    /// A note as typed.
    pub(super) note: String,
    /// The table's path and columns.
    pub(super) table: TableState,
    /// The list of folders, where a file or folder is chosen.
    pub(super) browse: browse::Browse,
    /// What is about to be erased, asked once more.
    pub(super) erasing: Option<history::Erasing>,
    /// The settings as typed.
    pub(super) typed: settings::Typed,
}

impl State {
    /// A page was left: what belongs to one visit alone is forgotten.
    pub(super) fn left(&mut self, place: Place) {
        self.browse.close();
        match place {
            Place::History => self.erasing = None,
            Place::Player => self.nickname_focused = false,
            Place::Practice => self.practice.stop(),
            Place::Settings => self.typed = settings::Typed::default(),
            _ => {}
        }
    }
}

/// Draws the page that is on show.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    match guide.way.here() {
        Place::Caution => intro::caution(guide, ui),
        Place::Feel => intro::feel(guide, ui),
        Place::Question => question::show(guide, ui),
        Place::Player => player::show(guide, ui),
        Place::Agreement => player::agreement(guide, ui),
        Place::Rig => rig::show(guide, ui),
        Place::Holds => holds::show(guide, ui),
        Place::Practice => practice::show(guide, ui),
        Place::Plan => plan::show(guide, ui),
        Place::Findings => findings::show(guide, ui),
        Place::Show => show_it::show(guide, ui),
        Place::History => history::show(guide, ui),
        Place::Tables => tables::show(guide, ui),
        Place::Settings => settings::show(guide, ui),
    }
}

/// The frame of a page around `body`: what is in the way above it, what was just done in the foot,
/// where it is in view from anywhere on the page and moves nothing under the pointer.
fn framed(
    guide: &mut Guide,
    ui: &mut Ui,
    primary: Option<(&str, bool)>,
    beside: &str,
    body: impl FnOnce(&mut Guide, &mut Ui) -> Option<Act>,
) -> (bool, Option<Act>) {
    let place = guide.way.here();
    let done = guide.done.as_deref().map(words::just_now);
    let back = guide.way.can_go_back();
    let sheet = Sheet { place, back, primary, beside, done: done.as_deref() };
    let mut act = None;
    let said = sheet.show(ui, |ui| {
        // Names of their own: what is in the way must not take the focus from what was pressed.
        ui.push_id("banner", |ui| banner(guide, ui));
        ui.push_id("body", |ui| act = body(guide, ui));
    });
    match said {
        Some(Said::Primary) => (true, act),
        Some(Said::Back) => (false, Some(Act::Back)),
        Some(Said::Go(place)) => (false, Some(Act::Go(place))),
        Some(Said::Leave) => (false, Some(Act::Leave)),
        None => (false, act),
    }
}

/// What is in the way; it comes into view when it is new.
fn banner(guide: &mut Guide, ui: &mut Ui) {
    let id = Id::unique("something is in the way");
    let was = ui.data_mut(|data| {
        std::mem::replace(data.get_temp_mut_or_default(id), guide.trouble.is_some())
    });
    if guide.trouble.is_some() && !was {
        ui.scroll_to_cursor(Some(Align::Min));
    }
    let mut seen = false;
    if let Some(trouble) = &guide.trouble {
        panel(ui, screens::TROUBLE_TITLE, true, |ui| {
            for told in &trouble.0 {
                ui.label(screens::sentence(&told.what));
                if let Some(place) = &told.place {
                    side(ui, &screens::trouble_place(place));
                }
                side(ui, &screens::sentence(&told.mend));
                ui.add_space(look::em_of(ui) * 0.3);
            }
            seen = widgets::button(ui, words::SEEN).clicked();
        });
    }
    if seen {
        guide.trouble = None;
    }
}
