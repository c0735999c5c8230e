//! Tapping: press the button as often as you comfortably can for a few seconds.
//!
//! Measures the pace of one finger and how it declines; not reaction, and not how fast a single
//! press is. The time from tap to tap is what is compared; shorter is quicker.

use super::simple::wait_mark;
use super::{AnsweredBy, Given, Judged, Run, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Span;
use serde::Serialize;
use std::borrow::Cow;

/// Tap while the target is there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tapping {
    /// For how long, s.
    pub run_s: f64,
}

impl Task for Tapping {
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
        AnsweredBy::Run
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "taps".into()
    }

    fn judge(&self, _: Stimulus, _: Given, _: &View) -> Judged {
        Judged::Wrong
    }

    fn place(&self, _: Stimulus, view: &View) -> (Place, f64) {
        (view.canvas.centre(), view.canvas.px(view.look.size_mm))
    }

    fn run(&self) -> Option<Run> {
        let lasts = Span::from_ms_f64(self.run_s * 1e3);
        Some(Run { lasts, taps: true, still: false, tracks: false })
    }
}
