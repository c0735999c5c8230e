//! The band of force to keep before a block: a bar with the band of this hold and a mark where the
//! hand is now. On the card only; never during a trial.

use super::look;
use super::page::side;
use crate::protocol::Tension;
use crate::words::force as words;
use egui::{Rect, Sense, Stroke, Ui, Vec2, pos2, vec2};
use std::time::Duration;

/// The bar ends at this share of the comfortable strong grip.
const ENDS_AT: f64 = 1.2;
/// How often the mark is drawn anew: calm, and still of now.
const AGAIN: Duration = Duration::from_millis(100);

/// The band of a tension, share of a comfortable strong grip: firm is 3 to 4 of 10, with some room;
/// the others are no squeeze. Common practice, no source.
pub(super) const fn band(tension: Tension) -> Option<(f64, f64)> {
    match tension {
        Tension::Light => Some((0.0, 0.15)),
        Tension::Shaped => Some((0.0, 0.2)),
        Tension::Firm => Some((0.25, 0.45)),
        Tension::Other => None,
    }
}

/// Draws the bar; `now` once the axis has told something.
pub(super) fn show(ui: &mut Ui, tension: Tension, now: Option<f64>) {
    let Some((low, high)) = band(tension) else { return };
    let em = look::em_of(ui);
    ui.label(words::BAND);
    let size = vec2(ui.available_width().min(24.0 * em), 1.4 * em);
    let (area, response) = ui.allocate_exact_size(size, Sense::hover());
    let at = |share: f64| area.left() + area.width() * fraction(share);
    let ink = ui.visuals().text_color();
    let paint = ui.painter();
    paint.rect_stroke(area, 2.0, Stroke::new(1.0, ink), egui::StrokeKind::Inside);
    let inside =
        Rect::from_x_y_ranges(at(low)..=at(high), area.y_range()).shrink2(Vec2::new(0.0, 3.0));
    paint.rect_filled(inside, 1.0, ui.visuals().selection.bg_fill);
    let told = match now {
        Some(share) => {
            // A line with a foot: told by its place, not by its colour.
            let x = at(share);
            paint
                .line_segment([pos2(x, area.top()), pos2(x, area.bottom())], Stroke::new(3.0, ink));
            words::band_now(share)
        }
        None => "–".to_owned(),
    };
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &told));
    side(ui, &told);
    side(ui, words::BAND_HINT);
    ui.ctx().request_repaint_after(AGAIN);
}

#[expect(clippy::cast_possible_truncation, reason = "0 to 1")]
fn fraction(share: f64) -> f32 {
    (share / ENDS_AT).clamp(0.0, 1.0) as f32
}
