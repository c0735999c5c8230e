//! What further a trial's motion and presses say, beside its times.

use super::Engine;
use super::attempt::Attempt;
use super::trial::Further;
use crate::motion::MotionSummary;
use crate::tasks::AnsweredBy;

/// From this motion rule on there is more to say than times, path and speed.
const SINCE_RULE: u32 = 3;

impl Engine {
    pub(super) fn further(&self, attempt: &Attempt, summary: Option<&MotionSummary>) -> Further {
        let Some(begin) = self.begin.as_ref().filter(|begin| begin.motion_rule >= SINCE_RULE)
        else {
            return Further::default();
        };
        let task = self.protocol.task.task();
        let gain = begin.px_per_count;
        let line = summary.filter(|_| task.answered_by().travels());
        let onset = attempt.shown.map(|shown| shown.t);
        let aims = task.answered_by() == AnsweredBy::MoveAndButton;
        let end_off_px = attempt.aim_at_press.filter(|_| aims && onset.is_some()).map(|aim| {
            let (target, middle) = (self.target_at_onset(attempt), begin.canvas.centre());
            (aim.x_px - (target.x_px - middle.x_px), aim.y_px - (target.y_px - middle.y_px))
        });
        let run = task.run().zip(onset).map(|(run, onset)| (run, onset, onset + run.lasts));
        // A run that was cut says nothing.
        let run = run.filter(|_| attempt.answered().is_some());
        Further {
            moved: attempt.travelled.map(|travelled| travelled.stamp),
            end_off_px,
            peak_speed_at: line.and_then(|line| line.peak_at).zip(onset).map(|(at, t)| at - t),
            straightness: line.and_then(|line| line.straightness),
            overshoot_px: line.and_then(|line| line.overshoot_counts).map(|counts| counts * gain),
            submovements: line.map(|line| line.submovements),
            tremor_counts2: self.small_shakes(attempt).and_then(|shakes| shakes.tremor_counts2),
            run: run.map(|(run, ..)| run.lasts),
            tapping: run
                .filter(|(run, ..)| run.taps)
                .and_then(|(_, from, until)| attempt.taps.tapping(from, until)),
            stillness: None,
            tracking: None,
        }
    }
}
