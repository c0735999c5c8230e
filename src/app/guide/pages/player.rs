//! Who plays: a nickname; then the questions and the player's own agreement, where they are due.

use super::super::super::first_start::FirstStartScreen;
use super::super::super::keys;
use super::super::super::look;
use super::super::super::page::side;
use super::super::sheet::{Said, Sheet};
use super::super::{Guide, Place, widgets};
use super::{Act, framed};
use crate::protocol::Schedule;
use crate::window::Facts;
use crate::words::guide as words;
use egui::{Key, Ui};
use std::sync::Arc;

/// The nickname, typed or one of those known.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let named = !guide.state.nickname.trim().is_empty();
    let beside = if named { "" } else { words::PLAYER_NEEDED };
    let (on, act) = framed(guide, ui, Some((words::GO_ON, named)), beside, |guide, ui| {
        ui.label(words::PLAYER_TEXT);
        let state = &mut guide.state;
        let field = widgets::field(ui, words::PLAYER_FIELD, &mut state.nickname, "");
        if !state.nickname_focused {
            state.nickname_focused = true;
            field.request_focus();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if !guide.people.is_empty() {
            ui.add_space(look::em_of(ui) * 0.4);
            side(ui, words::PLAYER_KNOWN);
        }
        for player in &guide.people {
            let same = state.nickname.trim().to_lowercase() == player.nickname.to_lowercase();
            if widgets::card(ui, same, &player.nickname, &[]).clicked() {
                state.nickname.clone_from(&player.nickname);
            }
        }
        side(ui, words::PLAYER_NOTE);
        (entered && !state.nickname.trim().is_empty()).then_some(Act::TakePlayer)
    });
    if on { Some(Act::TakePlayer) } else { act }
}

/// The questions of the first start, and the agreement, as before a session on the command line.
pub(super) fn agreement(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    // The answers stay while one goes back and comes again.
    let escaped = ui.input(|input| input.key_pressed(Key::Escape));
    let said = Sheet { place: Place::Agreement, back: true, primary: None, beside: "", done: None }
        .top(ui);
    let back = escaped || said == Some(Said::Back);
    if said == Some(Said::Leave) {
        return Some(Act::Leave);
    }
    let draft = guide.draft.as_ref()?;
    let player = guide.player.as_ref()?;
    let facts = Facts {
        protocol: Arc::new(draft.protocol.clone()),
        schedule: Arc::new(Schedule { draw_rule: 0, seed: 0, blocks: Vec::new() }),
        player: player.nickname.clone(),
        minutes_left: None,
        sources: String::new(),
        timing: "",
        simulated: false,
        force: None,
    };
    let pressed = keys::take(ui);
    let screen = guide.state.agreement.get_or_insert_with(FirstStartScreen::questions);
    if back && !screen.back() {
        return Some(Act::Back);
    }
    screen.show(ui, &facts, &pressed).map(Act::Agreed)
}
