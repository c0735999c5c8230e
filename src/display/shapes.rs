//! From a scene to the numbers that the marks' shader reads: one instance a mark.
//!
//! Pure: no device, no time. Still marks are laid on whole pixels, so that their straight edges
//! are sharp; targets and chevrons keep their place to a fraction, since they may glide.

use crate::scene::{FIELD_GREY, MOST_MARKS, Mark, Place, Scene, Side, TARGET_RGB};

/// Floats of one instance: middle, half extents, colour, kind, turns, line, reach.
pub(super) const INSTANCE_FLOATS: usize = 12;
/// Instances of one picture: the marks and the patch of the clock check.
pub(super) const MOST_INSTANCES: usize = MOST_MARKS + 1;

/// Encoded grey of lines, of the chevron and of words: dark, not black, on the mid-grey field.
pub(super) const INK_GREY: f64 = 0.16;
/// Encoded grey of the wait mark, calmer than the ink.
const WAIT_GREY: f64 = 0.27;
/// Encoded grey of a cover.
const COVER_GREY: f64 = 0.43;

const KIND_SLAB: f64 = 0.0;
const KIND_WAIT: f64 = 1.0;
const KIND_TARGET: f64 = 2.0;
const KIND_CHEVRON: f64 = 3.0;
const KIND_STRIP: f64 = 4.0;

/// Encoded greys of the strip's squares. Their relative luminances (0.16 and 0.25) differ by less
/// than the tenth from which a change counts as a flash.
const STRIP_GREYS: [f64; 2] = [0.44, 0.54];
/// Encoded greys of the tile, which changes at most three times a second.
const TILE_GREYS: [f64; 2] = [0.36, 0.80];

/// One quad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Instance {
    /// Floats in the order of the shader's inputs.
    pub(super) floats: [f32; INSTANCE_FLOATS],
}

struct Shape {
    at: Place,
    half_px: [f64; 2],
    rgb: [f64; 3],
    kind: f64,
    turns: f64,
    line_px: f64,
    reach_px: f64,
}

impl Shape {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "pixels and shares, as the shader has them"
    )]
    fn instance(&self) -> Instance {
        let f = |x: f64| x as f32;
        Instance {
            floats: [
                f(self.at.x_px),
                f(self.at.y_px),
                f(self.half_px[0]),
                f(self.half_px[1]),
                f(self.rgb[0]),
                f(self.rgb[1]),
                f(self.rgb[2]),
                1.0,
                f(self.kind),
                f(self.turns),
                f(self.line_px),
                f(self.reach_px),
            ],
        }
    }
}

/// The instances of a scene's marks, in painting order.
pub(super) fn instances(scene: &Scene) -> impl Iterator<Item = Instance> {
    scene.marks.iter().map(|mark| shape(*mark).instance())
}

/// A plain square of `grey`, whose upper left corner is at `corner`.
pub(super) fn patch(corner: Place, side_px: f64, grey: f64) -> Instance {
    let half = side_px / 2.0;
    let at = Place { x_px: corner.x_px + half, y_px: corner.y_px + half };
    slab(at, [half, half], grey).instance()
}

fn shape(mark: Mark) -> Shape {
    match mark {
        Mark::Wait { at, size_px } => {
            let half = (size_px / 2.0).round().max(3.0);
            Shape {
                at: whole(at),
                half_px: [half, half],
                rgb: [WAIT_GREY; 3],
                kind: KIND_WAIT,
                turns: 0.0,
                line_px: (size_px / 40.0).round().max(1.0),
                reach_px: half * 1.4 + 2.0,
            }
        }
        Mark::Target { at, size_px, notch, contrast_share } => {
            let half = size_px / 2.0;
            let mix = |colour: f64| FIELD_GREY + (colour - FIELD_GREY) * contrast_share;
            Shape {
                at,
                half_px: [half, half],
                rgb: TARGET_RGB.map(mix),
                kind: KIND_TARGET,
                turns: quarter_turns(notch),
                line_px: 0.0,
                reach_px: half + 1.5,
            }
        }
        Mark::Chevron { at, size_px } => Shape {
            at,
            half_px: [size_px * 0.6, size_px.round()],
            rgb: [INK_GREY; 3],
            kind: KIND_CHEVRON,
            turns: 0.0,
            line_px: (size_px * 0.18).max(1.5),
            reach_px: size_px + 1.5,
        },
        Mark::Cover { at, width_px, height_px } => {
            slab(whole(at), [(width_px / 2.0).round(), (height_px / 2.0).round()], COVER_GREY)
        }
        Mark::Strip { at, cell_px, cells, code } => {
            let half = (cell_px / 2.0).round().max(2.0);
            let half_px = [half * f64::from(cells + 2), half];
            Shape {
                at: whole(at),
                half_px,
                rgb: [STRIP_GREYS[1]; 3],
                kind: KIND_STRIP,
                turns: f64::from(code),
                line_px: STRIP_GREYS[0],
                reach_px: half_px[0] + 1.0,
            }
        }
        Mark::Tile { at, size_px, lit } => {
            let half = (size_px / 2.0).round();
            slab(whole(at), [half, half], TILE_GREYS[usize::from(lit)])
        }
    }
}

fn slab(at: Place, half_px: [f64; 2], grey: f64) -> Shape {
    Shape {
        at,
        half_px,
        rgb: [grey; 3],
        kind: KIND_SLAB,
        turns: 0.0,
        line_px: 0.0,
        reach_px: half_px[0].max(half_px[1]) + 1.0,
    }
}

fn whole(at: Place) -> Place {
    Place { x_px: at.x_px.round(), y_px: at.y_px.round() }
}

const fn quarter_turns(notch: Side) -> f64 {
    match notch {
        Side::Up => 0.0,
        Side::Right => 1.0,
        Side::Down => 2.0,
        Side::Left => 3.0,
    }
}
