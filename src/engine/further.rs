//! What further a trial's motion and presses say, beside its times.

use super::Engine;
use super::attempt::Attempt;
use super::trial::{Further, Stillness, Tracking};
use crate::motion::{Following, MotionSummary, SmallShakes, Xy};
use crate::scene::Place;
use crate::tasks::{AnsweredBy, View};
use crate::units::{MotionUnit, Nanos, Span};

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
            stillness: run
                .filter(|(run, ..)| run.still)
                .map(|(_, from, until)| self.stillness(from, until)),
            tracking: run
                .filter(|(run, ..)| run.tracks)
                .and_then(|(_, from, until)| self.tracking(attempt, from, until)),
        }
    }

    /// How still the mouse was kept from the onset of a run to its end.
    fn stillness(&self, from: Nanos, until: Nanos) -> Stillness {
        let unit = self.steps_device.and_then(|device| self.devices.unit(device));
        let shakes = unit.and_then(|unit| SmallShakes::of(&self.steps, from, until, unit));
        let (mut x, mut y, mut drift_counts) = (0.0, 0.0, 0.0_f64);
        for step in self.steps.iter().filter(|step| from <= step.t && step.t < until) {
            (x, y) = (x + step.dx, y + step.dy);
            drift_counts = drift_counts.max(libm::hypot(x, y));
        }
        Stillness {
            rms_counts: shakes.map(|shakes| shakes.rms_counts),
            tremor_counts2: shakes.and_then(|shakes| shakes.tremor_counts2),
            drift_counts,
        }
    }

    /// How the target of a run was followed, once its path had grown to its full size.
    fn tracking(&self, attempt: &Attempt, onset: Nanos, until: Nanos) -> Option<Tracking> {
        let begin = self.begin.as_ref()?;
        let task = self.protocol.task.task();
        let turns = attempt.asked_at?;
        // Where the view points after each report, px.
        let (mut x, mut y) = (0.0, 0.0);
        let mut course: Vec<(Nanos, Xy)> = vec![(turns, (0.0, 0.0))];
        for step in self.steps.iter().filter(|step| step.t >= turns) {
            x += step.dx * self.turn_per_count();
            y += step.dy * self.turn_per_count();
            course.push((step.t, (x, y)));
        }
        let hand = |since: Span| {
            let before = course.partition_point(|(t, _)| *t <= onset + since);
            before.checked_sub(1).and_then(|at| course.get(at)).map_or((0.0, 0.0), |(_, at)| *at)
        };
        let middle = begin.canvas.centre();
        let target = |since_onset: Span| {
            let look = self.protocol.stimulus;
            let view = View { canvas: &begin.canvas, look, since_onset, aim: Place::default() };
            let (at, _) = task.place(attempt.plan.stimulus, &view);
            (at.x_px - middle.x_px, at.y_px - middle.y_px)
        };
        let following = Following::of(task.lead_in(), until - onset, target, hand)?;
        Some(Tracking { error_px: following.error, gain: following.gain, lag_ms: following.lag_ms })
    }

    /// How far the view turns for one count of the device that moved, px.
    fn turn_per_count(&self) -> f64 {
        let Some(begin) = &self.begin else { return 1.0 };
        match self.steps_device.and_then(|device| self.devices.unit(device)) {
            Some(MotionUnit::Pixels) => 1.0,
            Some(MotionUnit::Counts | MotionUnit::Normalised) | None => begin.px_per_count,
        }
    }
}
