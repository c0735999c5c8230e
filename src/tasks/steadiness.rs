//! Steadiness: keep the mouse still on a point for a few seconds.
//!
//! Measures how much a resting hand moves the mouse, as far as this mouse shows it: friction hides
//! most of a tremor, and few counts are no evidence of a steady hand. It measures no reaction, and
//! it is no sign of health.

use super::simple::wait_mark;
use super::{AnsweredBy, Given, Judged, Run, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Span;
use serde::Serialize;
use std::borrow::Cow;

/// Keep the chevron on the target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Steadiness {
    /// For how long, s.
    pub run_s: f64,
}

/// The chevron that shows where the player aims.
pub(super) fn aim_mark(view: &View) -> Mark {
    Mark::Chevron { at: view.canvas.centre(), size_px: view.canvas.px(view.look.size_mm) / 3.0 }
}

impl Task for Steadiness {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        vec![Stimulus::Single; count]
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view), aim_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: Side::Up, contrast_share };
        Marks::of(&[target, aim_mark(view)])
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Run
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "still".into()
    }

    fn judge(&self, _: Stimulus, _: Given, _: &View) -> Judged {
        Judged::Wrong
    }

    fn place(&self, _: Stimulus, view: &View) -> (Place, f64) {
        let centre = view.canvas.centre();
        let at = Place { x_px: centre.x_px - view.aim.x_px, y_px: centre.y_px - view.aim.y_px };
        (at, view.canvas.px(view.look.size_mm))
    }

    fn turns(&self) -> bool {
        true
    }

    fn run(&self) -> Option<Run> {
        let lasts = Span::from_ms_f64(self.run_s * 1e3);
        Some(Run { lasts, taps: false, still: true, tracks: false })
    }
}
