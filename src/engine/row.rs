//! Turns an attempt that is over into its row.

use super::attempt::Attempt;
use super::{Engine, Flag, Outcome, Response, TargetPlace, TrialRecord, travel};
use crate::motion::{self, MotionSummary, SmallShakes};
use crate::protocol::Part;
use crate::scene::Place;
use crate::tasks::View;
use crate::units::{Nanos, Span};

impl Engine {
    pub(super) fn row(&self, attempt: &Attempt, outcome: Outcome) -> TrialRecord {
        let begin = self.begin.as_ref().expect("no trial runs before the segment has begun");
        let task = self.protocol.task.task();
        let catch = attempt.plan.part == Part::Catch;
        let tapped = attempt.taps.first().map(|(_, device)| device);
        let pressed_by = attempt.press.map(|press| press.device).or(tapped);
        let answered_by = pressed_by.or(attempt.travelled.map(|travelled| travelled.device));
        let device = answered_by.or(self.steps_device);
        let summary = self.summary(attempt);
        let mut flags = attempt.flags;
        let moved = self.moved(attempt, summary.as_ref());
        if moved.early {
            flags.set(Flag::MovedEarly);
        }
        let (outcome, slow) = self.by_start(attempt, outcome, &moved);
        if let Some(slow) = slow {
            flags.set(slow);
        }
        let gain = begin.px_per_count;
        let travels = task.answered_by().travels();
        TrialRecord {
            segment: self.segment,
            segment_start: begin.t,
            block: self.progress.index,
            part: attempt.plan.part,
            number: attempt.plan.number,
            attempt: attempt.number,
            stimulus: attempt.plan.stimulus,
            expected: if catch { "withhold".into() } else { task.expected(attempt.plan.stimulus) },
            response: self.response(attempt),
            device: answered_by,
            outcome,
            flags,
            foreperiod_ms: attempt.foreperiod_ms,
            previous_foreperiod_ms: self.progress.previous_foreperiod_ms,
            after_rest: self.progress.after_rest,
            foreperiod_start: attempt.foreperiod_start,
            shown: attempt.shown,
            press: attempt.press.map(|press| press.stamp),
            release: attempt.release,
            movement_first: moved.first,
            movement_5pct: moved.five_percent,
            movement_fit: moved.fit,
            report_interval: device.and_then(|id| self.devices.report_interval(id)),
            frame: begin.canvas.refresh(),
            missed_frames: attempt.missed_frames,
            // Another clock may have taken over, to whose stamps nothing is added.
            scanout_ms: begin
                .scanout_ms
                .filter(|_| attempt.shown.is_none_or(|shown| shown.tells_scan_out())),
            display_lag_ms: begin.display_lag_ms,
            target: attempt.shown.map(|_| self.target_at_onset(attempt)),
            end_px: attempt
                .aim_at_press
                .filter(|_| travels && attempt.shown.is_some())
                .map(|aim| (aim.x_px, aim.y_px)),
            path_px: summary.as_ref().filter(|_| travels).map(|s| s.path_counts * gain),
            peak_speed_px_s: summary
                .as_ref()
                .filter(|_| travels)
                .map(|s| s.peak_speed_counts_s * gain),
            motion_unit: device.and_then(|id| self.devices.unit(id)),
            rest_motion_counts: self.rest_counts(attempt),
            small_shakes_counts: self.small_shakes(attempt).map(|shakes| shakes.rms_counts),
            force_share: attempt.force_share(),
            further: self.further(attempt, summary.as_ref()),
        }
    }

    fn response(&self, attempt: &Attempt) -> Option<Response> {
        let task = self.protocol.task.task();
        let moved = || {
            let way = attempt.travelled?.way;
            Some(Response::Moved { towards_deg: task.towards_deg(way) })
        };
        attempt.press.map(|press| Response::Button(press.button)).or_else(moved)
    }

