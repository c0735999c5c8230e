//! Ways to show it to others: the picture in both shapes, the times as viewers know them, a typical
//! press of each hold slowed, and how to film the hand.

use super::super::super::look;
use super::super::super::page::{panel, side};
use super::super::super::plot;
use super::super::chooser::Want;
use super::super::{Guide, widgets};
use super::{Act, browse, framed};
use crate::findings::picture::PictureShape;
use crate::words::{afterwards as after, choosing, findings as finding_words, guide as words};
use egui::{Grid, RichText, Ui, vec2};

/// Width of the wide picture on the page, em; the tall one is as high.
const WIDE_EM: f32 = 28.0;

/// The ways.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (_, act) = framed(guide, ui, None, "", |guide, ui| {
        let Some(found) = guide.found.as_deref() else {
            ui.label(after::FINDINGS_NONE);
            return None;
        };
        let em = look::em_of(ui);
        let mut act = None;
        if found.simulated {
            ui.label(RichText::new(finding_words::SIMULATED).strong());
        }
        panel(ui, after::SHOW_PICTURES, true, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(em, em);
                for (shape, drawing) in &found.pictures {
                    let width = match shape {
                        PictureShape::Wide => WIDE_EM,
                        PictureShape::Tall => WIDE_EM * 81.0 / 256.0,
                    };
                    plot::show(ui, drawing, (width * em).min(ui.available_width()));
                }
            });
            let ways = [
                (Want::Picture(PictureShape::Wide), choosing::SAVE_WIDE),
                (Want::Picture(PictureShape::Tall), choosing::SAVE_TALL),
            ];
            act = browse::show(guide, ui, &ways, None);
            side(ui, &after::pictures_lie(&found.folder.display().to_string()));
            if widgets::button(ui, after::SHOW_FOLDER).clicked() {
                act = Some(Act::OpenOutside(found.folder.clone()));
            }
        });
        panel(ui, after::SHOW_TIMES, false, |ui| times(guide, ui));
        if !found.elsewhere {
            panel(ui, after::SHOW_FRAMES, false, |ui| {
                ui.label(after::SHOW_FRAMES_TEXT);
                if guide.clerk.painting() {
                    ui.label(words::WORKING);
                } else if widgets::button(ui, after::SHOW_FRAMES_DO).clicked() {
                    act = found.of.last().cloned().map(Act::Frames);
                }
            });
        }
        panel(ui, after::SHOW_FILM, false, |ui| {
            for line in after::SHOW_FILM_TEXT {
                ui.label(line);
            }
        });
        act
    });
    act
}

/// Each hold's times; in frames too, at the refresh of the player's screen.
fn times(guide: &Guide, ui: &mut Ui) {
    let Some(found) = guide.found.as_deref() else { return };
    let em = look::em_of(ui);
    Grid::new("times").spacing(vec2(em * 1.6, em * 0.4)).show(ui, |ui| {
        for heading in after::TIMES_HEAD {
            side(ui, heading);
        }
        ui.end_row();
        for hold in &found.times {
            ui.label(&hold.name);
            for ms in [hold.typical_ms, hold.median_ms, hold.mean_ms] {
                ui.label(ms.map_or_else(String::new, |ms| format!("{ms:.0} ms")));
            }
            let frames = hold.typical_ms.zip(found.rate_hz);
            ui.label(frames.map_or_else(String::new, |(ms, hz)| after::in_frames(ms, hz)));
            ui.end_row();
        }
    });
    side(ui, &after::times_note(found.rate_hz));
}
