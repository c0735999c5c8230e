//! Vigilance: the simple reaction again and again, for long, at random intervals.
//!
//! Measures how a hold keeps over a long dull watch: slow presses (lapses) and their number. It says
//! nothing about fitness to drive or work. Under light holds only: the hand holds for minutes.

use super::{AnsweredBy, Given, Judged, Simple, Stimulus, Task, View};
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

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, stimulus: Stimulus) -> Cow<'static, str> {
        SIMPLE.expected(stimulus)
    }

    fn judge(&self, stimulus: Stimulus, given: Given, view: &View) -> Judged {
        SIMPLE.judge(stimulus, given, view)
    }
}
