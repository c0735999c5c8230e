//! The holds that are compared: a card each, with its drawing, its words, and a way to practise it.

use super::super::super::look;
use super::super::super::names;
use super::super::super::page::{panel, side};
use super::super::draft::MOST_HOLDS;
use super::super::{Guide, Place, hands, widgets};
use super::{Act, framed};
use crate::protocol::{Grip, Tension};
use crate::words::guide as words;
use egui::{Ui, vec2};

/// The grips that can be chosen.
const GRIPS: [(Grip, &str); 4] = [
    (Grip::Palm, words::PALM),
    (Grip::Claw, words::CLAW),
    (Grip::Fingertip, words::FINGERTIP),
    (Grip::Mixed, words::MIXED),
];
/// The tensions that can be chosen.
const TENSIONS: [(Tension, &str); 3] = [
    (Tension::Light, words::LIGHT),
    (Tension::Shaped, words::SHAPED),
    (Tension::Firm, words::FIRM),
];

/// The cards.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let light_only = guide.light_only();
    let all_light = |guide: &Guide| {
        let holds = guide.draft.iter().flat_map(|draft| &draft.protocol.conditions);
        holds.into_iter().all(|hold| hold.tension == Tension::Light)
    };
    let open = !light_only || all_light(guide);
    let beside = if open { "" } else { words::ONLY_LIGHT };
    let (on, act) = framed(guide, ui, Some((words::GO_ON, open)), beside, |guide, ui| {
        side(ui, words::HOLDS_NOTE);
        let mut act = None;
        let holds = guide.draft.as_ref().map_or(0, |draft| draft.protocol.conditions.len());
        for index in 0..holds {
            act = act.or(card(guide, ui, index, light_only));
        }
        let draft = guide.draft.as_mut()?;
        if holds < MOST_HOLDS && widgets::button(ui, words::HOLD_ADD).clicked() {
            draft.add_hold();
            if light_only {
                draft.all_light();
            }
            act = Some(Act::Changed);
        }
        for fault in &guide.faults {
            ui.label(fault);
        }
        act
    });
    if on { Some(Act::Next) } else { act }
}

/// One hold.
fn card(guide: &mut Guide, ui: &mut Ui, index: usize, light_only: bool) -> Option<Act> {
    let em = look::em_of(ui);
    let draft = guide.draft.as_mut()?;
    let count = draft.protocol.conditions.len();
    let reference = draft.protocol.reference() == index;
    let name = draft.protocol.conditions.get(index).map(names::hold)?;
    let mut act = None;
    ui.push_id(("hold", index), |ui| {
        panel(ui, &words::hold_number(index + 1), reference, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.label(&name);
                if reference {
                    side(ui, words::HOLD_REFERENCE);
                }
            });
            let Some(hold) = draft.protocol.conditions.get(index) else { return };
            let (mut grip, mut tension) = (hold.grip, hold.tension);
            hands::show(ui, grip, tension);
            let mut changed = widgets::cells(ui, words::GRIP, &GRIPS, &mut grip);
            let tensions = if light_only { &TENSIONS[..1] } else { &TENSIONS[..] };
            changed |= widgets::cells(ui, words::TENSION, tensions, &mut tension);
            side(ui, names::tension(tension).unwrap_or_default());
            if changed {
                draft.set_hold(index, grip, tension);
                act = Some(Act::Changed);
            }
            if let Some(hold) = draft.protocol.conditions.get_mut(index)
                && widgets::wide_field(ui, words::HOLD_WORDS, &mut hold.say).changed()
            {
                act = Some(Act::Changed);
            }
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
                if widgets::button(ui, words::HOLD_PRACTISE).clicked() {
                    guide.state.practice.choose(index);
                    act = Some(Act::Go(Place::Practice));
                }
                if !reference && widgets::button(ui, words::HOLD_COMPARE_WITH).clicked() {
                    draft.compare_with(index);
                    act = Some(Act::Changed);
                }
                if count > 2 && widgets::button(ui, words::HOLD_REMOVE).clicked() {
                    draft.remove_hold(index);
                    act = Some(Act::Changed);
                }
            });
        });
    });
    act
}
