//! A rest, or a break away from the desk: the time that remains, and what comes next.
//!
//! The button opens only after the floor; nothing shortens it.

use super::keys::Pressed;
use super::look::{self, LINE, PANEL};
use super::names;
use super::page::{Page, Primary, side, title};
use crate::engine::Answer;
use crate::units::Nanos;
use crate::window::Facts;
use crate::words::screens as words;
use egui::{RichText, Role, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2};
use std::time::Duration;

/// A rest.
#[derive(Debug)]
pub(super) struct Rest {
    /// Its floor.
    pub(super) until: Nanos,
    /// When it was first shown.
    pub(super) since: Option<Nanos>,
    /// The block that comes next (index).
    pub(super) next: usize,
    /// Away from the desk.
    pub(super) standing: bool,
    /// A planned look was just taken, and the session goes on.
    pub(super) looked: bool,
}

impl Rest {
    /// Draws the rest as it is at `now`; the answer once the floor has passed and the player goes on.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        facts: &Facts,
        pressed: &[Pressed],
        now: Nanos,
    ) -> Option<Answer> {
        let since = *self.since.get_or_insert(now);
        let left_ns = u64::try_from((self.until - now).0).unwrap_or(0);
        let open = left_ns == 0;
        let seconds = left_ns.div_ceil(1_000_000_000);
        if !open {
            // Just after the next whole second, so that the number shown is the right one.
            let to_second_ns = left_ns - (seconds - 1) * 1_000_000_000;
            ui.ctx().request_repaint_after(Duration::from_nanos(to_second_ns + 1_000_000));
        }
        let primary = Primary { label: words::GO_ON, open, marked: open };
        let keys = [words::KEYS_SESSION];
        let page = Page { facts, block: None, primary: Some(primary), keys: &keys };
        let clicked = page.show(ui, Some(pressed), |ui| {
            let (heading, text) = if self.standing {
                (words::BREAK_TITLE, words::BREAK_TEXT)
            } else {
                (words::REST_TITLE, words::REST_TEXT)
            };
            title(ui, heading);
            ui.label(text);
            if self.looked {
                ui.label(words::LOOK_GOES_ON);
            }
            remaining(ui, seconds, left_ns as f64 / (self.until - since).0.max(1) as f64);
            side(ui, if open { words::REST_OVER } else { words::REST_WAIT });
            ui.add_space(look::em_of(ui) * 0.6);
            let condition = facts.schedule.blocks.get(self.next).map(|block| block.condition);
            if let Some(condition) = condition.and_then(|c| facts.protocol.conditions.get(c)) {
                ui.label(words::comes_next(&names::hold(condition)));
            }
        });
        (open && (clicked || pressed.contains(&Pressed::Enter))).then_some(Answer::GoOn)
    }
}

/// The time that remains, in digits and as a bar that shrinks by the second; the digits
/// alone where motion is to be reduced.
fn remaining(ui: &mut Ui, seconds: u64, left_share: f64) {
    let em = look::em_of(ui);
    ui.add_space(em * 0.4);
    ui.label(RichText::new(words::time_left(seconds)).text_style(TextStyle::Heading));
    if look::reduced_motion(ui) {
        return;
    }
    let size = vec2(ui.available_width(), em * 0.5);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let says = words::rest_left(seconds);
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, &says));
    ui.painter().rect(rect, 0.0, PANEL, Stroke::new(1.0, LINE), StrokeKind::Inside);
    let mut bar = rect.shrink(1.0);
    #[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
    bar.set_width(bar.width() * left_share.clamp(0.0, 1.0) as f32);
    ui.painter().rect_filled(bar, 0.0, look::accent());
}
