//! Onset: a target in the middle is answered by beginning to move the mouse, in any direction.
//!
//! Measures seeing and starting the hand, without any press: a hold that preloads the button has
//! no advantage here. It does not measure clicking, aiming or deciding. The movement has to go a
//! set way before it counts, so that a shake is no answer; its time is that of its start.

use super::{AnsweredBy, Given, Judged, Stimulus, Task, View};
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

    fn travel_counts(&self) -> f64 {
        self.travel_counts
    }
}
