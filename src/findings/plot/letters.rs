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

/// Breaks a text at its spaces into lines at most `width_px` wide; a longer word stands alone, and
/// a number stays with its unit.
pub fn wrap(text: &str, size_px: f64, width_px: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words(text) {
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

/// The pieces that a line is made of.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(number)
                if word.starts_with("ms") && number.ends_with(|c: char| c.is_numeric()) =>
            {
                *number = format!("{number} {word}");
            }
            Some(_) | None => words.push(word.to_owned()),
        }
    }
    words
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_their_width_and_lose_no_word() {
        let text = "Firm clicked 14 ms sooner than light, give or take 8: more than 5 ms.";
        for width_px in [80.0, 140.0, 333.0, 900.0] {
            let lines = wrap(text, 20.0, width_px);
            assert_eq!(lines.join(" "), text);
            let fits = |line: &String| width(line, 20.0) <= width_px || words(line).len() == 1;
            assert!(lines.iter().all(fits), "{lines:?}");
            assert!(lines.iter().all(|line| !line.starts_with("ms")), "{lines:?}");
        }
    }

    #[test]
    fn widths_come_from_the_font() {
        assert!(width("iiii", 20.0) < width("mmmm", 20.0));
        assert!((width("mm", 40.0) - 2.0 * width("mm", 20.0)).abs() < 1e-9);
    }
}
