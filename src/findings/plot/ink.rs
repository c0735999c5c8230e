//! The house's ink: paper, lines, and a shape and a colour a hold.
//!
//! # Source
//! Okabe & Ito, Color Universal Design (2008), for the colours of holds.

use super::draw::{Colour, Drawing, Item, Point, Stroke, at};

/// Under everything.
pub const PAPER: Colour = Colour::of(0x00FA_F9F5);
/// Text and marks.
pub const INK: Colour = Colour::of(0x0020_2A33);
/// Text that stands back.
pub const MUTED: Colour = Colour::of(0x005B_6670);
/// Lines that stand back.
pub const HAIRLINE: Colour = Colour::of(0x00D8_D8D0);
/// The band of differences that do not matter.
pub const BAND: Colour = Colour::of(0x00E9_E6DA);

/// Blue, vermilion, bluish green, reddish purple, orange, sky blue.
const HOLDS: [Colour; 6] = [
    Colour::of(0x0000_72B2),
    Colour::of(0x00D5_5E00),
    Colour::of(0x0000_9E73),
    Colour::of(0x00CC_79A7),
    Colour::of(0x00E6_9F00),
    Colour::of(0x0056_B4E9),
];

/// The colour of a hold, by its place in the protocol.
pub fn colour_of(condition: usize) -> Colour {
    HOLDS[condition % HOLDS.len()]
}

/// The shape of a hold's marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// A circle.
    Round,
    /// A square.
    Square,
    /// A triangle, point up.
    Triangle,
    /// A square on its corner.
    Lozenge,
    /// A triangle, point down.
    Wedge,
    /// A bar upright.
    Bar,
}

/// The shape of a hold, by its place in the protocol.
pub fn shape_of(condition: usize) -> Shape {
    const SHAPES: [Shape; 6] =
        [Shape::Round, Shape::Square, Shape::Triangle, Shape::Lozenge, Shape::Wedge, Shape::Bar];
    SHAPES[condition % SHAPES.len()]
}

/// Adds the mark of a hold; `radius_px`: of the circle that has about its area.
pub fn marker(
    drawing: &mut Drawing,
    condition: usize,
    middle: Point,
    radius_px: f64,
    fill: Colour,
    edge: Option<Colour>,
) {
    let width_px = (radius_px / 4.0).max(1.0);
    let stroke = edge.map(|colour| Stroke { colour, width_px, dash_px: None });
    let corners: &[[f64; 2]] = match shape_of(condition) {
        Shape::Round => {
            drawing.items.push(Item::Dot { at: middle, radius_px, fill: Some(fill), stroke });
            return;
        }
        Shape::Square => &[[-0.89, -0.89], [0.89, -0.89], [0.89, 0.89], [-0.89, 0.89]],
        Shape::Triangle => &[[0.0, -1.2], [1.15, 0.8], [-1.15, 0.8]],
        Shape::Lozenge => &[[0.0, -1.25], [1.25, 0.0], [0.0, 1.25], [-1.25, 0.0]],
        Shape::Wedge => &[[0.0, 1.2], [1.15, -0.8], [-1.15, -0.8]],
        Shape::Bar => &[[-0.5, -1.4], [0.5, -1.4], [0.5, 1.4], [-0.5, 1.4]],
    };
    let place = |[x, y]: &[f64; 2]| at(middle.x + radius_px * x, middle.y + radius_px * y);
    let points = corners.iter().map(place).collect();
    drawing.items.push(Item::Closed { points, fill: Some(fill), stroke });
}
