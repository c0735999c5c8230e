//! Vigilance: the simple reaction again and again, for long, at random intervals.
//!
//! Measures how a hold keeps over a long dull watch: slow presses (lapses) and their number. It says
//! nothing about fitness to drive or work. Under light holds only: the hand holds for minutes.

use super::{AnsweredBy, Given, Judged, Simple, Stimulus, Task, View};
use crate::scene::{Marks, Place};
use serde::Serialize;
use std::borrow::Cow;

/// Press when the target appears, for many minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Vigilance {}

const SIMPLE: Simple = Simple {};

impl Task for Vigilance {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        SIMPLE.stimuli(count)
    }

    fn wait(&self, view: &View) -> Marks {
        SIMPLE.wait(view)
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        SIMPLE.target(stimulus, view)
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, stimulus: Stimulus) -> Cow<'static, str> {
        SIMPLE.expected(stimulus)
    }

    fn judge(&self, stimulus: Stimulus, given: Given, view: &View) -> Judged {
        SIMPLE.judge(stimulus, given, view)
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        SIMPLE.place(stimulus, view)
    }
}
