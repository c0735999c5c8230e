//! What was found: the sentence first, what was expected beside it, then the report's own plots.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::super::plot;
use super::super::{Guide, Place, widgets};
use super::{Act, framed};
use crate::words::{afterwards as after, findings as finding_words, guide as words};
use egui::{RichText, TextStyle, Ui, vec2};

/// Longest side of a plot, em: wider is no clearer.
const PLOT_EM: f32 = 40.0;

/// The findings, or that they are being worked out.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let ready = guide.found.is_some();
    let primary = ready.then_some((after::FINDINGS_NEXT, true));
    let (on, act) = framed(guide, ui, primary, "", |guide, ui| {
        if guide.clerk.finding() {
            ui.horizontal(|ui| {
                ui.label(words::WORKING);
                if widgets::button(ui, words::STOP_WAITING).clicked() {
                    return Some(Act::Go(Place::Question));
                }
                None
            })
            .inner
        } else if ready {
            found(guide, ui)
        } else {
            ui.label(after::FINDINGS_NONE);
            None
        }
    });
    if on { Some(Act::Next) } else { act }
}

fn found(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let em = look::em_of(ui);
    let found = guide.found.as_deref()?;
    side(ui, &found.title);
    if found.simulated {
        ui.label(RichText::new(finding_words::SIMULATED).strong());
    }
    panel(ui, after::FOUND, true, |ui| {
        ui.label(RichText::new(&found.headline).size(em * 1.25));
        for sentence in &found.others {
            ui.label(sentence);
        }
    });
    panel(ui, after::EXPECTED, false, |ui| {
        ui.label(&found.expected);
    });
    let mut act = buttons(guide, ui);
    let found = guide.found.as_deref()?;
    for [what, taken] in &found.taken {
        side(ui, &format!("{what}: {taken}"));
    }
    let width = ui.available_width().min(PLOT_EM * em);
    for (heading, drawing) in &found.plots {
        ui.add_space(em * 0.5);
        ui.label(RichText::new(*heading).text_style(TextStyle::Body).strong());
        plot::show(ui, drawing, width);
    }
    if !found.doubts.is_empty() {
        panel(ui, after::DOUBTS, false, |ui| {
            for doubt in &found.doubts {
                ui.label(doubt);
            }
        });
    }
    if !found.settling.is_empty() {
        panel(ui, after::SETTLING, false, |ui| {
            for line in &found.settling {
                ui.label(line);
            }
        });
    }
    if !found.elsewhere {
        act = act.or(note(guide, ui));
    }
    act
}

fn buttons(guide: &Guide, ui: &mut Ui) -> Option<Act> {
    let em = look::em_of(ui);
    let found = guide.found.as_deref()?;
    let mut act = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
        if widgets::button(ui, after::OPEN_REPORT).clicked() {
            act = Some(Act::OpenOutside(found.report.clone()));
        }
        if widgets::button(ui, after::SHOW_IT).clicked() {
            act = Some(Act::Go(Place::Show));
        }
        if widgets::button(ui, after::COPY_SENTENCE).clicked() {
            ui.ctx().copy_text(found.headline.clone());
            act = Some(Act::Told(after::COPIED.to_owned()));
        }
        if widgets::button(ui, after::SHOW_FOLDER).clicked() {
            act = Some(Act::OpenOutside(found.folder.clone()));
        }
    });
    act
}

fn note(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    ui.add_space(look::em_of(ui) * 0.5);
    widgets::lines(ui, after::NOTE, &mut guide.state.note, 3);
    let open = !guide.state.note.trim().is_empty();
    widgets::button_if(ui, open, after::NOTE_KEEP).clicked().then_some(Act::KeepNote)
}
