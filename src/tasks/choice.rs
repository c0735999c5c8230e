//! Choice reaction: the target appears in the left or the right half, and the button of a side
//! answers it.
//!
//! Measures seeing, telling which of two, and clicking. Its errors are part of its answer: a hold
//! that is faster and errs more has bought speed with accuracy.

use super::simple::wait_mark;
use super::{AnsweredBy, Judged, Stimulus, Task, View, side_name};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;

/// Which button belongs to which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Map {
    /// Left side, left button.
    Same,
    /// Left side, right button.
    Crossed,
}

/// Two alternatives, told apart by place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Choice {
    /// Which button belongs to which side.
    pub map: Map,
    /// How far from the middle the target stands, mm.
    pub eccentricity_mm: f64,
}

impl Choice {
    fn answer(&self, side: Side) -> Side {
        match (self.map, side) {
            (Map::Same, side) => side,
            (Map::Crossed, Side::Left) => Side::Right,
            (Map::Crossed, _) => Side::Left,
        }
    }

    fn side(stimulus: Stimulus) -> Side {
        match stimulus {
            Stimulus::At(side) => side,
            // A schedule made by `stimuli` holds nothing else.
            Stimulus::Single | Stimulus::Emerging(_) | Stimulus::Away { .. } => Side::Left,
        }
    }
}

impl Task for Choice {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        let sides = [Side::Left, Side::Right];
        (0..count).map(|i| Stimulus::At(sides[i % 2])).collect()
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: Side::Up, contrast_share };
        Marks::of(&[wait_mark(view), target])
    }

    fn animated(&self) -> bool {
        false
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, stimulus: Stimulus) -> &'static str {
        side_name(self.answer(Self::side(stimulus)))
    }

    fn judge(&self, stimulus: Stimulus, button: Button, _: &View) -> Judged {
        if button.name() == self.expected(stimulus) { Judged::Right } else { Judged::Wrong }
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let away_px = view.canvas.px(self.eccentricity_mm);
        let x_px = match Self::side(stimulus) {
            Side::Right => centre.x_px + away_px,
            Side::Left | Side::Up | Side::Down => centre.x_px - away_px,
        };
        (Place { x_px, y_px: centre.y_px }, view.canvas.px(view.look.size_mm))
    }
}
