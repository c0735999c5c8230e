//! Letters: widths, line breaks and outlines, from the open font that the program carries.
//!
//! Text in, numbers and curves out. A letter that the font lacks takes the font's own empty box.

use super::draw::{Align, Point, Text, at};
use ab_glyph::{Font, FontRef, OutlineCurve};
use std::sync::LazyLock;

static FONT: LazyLock<FontRef<'static>> = LazyLock::new(|| {
    FontRef::try_from_slice(epaint_default_fonts::UBUNTU_LIGHT)
        .expect("the font comes with the program and was tried")
});

/// Pixels a font unit at this size (height of the font's em square).
fn scale(size_px: f64) -> f64 {
    size_px / f64::from(FONT.units_per_em().unwrap_or(1000.0))
}

/// Width of a line of text, px.
pub fn width(text: &str, size_px: f64) -> f64 {
    let mut units = 0.0;
    let mut before = None;
    for letter in text.chars() {
        let glyph = FONT.glyph_id(letter);
        units += f64::from(FONT.h_advance_unscaled(glyph));
        if let Some(before) = before {
            units += f64::from(FONT.kern_unscaled(before, glyph));
        }
        before = Some(glyph);
    }
    units * scale(size_px)
}

/// Breaks a text at its spaces into lines at most `width_px` wide; a longer word stands alone.
pub fn wrap(text: &str, size_px: f64, width_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        if let Some(line) = lines.last_mut() {
            let longer = format!("{line} {word}");
            if width(&longer, size_px) <= width_px {
                *line = longer;
                continue;
            }
        }
        lines.push(word.to_owned());
    }
    lines
}

/// A step along an outline, px on the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// A new contour begins.
    Move(Point),
    /// Straight on.
    Line(Point),
    /// A quadratic curve: its control and its end.
    Quad(Point, Point),
    /// A cubic curve: its two controls and its end.
    Cubic(Point, Point, Point),
}

/// The outlines of a line of text where it stands.
pub fn outline(text: &Text) -> Vec<Step> {
    let scale = scale(text.size_px);
    let whole = width(&text.says, text.size_px);
    let mut pen = match text.align {
        Align::Start => text.at.x,
        Align::Middle => text.at.x - whole / 2.0,
        Align::End => text.at.x - whole,
    };
    let mut steps = Vec::new();
    let mut before = None;
    for letter in text.says.chars() {
        let glyph = FONT.glyph_id(letter);
        if let Some(before) = before {
            pen += scale * f64::from(FONT.kern_unscaled(before, glyph));
        }
        if let Some(outline) = FONT.outline(glyph) {
            let place = |p: ab_glyph::Point| {
                at(pen + scale * f64::from(p.x), text.at.y - scale * f64::from(p.y))
            };
            push_curves(&mut steps, &outline.curves, place);
        }
        pen += scale * f64::from(FONT.h_advance_unscaled(glyph));
        before = Some(glyph);
    }
    steps
}

fn push_curves(
    steps: &mut Vec<Step>,
    curves: &[OutlineCurve],
    place: impl Fn(ab_glyph::Point) -> Point,
) {
    let mut pen: Option<ab_glyph::Point> = None;
    for curve in curves {
        let (start, end) = match *curve {
            OutlineCurve::Line(a, b)
            | OutlineCurve::Quad(a, _, b)
            | OutlineCurve::Cubic(a, _, _, b) => (a, b),
        };
        // The font's curves carry no mark between contours: a jump is one.
        if pen != Some(start) {
            steps.push(Step::Move(place(start)));
        }
        steps.push(match *curve {
            OutlineCurve::Line(_, b) => Step::Line(place(b)),
            OutlineCurve::Quad(_, c, b) => Step::Quad(place(c), place(b)),
            OutlineCurve::Cubic(_, c, d, b) => Step::Cubic(place(c), place(d), place(b)),
        });
        pen = Some(end);
    }
}