    /// Judges an answer by movement by its start; leaves every other answer as it is.
    fn by_start(
        &self,
        attempt: &Attempt,
        outcome: Outcome,
        moved: &Moved,
    ) -> (Outcome, Option<Flag>) {
        let (Some(travelled), Some(onset)) = (attempt.travelled, attempt.shown) else {
            return (outcome, None);
        };
        let way_done = travelled.stamp.t - onset.t;
        let rule = self.protocol.motion.onset;
        let begun = travel::begun(rule, moved.first, moved.five_percent, moved.fit, way_done);
        travel::judged_by_start(outcome, begun, &self.protocol)
    }

    /// What the counts say, where there is an onset and a press after it.
    fn summary(&self, attempt: &Attempt) -> Option<MotionSummary> {
        let (onset, ends) = (attempt.shown?, attempt.motion_ends()?);
        if ends <= onset.t {
            return None;
        }
        let travelled = attempt.travelled.map(|travelled| travelled.device);
        let device = attempt.press.map(|press| press.device).or(travelled)?;
        let interval = self.devices.report_interval(device);
        let rule = motion::MotionRule {
            number: self.begin.as_ref()?.motion_rule,
            low_pass_hz: self.protocol.motion.low_pass_hz,
        };
        let from = attempt.foreperiod_start?;
        Some(motion::summarize(&self.steps, from, onset.t, ends, interval, &rule))
    }

    /// Movement onset, from the stimulus. In a task answered by a button alone the hand does not
    /// travel and what moves is the jolt of the click: blank unless enough counts precede it.
    fn moved(&self, attempt: &Attempt, summary: Option<&MotionSummary>) -> Moved {
        let (Some(summary), Some(onset)) = (summary, attempt.shown) else {
            return Moved::default();
        };
        let travels = self.protocol.task.task().answered_by().travels();
        let enough = summary.counts_before >= self.protocol.motion.least_counts;
        let since = |t: Nanos| t - onset.t;
        if travels || enough {
            Moved {
                first: summary.first.map(since),
                five_percent: summary.five_percent.map(since),
                fit: summary.fit.map(since),
                early: summary.moved_early,
            }
        } else {
            Moved { early: summary.moved_early, ..Moved::default() }
        }
    }

    fn rest_counts(&self, attempt: &Attempt) -> Option<f64> {
        let from = attempt.foreperiod_start?;
        let to = attempt.shown.map(|onset| onset.t).or(attempt.press.map(|press| press.stamp.t));
        let in_rest = |t: Nanos| t >= from && to.is_none_or(|to| t < to);
        let steps = self.steps.iter().filter(|step| in_rest(step.t));
        // An empty sum of floats is -0; adding 0 makes it 0.
        Some(steps.map(|step| step.dx.abs() + step.dy.abs()).sum::<f64>() + 0.0)
    }

    /// The shakes of the wait, where its mouse can show them.
    pub(super) fn small_shakes(&self, attempt: &Attempt) -> Option<SmallShakes> {
        if self.begin.as_ref()?.motion_rule < 2 {
            return None;
        }
        let from = attempt.foreperiod_start?;
        let until = attempt
            .shown
            .map(|onset| onset.t)
            .or(attempt.press.map(|press| press.stamp.t))
            .unwrap_or(from + Span::from_ms_f64(attempt.foreperiod_ms));
        let unit = self.devices.unit(self.steps_device?)?;
        SmallShakes::of(&self.steps, from, until, unit)
    }

    pub(super) fn target_at_onset(&self, attempt: &Attempt) -> TargetPlace {
        let begin = self.begin.as_ref().expect("no trial runs before the segment has begun");
        let view = View {
            canvas: &begin.canvas,
            look: self.protocol.stimulus,
            since_onset: Span::ZERO,
            aim: Place::default(),
        };
        let (at, size_px) = self.protocol.task.task().place(attempt.plan.stimulus, &view);
        TargetPlace { x_px: at.x_px, y_px: at.y_px, size_px }
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Moved {
    first: Option<Span>,
    five_percent: Option<Span>,
    fit: Option<Span>,
    early: bool,
}
