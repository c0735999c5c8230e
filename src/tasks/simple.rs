//! Simple reaction: one target in the middle, any of the named button's presses answers it.
//!
//! Measures seeing and clicking as one time. It does not measure deciding between things, aiming,
//! or when the hand began to move (the hand does not travel).

use super::{AnsweredBy, Given, Judged, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;
use std::borrow::Cow;

/// Press the left button when the target appears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Simple {}

impl Task for Simple {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        vec![Stimulus::Single; count]
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let target =
            Mark::Target { at, size_px, notch: Side::Up, contrast_share: view.look.contrast_share };
        Marks::of(&[wait_mark(view), target])
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

    fn place(&self, _: Stimulus, view: &View) -> (Place, f64) {
        (view.canvas.centre(), view.canvas.px(view.look.size_mm))
    }
}

/// The wait mark in the middle, a little larger than the target that will stand in it.
pub(super) fn wait_mark(view: &View) -> Mark {
    const WAIT_TO_TARGET: f64 = 1.5;
    Mark::Wait {
        at: view.canvas.centre(),
        size_px: view.canvas.px(view.look.size_mm) * WAIT_TO_TARGET,
    }
}
