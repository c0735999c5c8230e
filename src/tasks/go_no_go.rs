//! Go or withhold: the notch of the lozenge says whether to press.
//!
//! Measures seeing, telling which of two, and pressing or keeping still. A press at the other
//! lozenge is a false alarm: a hold that is faster and has more of them is only readier to press.
//! Both look alike but for the side of the notch, never by colour.

use super::simple::wait_mark;
use super::{AnsweredBy, Given, Judged, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Button;
use serde::Serialize;
use std::borrow::Cow;

/// Press when the notch is on the side of `go_notch`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GoNoGo {
    /// Share of the stimuli that are to be left alone, 0.1 to 0.5.
    pub withhold_share: f64,
    /// Where the notch of the lozenge is that asks for a press; the other one's is opposite.
    pub go_notch: Side,
}

impl GoNoGo {
    fn notch(&self, stimulus: Stimulus) -> Side {
        if !self.withholds(stimulus) {
            return self.go_notch;
        }
        match self.go_notch {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
            Side::Up => Side::Down,
            Side::Down => Side::Up,
        }
    }
}

impl Task for GoNoGo {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        // The share reached so far never strays from the one asked for by more than half a trial.
        let held = |n: usize| (n as f64 * self.withhold_share).round();
        (0..count)
            .map(|i| if held(i + 1) > held(i) { Stimulus::Withhold } else { Stimulus::Go })
            .collect()
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: self.notch(stimulus), contrast_share };
        Marks::of(&[wait_mark(view), target])
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Button
    }

    fn expected(&self, stimulus: Stimulus) -> Cow<'static, str> {
        if self.withholds(stimulus) { "withhold".into() } else { "left".into() }
    }

    fn judge(&self, stimulus: Stimulus, given: Given, _: &View) -> Judged {
        if !self.withholds(stimulus) && given == Given::Button(Button::Left) {
            Judged::Right
        } else {
            Judged::Wrong
        }
    }

    fn place(&self, _: Stimulus, view: &View) -> (Place, f64) {
        (view.canvas.centre(), view.canvas.px(view.look.size_mm))
    }

    fn withholds(&self, stimulus: Stimulus) -> bool {
        stimulus == Stimulus::Withhold
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_share_is_kept_in_every_length() {
        let task = GoNoGo { withhold_share: 0.25, go_notch: Side::Up };
        for count in 1..=100 {
            let held = task.stimuli(count).into_iter().filter(|s| task.withholds(*s)).count();
            assert!((held as f64 - 0.25 * count as f64).abs() <= 0.5, "{held} of {count}");
        }
    }
}
