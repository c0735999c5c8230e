//! Paints a draw list of the findings with egui: the same list that the report and the pictures are
//! painted from, so that window, report and picture cannot disagree.

use crate::findings::plot::{Align, Colour, Drawing, Item, Point, Stroke, Text, Weight};
use egui::text::{LayoutJob, TextFormat};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Response, Role, Sense, Shape, Ui, vec2};
use std::sync::Arc;

/// Draws `drawing` as wide as `width`, on its paper; the screen reader is told what it shows.
pub(super) fn show(ui: &mut Ui, drawing: &Drawing, width: f32) -> Response {
    let scale = width / px(f64::from(drawing.width_px));
    let size = vec2(width, px(f64::from(drawing.height_px)) * scale);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    // A plot without paper of its own is made for the report's page.
    let paper = drawing.paper.unwrap_or(crate::findings::plot::PAPER);
    painter.rect_filled(rect, 0.0, colour(paper));
    let sheet = Sheet { painter: &painter, rect, scale };
    for item in &drawing.items {
        sheet.item(item);
    }
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Image, true, &drawing.says));
    response
}

struct Sheet<'a> {
    painter: &'a Painter,
    rect: Rect,
    scale: f32,
}

impl Sheet<'_> {
    fn at(&self, point: Point) -> Pos2 {
        self.rect.min + vec2(px(point.x), px(point.y)) * self.scale
    }

    fn stroke(&self, stroke: &Stroke) -> egui::Stroke {
        egui::Stroke::new(px(stroke.width_px) * self.scale, colour(stroke.colour))
    }

    fn item(&self, item: &Item) {
        match item {
            Item::Slab { at, width_px, height_px, fill } => {
                let size = vec2(px(*width_px), px(*height_px)) * self.scale;
                let rect = Rect::from_min_size(self.at(*at), size);
                self.painter.rect_filled(rect, 0.0, colour(*fill));
            }
            Item::Line { points, stroke } => {
                let points: Vec<Pos2> = points.iter().map(|point| self.at(*point)).collect();
                self.line(&points, stroke);
            }
            Item::Closed { points, fill, stroke } => {
                let points: Vec<Pos2> = points.iter().map(|point| self.at(*point)).collect();
                if let Some(fill) = fill {
                    self.fill(&points, colour(*fill));
                }
                if let Some(stroke) = stroke {
                    self.painter.add(Shape::closed_line(points, self.stroke(stroke)));
                }
            }
            Item::Dot { at, radius_px, fill, stroke } => {
                let (middle, radius) = (self.at(*at), px(*radius_px) * self.scale);
                if let Some(fill) = fill {
                    self.painter.circle_filled(middle, radius, colour(*fill));
                }
                if let Some(stroke) = stroke {
                    self.painter.circle_stroke(middle, radius, self.stroke(stroke));
                }
            }
            Item::Text(text) => self.text(text),
        }
    }

    fn line(&self, points: &[Pos2], stroke: &Stroke) {
        let drawn = self.stroke(stroke);
        match stroke.dash_px {
            Some(dash) => {
                let dash = px(dash) * self.scale;
                self.painter.extend(Shape::dashed_line(points, drawn, dash, dash));
            }
            None => {
                self.painter.add(Shape::line(points.to_vec(), drawn));
            }
        }
    }

    /// A shape that may be hollowed inwards: egui fills outlines that bulge only, so it is cut into
    /// slabs between neighbouring points where its upper and lower edge are told apart by x.
    fn fill(&self, points: &[Pos2], colour: Color32) {
        if bulges(points) {
            self.painter.add(Shape::convex_polygon(points.to_vec(), colour, egui::Stroke::NONE));
            return;
        }
        let mesh = super::fill::mesh(points, colour);
        self.painter.add(Shape::mesh(mesh));
    }

    fn text(&self, text: &Text) {
        let anchor = match text.align {
            Align::Start => Align2::LEFT_BOTTOM,
            Align::Middle => Align2::CENTER_BOTTOM,
            Align::End => Align2::RIGHT_BOTTOM,
        };
        let size = px(text.size_px) * self.scale;
        // The point lies on the base line; a line of text reaches about a fifth below it.
        let at = self.at(text.at) + vec2(0.0, size * 0.24);
        let ink = colour(text.colour);
        let galley = self.painter.layout_job(job(&text.says, size, ink));
        let at = anchor.anchor_size(at, galley.size()).min;
        if text.weight == Weight::Strong {
            // The open font has one weight: a second print half a pixel beside it.
            self.painter.galley(at + vec2(0.5, 0.0), Arc::clone(&galley), ink);
        }
        self.painter.galley(at, galley, ink);
    }
}

/// A line of text; its arrows come from the font that has them.
fn job(says: &str, size: f32, ink: Color32) -> LayoutJob {
    let mut job = LayoutJob::default();
    for part in says.split_inclusive(is_arrow) {
        let end = part.find(is_arrow).unwrap_or(part.len());
        let (words, arrow) = part.split_at(end);
        job.append(words, 0.0, TextFormat::simple(FontId::proportional(size), ink));
        job.append(arrow, 0.0, TextFormat::simple(FontId::monospace(size), ink));
    }
    job
}

fn is_arrow(letter: char) -> bool {
    ('\u{2190}'..='\u{21ff}').contains(&letter)
}

/// Whether every corner turns the same way.
fn bulges(points: &[Pos2]) -> bool {
    let count = points.len();
    let turn = |i: usize| {
        let [a, b, c] = [0, 1, 2].map(|step| points[(i + step) % count]);
        (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)
    };
    let turns: Vec<f32> = (0..count).map(turn).collect();
    turns.iter().all(|turn| *turn >= -1e-3) || turns.iter().all(|turn| *turn <= 1e-3)
}

const fn colour(colour: Colour) -> Color32 {
    // Straight opacity, as the report has it.
    Color32::from_rgba_unmultiplied_const(colour.r, colour.g, colour.b, colour.a)
}

#[expect(clippy::cast_possible_truncation, reason = "a place on a small picture")]
const fn px(value: f64) -> f32 {
    value as f32
}
