//! Emergence: the player already aims at an edge, and a target slides out from behind it at a set
//! speed; the onset is its first visible part.
//!
//! The trial that practitioners play with a partner who steps into view (common practice, no
//! source). Measures seeing a small moving part and clicking; not aiming, since the aim is there.

use super::{AnsweredBy, Judged, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;

/// A target that slides out sideways.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Emergence {
    /// How fast it slides, mm a second.
    pub speed_mm_s: f64,
}

/// Width of the slab that hides the target, in target sizes.
const COVER_WIDTHS: f64 = 1.6;
/// Height of the slab, in target sizes.
const COVER_HEIGHTS: f64 = 4.0;

impl Emergence {
    fn side(stimulus: Stimulus) -> Side {
        match stimulus {
            Stimulus::Emerging(side) => side,
            // A schedule made by `stimuli` holds nothing else.
            Stimulus::Single | Stimulus::At(_) | Stimulus::Away { .. } => Side::Right,
        }
    }

    fn scenery(&self, view: &View, target: Option<Mark>) -> Marks {
        let centre = view.canvas.centre();
        let size_px = view.canvas.px(view.look.size_mm);
        let width_px = size_px * COVER_WIDTHS;
        let cover = Mark::Cover { at: centre, width_px, height_px: size_px * COVER_HEIGHTS };
        let chevron = |x_px| Mark::Chevron {
            at: Place { x_px, y_px: centre.y_px + size_px * 0.75 },
            size_px: size_px / 3.0,
        };
        let (left, right) =
            (chevron(centre.x_px - width_px / 2.0), chevron(centre.x_px + width_px / 2.0));
        match target {
            Some(target) => Marks::of(&[target, cover, left, right]),
            None => Marks::of(&[cover, left, right]),
        }
    }
}

impl Task for Emergence {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let sides = [Side::Left, Side::Right];
        (0..count).map(|i| Stimulus::Emerging(sides[i % 2])).collect()
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

    fn expected(&self, _: Stimulus) -> &'static str {
        "left"
    }

    fn judge(&self, _: Stimulus, button: Button, _: &View) -> Judged {
        if button == Button::Left { Judged::Right } else { Judged::Wrong }
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let size_px = view.canvas.px(view.look.size_mm);
        // The leading corner stands at the edge one frame before the first part is to be seen, so
        // the frame drawn for `since_onset` = 0 already shows one refresh worth of it.
        let run_s = view.since_onset.max(crate::units::Span::ZERO).s() + view.canvas.refresh().s();
        let hidden_px = size_px * COVER_WIDTHS / 2.0 - size_px / 2.0;
        // It stops once it is wholly out, half a size clear of the edge.
        let out_px = (view.canvas.px(self.speed_mm_s) * run_s).min(size_px * 1.5);
        let x_px = match Self::side(stimulus) {
            Side::Left => centre.x_px - hidden_px - out_px,
            Side::Right | Side::Up | Side::Down => centre.x_px + hidden_px + out_px,
        };
        (Place { x_px, y_px: centre.y_px }, size_px)
    }
}
