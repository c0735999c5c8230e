//! What the player will see, in small: the wait and the stimulus, as the task itself lays them out.
//!
//! Painted by egui on the field's own grey. The marks are the scene's; only their scale differs.

use super::look::{self, LINE, TEXT};
use crate::protocol::Protocol;
use crate::scene::{Canvas, FIELD_GREY, Mark, Marks, Place, TARGET_RGB};
use crate::tasks::{TaskKind, View};
use crate::units::Span;
use crate::words::screens as words;
use egui::{
    Color32, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo,
    pos2, vec2,
};

/// Size of one picture, em.
const PICTURE_EM: Vec2 = vec2(6.4, 4.0);
/// Width of the arrow between the two, em.
const ARROW_EM: f32 = 1.6;
/// Share of a picture that its marks may fill.
const FILL_SHARE: f32 = 0.78;
/// The canvas the task lays its marks out on: one px a mm.
const CANVAS: Canvas =
    Canvas { width_px: 2000, height_px: 2000, px_per_mm: Some(1.0), rate_hz: 60.0 };

/// Width of both pictures, em.
pub(super) const WIDTH_EM: f32 = PICTURE_EM.x * 2.0 + ARROW_EM;

/// Draws the wait, an arrow, and the stimulus.
pub(super) fn show(ui: &mut Ui, protocol: &Protocol) {
    let em = look::em_of(ui);
    let scenes = scenes(protocol);
    let around = scenes.iter().flat_map(Marks::iter).map(extent).reduce(Rect::union);
    let Some(around) = around else { return };
    // The middle of the field stays the middle of the picture.
    let middle = point(CANVAS.centre());
    let reach = (around.max - middle).max(middle - around.min);
    let around = Rect::from_center_size(middle, reach * 2.0);
    let (rect, response) =
        ui.allocate_exact_size(vec2(WIDTH_EM, PICTURE_EM.y) * em, Sense::hover());
    let first = Rect::from_min_size(rect.min, PICTURE_EM * em);
    let second = first.translate(vec2((PICTURE_EM.x + ARROW_EM) * em, 0.0));
    for (marks, picture) in scenes.iter().zip([first, second]) {
        let painter = ui.painter().with_clip_rect(picture.intersect(ui.clip_rect()));
        painter.rect(picture, 0.0, grey(FIELD_GREY), Stroke::new(1.0, LINE), StrokeKind::Inside);
        let scale = (picture.size() * FILL_SHARE / around.size()).min_elem();
        let to = |at: Place| picture.center() + (point(at) - around.center()) * scale;
        for mark in marks.iter() {
            paint(&painter, mark, &to, scale);
        }
    }
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words::SAMPLE));
    arrow(ui.painter(), pos2(first.right() + ARROW_EM * em / 2.0, rect.center().y), em * 0.4);
}

/// The marks of a wait and of a stimulus.
fn scenes(protocol: &Protocol) -> [Marks; 2] {
    let task = protocol.task.task();
    let since_onset = match &protocol.task {
        // Half way out of its cover.
        TaskKind::Emergence(emergence) => {
            let speed_mm_s = emergence.speed_mm_s.round(0).max(1.0);
            Span::from_ms_f64(0.5 * protocol.stimulus.size_mm / speed_mm_s * 1e3)
        }
        // A little way along its path.
        TaskKind::Pursuit(_) => Span::from_ms(3_000),
        _ => Span::ZERO,
    };
    let aim = Place::default();
    let view = View { canvas: &CANVAS, look: protocol.stimulus, since_onset, aim };
    let stimulus = task.stimuli(1).into_iter().next();
    [task.wait(&view), stimulus.map_or(Marks::NONE, |one| task.target(one, &view))]
}

#[expect(clippy::cast_possible_truncation, reason = "a place on a small picture")]
const fn point(at: Place) -> Pos2 {
    pos2(at.x_px as f32, at.y_px as f32)
}

