//! The live steps: a lying eight to trace, a ruler to slide along, a panel to click on.
//!
//! Draws what is to be done and what was seen so far. What the mouse does is heard elsewhere, by its
//! own source; the pointer on this screen is of no account.

use super::super::keys::Pressed;
use super::super::look::{self, LINE, PANEL, SIDE_TEXT, TEXT};
use super::super::page::{Page, Primary, side, title};
use super::super::rows::cell;
use crate::rig::live::{CLICKS, EIGHT_S, LENGTHS_CM, Progress, SLIDES, SoFar, Step};
use crate::window::{Facts, RigReply};
use crate::words::{rig as words, screens};
use egui::{Align2, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, TextStyle, Ui, pos2, vec2};
use std::time::Duration;

/// How often it is drawn again by itself.
const AGAIN: Duration = Duration::from_millis(250);
/// Points of the eight's line.
const POINTS: u16 = 180;

/// A live step.
#[derive(Debug)]
pub(super) struct Live {
    step: Step,
    progress: Progress,
    /// Index of the chosen length.
    length: usize,
}

impl Live {
    /// At the start of the step.
    pub(super) fn new(step: Step, progress: Progress) -> Live {
        progress.choose_length_cm(LENGTHS_CM[1]);
        Live { step, progress, length: 1 }
    }

    /// Draws the step; the reply once it is done.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
    ) -> Option<RigReply> {
        ui.ctx().request_repaint_after(AGAIN);
        let so_far = self.progress.so_far();
        if self.step == Step::Slide {
            self.choose(pressed);
        }
        let primary = Primary { label: screens::GO_ON, open: so_far.enough, marked: so_far.enough };
        let keys = [words::KEYS_STEP, words::KEYS_END];
        let page = Page { facts, block: None, primary: Some(primary), keys: &keys };
        let (heading, text) = match self.step {
            Step::Eight => (words::EIGHT_TITLE, words::EIGHT_TEXT),
            Step::Slide => (words::SLIDE_TITLE, words::SLIDE_TEXT),
            Step::Click => (words::CLICK_TITLE, words::CLICK_TEXT),
        };
        let clicked = page.show(ui, None, |ui| {
            title(ui, heading);
            ui.label(text);
            match self.step {
                Step::Eight => eight(ui),
                Step::Slide => self.ruler(ui),
                Step::Click => panel_to_click(ui),
            }
            ui.label(said(self.step, so_far));
            // The line is always there, so that nothing moves under the pointer.
            side(ui, if so_far.enough { words::ENOUGH } else { " " });
        });
        let entered = so_far.enough && pressed.contains(&Pressed::Enter);
        (clicked || entered).then_some(RigReply::Done)
    }

    fn choose(&mut self, pressed: &[Pressed]) {
        for press in pressed {
            match press {
                Pressed::Left => self.take(self.length.saturating_sub(1)),
                Pressed::Right => self.take((self.length + 1).min(LENGTHS_CM.len() - 1)),
                _ => {}
            }
        }
    }

    fn take(&mut self, length: usize) {
        self.length = length;
        self.progress.choose_length_cm(LENGTHS_CM[length]);
    }

    /// The lengths, and a ruler with the chosen one marked.
    fn ruler(&mut self, ui: &mut Ui) {
        let em = look::em_of(ui);
        side(ui, words::SLIDE_LENGTH);
        let mut clicked = None;
        ui.horizontal(|ui| {
            for (index, cm) in LENGTHS_CM.into_iter().enumerate() {
                let taken = index == self.length;
                let length = words::length_cm(cm);
                if cell(ui, em * 6.0, [&length, &length], taken, taken) {
                    clicked = Some(index);
                }
            }
        });
        if let Some(length) = clicked {
            self.take(length);
        }
        let (rect, _) =
            ui.allocate_exact_size(vec2(ui.available_width(), em * 4.0), Sense::hover());
        let painter = ui.painter();
        let body = Rect::from_min_max(pos2(rect.left(), rect.top() + em), rect.max);
        painter.rect(body, 0.0, PANEL, Stroke::new(1.0, LINE), StrokeKind::Inside);
        let longest = LENGTHS_CM[LENGTHS_CM.len() - 1];
        let x = |cm: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a share of a line")]
            let share = (cm / (longest + 1.0)) as f32;
            body.left() + body.width() * (share + 0.5 / 31.0)
        };
        for mm in 0..=30_u32 {
            let tick = if mm.is_multiple_of(5) { 1.2 } else { 0.6 };
            let at = x(f64::from(mm));
            painter.vline(at, body.top()..=body.top() + em * tick, Stroke::new(1.0, LINE));
        }
        let font = TextStyle::Small.resolve(ui.style());
        for end in [0.0, LENGTHS_CM[self.length]] {
            let at = x(end);
            painter.vline(at, body.top()..=body.top() + em * 1.7, Stroke::new(2.5, TEXT));
            let text = format!("{end:.0}");
            let below = pos2(at, body.bottom() - em * 0.2);
            painter.text(below, Align2::CENTER_BOTTOM, text, font.clone(), TEXT);
        }
    }
}

/// A lying eight with two arrow heads that say which way.
fn eight(ui: &mut Ui) {
    let em = look::em_of(ui);
    let size = vec2(ui.available_width(), em * 12.0);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let half = vec2((rect.width() / 2.0 - em).min(em * 16.0), rect.height() / 2.0 - em);
    let at = |turn: f32| -> Pos2 {
        let angle = turn * std::f32::consts::TAU;
        rect.center() + vec2(half.x * angle.sin(), half.y * (2.0 * angle).sin())
    };
    let points: Vec<Pos2> =
        (0..=POINTS).map(|point| at(f32::from(point) / f32::from(POINTS))).collect();
    let painter = ui.painter();
    painter.add(Shape::line(points, Stroke::new(em * 0.18, LINE)));
    for turn in [0.06, 0.56] {
        let (tip, tail) = (at(turn + 0.012), at(turn - 0.012));
        let along = (tip - tail).normalized() * em * 0.7;
        let side = vec2(-along.y, along.x) * 0.6;
        let head = vec![tip + along, tip - along + side, tip - along - side];
        painter.add(Shape::convex_polygon(head, SIDE_TEXT, Stroke::NONE));
    }
}

fn panel_to_click(ui: &mut Ui) {
    let em = look::em_of(ui);
    let size = vec2(ui.available_width(), em * 9.0);
    let (rect, _) = ui.allocate_exact_size(size, Sense::click());
    let painter = ui.painter();
    painter.rect(rect, 0.0, PANEL, Stroke::new(1.0, LINE), StrokeKind::Inside);
    let font = TextStyle::Button.resolve(ui.style());
    painter.text(rect.center(), Align2::CENTER_CENTER, words::CLICK_HERE, font, TEXT);
}

fn said(step: Step, so_far: SoFar) -> String {
    match step {
        Step::Eight => words::eight_so_far(so_far.moving_s, EIGHT_S, so_far.rate_hz),
        Step::Slide => words::slides_so_far(so_far.slides, SLIDES, so_far.counts_per_cm),
        Step::Click => words::clicks_so_far(so_far.clicks, CLICKS),
    }
}
