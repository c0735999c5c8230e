//! Onset: a target in the middle is answered by beginning to move the mouse, in any direction.
//!
//! Measures seeing and starting the hand, without any press: a hold that preloads the button has
//! no advantage here. It does not measure clicking, aiming or deciding. The movement has to go a
//! set way before it counts, so that a shake is no answer; its time is that of its start.

use super::simple::wait_mark;
use super::{AnsweredBy, Given, Judged, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use serde::Serialize;
use std::borrow::Cow;

/// Begin to move when the target appears.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Onset {
    /// How far the mouse goes for an answer, counts.
    pub travel_counts: f64,
}

impl Task for Onset {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        vec![Stimulus::Single; count]
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

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Move
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "move".into()
    }

    fn judge(&self, _: Stimulus, given: Given, _: &View) -> Judged {
        match given {
            Given::Moved(_) => Judged::Right,
            Given::Button(_) => Judged::Wrong,
        }
    }

    fn place(&self, _: Stimulus, view: &View) -> (Place, f64) {
        (view.canvas.centre(), view.canvas.px(view.look.size_mm))
    }

    fn travel_counts(&self) -> f64 {
        self.travel_counts
    }
}