#[expect(clippy::cast_possible_truncation, reason = "a size on a small picture")]
const fn length(px: f64) -> f32 {
    px as f32
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1, times 255")]
fn grey(encoded: f64) -> Color32 {
    Color32::from_gray((encoded * 255.0).round() as u8)
}

/// The room a mark takes.
fn extent(mark: &Mark) -> Rect {
    match *mark {
        // With its ticks.
        Mark::Wait { at, size_px } => {
            Rect::from_center_size(point(at), Vec2::splat(length(size_px) * 1.4))
        }
        Mark::Target { at, size_px, .. } => {
            Rect::from_center_size(point(at), Vec2::splat(length(size_px)))
        }
        Mark::Chevron { at, size_px } => {
            let size = length(size_px);
            Rect::from_min_size(point(at) - vec2(size * 0.6, 0.0), vec2(size * 1.2, size))
        }
        Mark::Cover { at, width_px, height_px } => {
            Rect::from_center_size(point(at), vec2(length(width_px), length(height_px)))
        }
        Mark::Strip { at, cell_px, cells, .. } => {
            let across = length(cell_px) * f32::from(cells + 2);
            Rect::from_center_size(point(at), vec2(across, length(cell_px)))
        }
        Mark::Tile { at, size_px, .. } => {
            Rect::from_center_size(point(at), Vec2::splat(length(size_px)))
        }
    }
}

fn paint(painter: &Painter, mark: &Mark, to: &impl Fn(Place) -> Pos2, scale: f32) {
    match *mark {
        Mark::Wait { at, size_px } => wait(painter, to(at), length(size_px) * scale / 2.0),
        Mark::Target { at, size_px, contrast_share, .. } => {
            target(painter, to(at), length(size_px) * scale / 2.0, contrast_share);
        }
        Mark::Chevron { at, size_px } => {
            let (at, size) = (to(at), length(size_px) * scale);
            let stroke = Stroke::new(1.5, grey(0.16));
            for side in [-0.6, 0.6] {
                painter.line_segment([at, at + vec2(side * size, size)], stroke);
            }
        }
        // No task shows a strip or a tile; in small they are plain slabs.
        Mark::Cover { .. } | Mark::Strip { .. } | Mark::Tile { .. } => {
            let rect = extent(mark);
            let corner = |at: Pos2| to(Place { x_px: at.x.into(), y_px: at.y.into() });
            let rect = Rect::from_min_max(corner(rect.min), corner(rect.max));
            painter.rect_filled(rect, 0.0, grey(0.43));
        }
    }
}

/// An empty square and a short tick outwards at each corner.
fn wait(painter: &Painter, at: Pos2, half: f32) {
    let stroke = Stroke::new(1.0, grey(0.27));
    let square = Rect::from_center_size(at, Vec2::splat(half * 2.0));
    painter.rect_stroke(square, 0.0, stroke, StrokeKind::Inside);
    for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
        let out = |share: f32| at + vec2(x, y) * half * share;
        painter.line_segment([out(1.12), out(1.35)], stroke);
    }
}

/// A lozenge with a slot in its upper corner.
fn target(painter: &Painter, at: Pos2, half: f32, contrast_share: f64) {
    let mix = |colour: f64| FIELD_GREY + (colour - FIELD_GREY) * contrast_share;
    let [r, g, b] = TARGET_RGB.map(|colour| grey(mix(colour)).r());
    let corners = [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)];
    let corners = corners.map(|(x, y)| at + vec2(x, y) * half);
    let colour = Color32::from_rgb(r, g, b);
    painter.add(Shape::convex_polygon(corners.to_vec(), colour, Stroke::NONE));
    let slot = Rect::from_min_max(at + vec2(-0.17, -1.0) * half, at + vec2(0.17, -0.30) * half);
    painter.rect_filled(slot, 0.0, grey(FIELD_GREY));
}

fn arrow(painter: &Painter, at: Pos2, half: f32) {
    let head = [(-0.5, -0.8), (0.7, 0.0), (-0.5, 0.8)].map(|(x, y)| at + vec2(x, y) * half);
    painter.add(Shape::convex_polygon(head.to_vec(), TEXT, Stroke::NONE));
}
