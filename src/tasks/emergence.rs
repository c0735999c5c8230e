//! Emergence: the player already aims at an edge, and a target slides out from behind it at a set
//! speed; the onset is its first visible part.
//!
//! The trial that practitioners play with a partner who steps into view (common practice, no
//! source). Measures seeing a small moving part and clicking; not aiming, since the aim is there.
//! A click before the first visible part is early. The target may stop half covered.

use super::{AnsweredBy, Given, Judged, Levels, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;
use std::borrow::Cow;

/// To which sides the target slides out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sides {
    /// Left or right, each half of the time.
    Both,
    /// Always left.
    Left,
    /// Always right.
    Right,
}

/// A target that slides out sideways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emergence {
    /// How fast it slides, mm a second; several speeds come equally often.
    pub speed_mm_s: Levels,
    /// To which sides.
    #[serde(skip_serializing_if = "are_both")]
    pub sides: Sides,
    /// How much of its width comes out, 0.1 to 1; less than 1 stays partly covered.
    #[serde(skip_serializing_if = "is_whole")]
    pub out_share: f64,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn are_both(sides: &Sides) -> bool {
    *sides == Sides::Both
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn is_whole(share: &f64) -> bool {
    *share >= 1.0
}

/// Width of the slab that hides the target, in target sizes.
const COVER_WIDTHS: f64 = 1.6;
/// Height of the slab, in target sizes.
const COVER_HEIGHTS: f64 = 4.0;
/// Wholly out, it goes on until it stands half a size clear of the edge.
const CLEAR: f64 = 1.5;

impl Emergence {
    /// Wholly out to either side, at one speed.
    pub fn at(speed_mm_s: f64) -> Emergence {
        let speed_mm_s = Levels::one(speed_mm_s);
        Emergence { speed_mm_s, sides: Sides::Both, out_share: 1.0 }
    }

    fn side(stimulus: Stimulus) -> Side {
        match stimulus {
            Stimulus::Emerging { side, .. } => side,
            // A schedule made by `stimuli` holds nothing else.
            _ => Side::Right,
        }
    }

    fn speed(&self, stimulus: Stimulus) -> f64 {
        match stimulus {
            Stimulus::Emerging { speed_mm_s: Some(speed), .. } => speed,
            _ => self.speed_mm_s.round(0),
        }
    }

    fn scenery(&self, view: &View, target: Option<Mark>) -> Marks {
        let centre = view.canvas.centre();
        let size_px = view.canvas.px(view.look.size_mm);
        let width_px = size_px * COVER_WIDTHS;
        let cover = Mark::Cover { at: centre, width_px, height_px: size_px * COVER_HEIGHTS };
        let chevron = |side: f64| Mark::Chevron {
            at: Place {
                x_px: centre.x_px + side * width_px / 2.0,
                y_px: centre.y_px + size_px * 0.75,
            },
            size_px: size_px / 3.0,
        };
        let (left, right) = (chevron(-1.0), chevron(1.0));
        let (left, right) = match self.sides {
            Sides::Both => (Some(left), Some(right)),
            Sides::Left => (Some(left), None),
            Sides::Right => (None, Some(right)),
        };
        // Drawn anew for each frame between stimulus and response: nothing is allocated.
        Marks::from_iter([target, Some(cover), left, right].into_iter().flatten())
    }
}

impl Task for Emergence {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let sides: &[Side] = match self.sides {
            Sides::Both => &[Side::Left, Side::Right],
            Sides::Left => &[Side::Left],
            Sides::Right => &[Side::Right],
        };
        let several = self.speed_mm_s.values().len() > 1;
        (0..count)
            .map(|i| Stimulus::Emerging {
                side: sides[i % sides.len()],
                speed_mm_s: several.then(|| self.speed_mm_s.round(i / sides.len())),
            })
            .collect()
    }

    fn wait(&self, view: &View) -> Marks {
        self.scenery(view, None)
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        self.scenery(view, Some(Mark::Target { at, size_px, notch: Side::Up, contrast_share }))
    }

    fn animated(&self) -> bool {
        true
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "left".into()
    }

    fn judge(&self, _: Stimulus, given: Given, _: &View) -> Judged {
        if given == Given::Button(Button::Left) { Judged::Right } else { Judged::Wrong }
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let size_px = view.canvas.px(view.look.size_mm);
        // The leading corner stands at the edge one frame before the first part is to be seen, so
        // the frame drawn for `since_onset` = 0 already shows one refresh worth of it.
        let run_s = view.since_onset.max(crate::units::Span::ZERO).s() + view.canvas.refresh().s();
        let hidden_px = size_px * COVER_WIDTHS / 2.0 - size_px / 2.0;
        let stops_px =
            if self.out_share < 1.0 { size_px * self.out_share } else { size_px * CLEAR };
        let out_px = (view.canvas.px(self.speed(stimulus)) * run_s).min(stops_px);
        let x_px = match Self::side(stimulus) {
            Side::Left => centre.x_px - hidden_px - out_px,
            Side::Right | Side::Up | Side::Down => centre.x_px + hidden_px + out_px,
        };
        (Place { x_px, y_px: centre.y_px }, size_px)
    }
}
