//! Simple reaction: one target in the middle, any of the named button's presses answers it.
//!
//! Measures seeing and clicking as one time. It does not measure deciding between things, aiming,
//! or when the hand began to move (the hand does not travel).

use super::{AnsweredBy, Given, Judged, Stimulus, Task, View};
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

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "left".into()
    }

    fn judge(&self, _: Stimulus, given: Given, _: &View) -> Judged {
        if given == Given::Button(Button::Left) { Judged::Right } else { Judged::Wrong }
    }
}
