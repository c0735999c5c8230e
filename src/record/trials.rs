//! `trials.csv`: one row a trial attempt, never deleted.
//!
//! Moments become nanoseconds from the start of their segment; derived times are milliseconds
//! rounded to 1 µs, so that a replay gives the same bytes on every machine. It judges nothing:
//! what a trial was, the engine has decided.

use super::FORMAT;
use super::table::table;
use crate::engine::{Flag, Flags, Outcome, Response, TrialRecord};
use crate::protocol::{OnsetRule, Part, Protocol, Schedule};
use crate::units::{DeviceId, MotionUnit, Nanos, Span, StampSource};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

table! {
    /// A row of `trials.csv`. Blank (`None`) where a column does not apply.
    pub struct TrialRow {
        format: u32, "", "Number of the file format.";
        simulated: bool, "", "Whether a simulated player gave the answers.";
        session: String, "", "The session's folder name.";
        segment: u32, "", "Run of the session without a restart, from 1; the *_ns columns count from its start.";
        player: String, "", "The player's id.";
        cycle: usize, "", "Cycle, from 1; each holds every condition once.";
        block: usize, "", "The block's place in its cycle, from 1.";
        position: usize, "", "The block's place in the session, from 1.";
        part: Part, "", "feel, warm_up, main or catch.";
        trial: usize, "", "The planned trial's place in its block, from 1.";
        attempt: u32, "", "Attempt at that trial, from 1.";
        task: String, "", "What the player was asked to do.";
        condition: String, "", "The hold: grip and tension, as named in the protocol.";
        stimulus: String, "", "What was, or would have been, shown.";
        expected: String, "", "The expected answer.";
        response: Option<String>, "", "The button that answered.";
        device: Option<DeviceId>, "", "Number of the device that answered.";
        outcome: Outcome, "", "hit, wrong, anticipation, miss, false_alarm, withheld, interrupted, void or abandoned.";
        flags: FlagList, "", "What else is to be known, joined by +.";
        foreperiod_ms: f64, "ms", "The wait as planned; of a catch trial: how long it lasts.";
        previous_foreperiod_ms: Option<f64>, "ms", "The wait of the trial before it in the block.";
        after_rest: bool, "", "Whether it is the first trial after a rest.";
        foreperiod_start_ns: Option<i64>, "ns", "When the wait began.";
        shown_ns: Option<i64>, "ns", "Stimulus onset: when the first frame with the stimulus was seen.";
        movement_ns: Option<i64>, "ns", "Movement onset by the protocol's definition.";
        press_ns: Option<i64>, "ns", "The press.";
        release_ns: Option<i64>, "ns", "The release.";
        click_rt_ms: Option<f64>, "ms", "Press minus stimulus onset.";
        movement_first_rt_ms: Option<f64>, "ms", "Movement onset by the first count, from the stimulus onset.";
        movement_5pct_rt_ms: Option<f64>, "ms", "Movement onset at 5 % of peak speed, from the stimulus onset.";
        movement_fit_rt_ms: Option<f64>, "ms", "Movement onset by a fit, from the stimulus onset.";
        movement_time_ms: Option<f64>, "ms", "Press minus movement onset by the protocol's definition.";
        press_ms: Option<f64>, "ms", "Release minus press.";
        rt_sd_ms: Option<f64>, "ms", "Standard deviation of the error of click_rt_ms: root of the summed squares of shown_sd_ms, press_sd_ms and report_interval_ms over the root of 12.";
        shown_source: Option<StampSource>, "", "Where the onset's stamp came from.";
        shown_sd_ms: Option<f64>, "ms", "Standard deviation of the onset stamp's error.";
        press_source: Option<StampSource>, "", "Where the press's stamp came from.";
        press_sd_ms: Option<f64>, "ms", "Standard deviation of the press stamp's error, without the report interval.";
        report_interval_ms: Option<f64>, "ms", "The device's report interval.";
        frame_ms: f64, "ms", "One refresh, as measured.";
        missed_frames: u32, "", "Frames missed from the wait to the answer.";
        scanout_ms: Option<f64>, "ms", "Scan-out of a whole frame, where hardware and mode tell; shown_ns then holds its share down to the stimulus's first row.";
        display_lag_ms: Option<f64>, "ms", "Display lag that no program can see: a note, never added.";
        target_x_px: Option<f64>, "px", "Middle of the target at its onset, from the left.";
        target_y_px: Option<f64>, "px", "Middle of the target at its onset, from the top.";
        target_size_px: Option<f64>, "px", "The target from corner to corner.";
        end_x_px: Option<f64>, "px", "Where the view had turned to at the press, rightwards from its place at the onset (relative; end_off_x_px is from the target).";
        end_y_px: Option<f64>, "px", "Where the view had turned to at the press, downwards from its place at the onset (relative; end_off_y_px is from the target).";
        path_px: Option<f64>, "px", "Length of the view's path from onset to press.";
        peak_speed_px_s: Option<f64>, "px/s", "Highest speed of the view.";
        motion_unit: Option<MotionUnit>, "", "What the device's motion means: counts, normalised or pixels.";
        rest_motion_counts: Option<f64>, "counts", "Counts that came during the wait.";
        small_shakes_counts: Option<f64>, "counts", "Small shakes of the hand in the raw counts.";
        force: Option<f64>, "", "Mean reading of a force axis during the wait: share of the player's comfortable strong grip, 0 at rest; blank without one.";
        end_off_x_px: Option<f64>, "px", "Where the view pointed at the press, rightwards from the target's middle.";
        end_off_y_px: Option<f64>, "px", "Where the view pointed at the press, downwards from the target's middle.";
        peak_speed_rt_ms: Option<f64>, "ms", "When the speed was highest, from the stimulus onset.";
        straightness: Option<f64>, "", "Path over the straight line between its ends, 1 at least.";
        overshoot_px: Option<f64>, "px", "How far the movement went past its end, along that straight line.";
        submovements: Option<u32>, "", "Peaks of speed that stand out by a tenth of the largest: the movement and its corrections.";
        tremor_counts2: Option<f64>, "counts2", "Power of the small shakes of the wait between 8 and 12 Hz, of the counts in 5 ms.";
        moved_source: Option<StampSource>, "", "Where the stamps of an answer by movement came from.";
        moved_sd_ms: Option<f64>, "ms", "Standard deviation of the error of a movement's time: root of the summed squares of shown_sd_ms, the motion stamp's and report_interval_ms over the root of 12; without the error of the onset's definition.";
        run_ms: Option<f64>, "ms", "How long a trial of a set time went on.";
        taps: Option<u32>, "", "Taps in that time.";
        tap_interval_ms: Option<f64>, "ms", "Mean time from one tap to the next; 1000 over it is taps a second.";
        tap_interval_sd_ms: Option<f64>, "ms", "Standard deviation of that time.";
        tap_slowing_ms_per_s: Option<f64>, "ms/s", "How that time grows: slope of a line through the taps' times.";
        still_rms_counts: Option<f64>, "counts", "Keeping still: root of the mean square of the counts in 5 ms.";
        still_tremor_counts2: Option<f64>, "counts2", "Keeping still: power between 8 and 12 Hz of the counts in 5 ms.";
        still_drift_counts: Option<f64>, "counts", "Keeping still: the farthest from where it was at the start.";
        track_error_px: Option<f64>, "px", "Following: root of the mean square of the distance from the target's middle.";
        track_gain: Option<f64>, "", "Following: how large the hand's movement was against the target's, at the lag.";
        track_lag_ms: Option<f64>, "ms", "Following: how far the hand was behind, by cross-correlation.";
    }
}

/// Flags as text, joined by `+`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FlagList(pub Flags);

impl Serialize for FlagList {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let names: Vec<_> = self.0.iter().map(Flag::name).collect();
        serializer.serialize_str(&names.join("+"))
    }
}

impl<'de> Deserialize<'de> for FlagList {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<FlagList, D::Error> {
        let text = String::deserialize(deserializer)?;
        let mut flags = Flags::NONE;
        for name in text.split('+').filter(|name| !name.is_empty()) {
            let flag = Flag::ALL.into_iter().find(|flag| flag.name() == name);
            flags.set(flag.ok_or_else(|| de::Error::custom(format!("no flag {name:?}")))?);
        }
        Ok(FlagList(flags))
    }
}

/// What a row says beside its trial: who, where, and the plan it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct RowContext {
    simulated: bool,
    session: String,
    player: String,
    task: &'static str,
    onset: OnsetRule,
    conditions: Vec<String>,
    blocks: Vec<BlockPlace>,
}

/// Where a block stands in the plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BlockPlace {
    pub(super) cycle: usize,
    pub(super) in_cycle: usize,
    pub(super) position: usize,
    pub(super) condition: String,
}

/// Whether a simulated player gave the answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answers {
    /// A person did.
    Real,
    /// A simulated player did.
    Simulated,
}

impl RowContext {
    /// The context of a session's rows. `session`: its folder name; `player`: the player's id.
    pub fn new(
        protocol: &Protocol,
        schedule: &Schedule,
        answers: Answers,
        session: &str,
        player: &str,
    ) -> RowContext {
        let conditions: Vec<String> = protocol.conditions.iter().map(|c| c.id.clone()).collect();
        let place = |(index, block): (usize, &crate::protocol::Block)| BlockPlace {
            cycle: block.cycle,
            in_cycle: schedule.blocks[..=index].iter().filter(|b| b.cycle == block.cycle).count(),
            position: block.position,
            condition: conditions[block.condition].clone(),
        };
        let blocks = schedule.blocks.iter().enumerate().map(place).collect();
        RowContext {
            simulated: answers == Answers::Simulated,
            session: session.to_owned(),
            player: player.to_owned(),
            task: protocol.task.name(),
            onset: protocol.motion.onset,
            conditions,
            blocks,
        }
    }

    pub(super) fn block(&self, index: usize) -> &BlockPlace {
        self.blocks.get(index).expect("the engine runs only blocks of the schedule")
    }

    pub(super) fn condition(&self, index: usize) -> &str {
        self.conditions.get(index).map_or("", String::as_str)
    }

    pub(super) const fn simulated(&self) -> bool {
        self.simulated
    }

    pub(super) fn session(&self) -> &str {
        &self.session
    }

    pub(super) fn player(&self) -> &str {
        &self.player
    }
}

impl TrialRow {
    /// The row of a trial attempt.
    ///
    /// # Panics
    /// When the trial's block is not one of the context's schedule: our own mistake.
    pub fn of(trial: &TrialRecord, context: &RowContext) -> TrialRow {
        let place = context.block(trial.block);
        let since_start_ns = |t: Nanos| (t - trial.segment_start).0;
        let movement = match context.onset {
            OnsetRule::First => trial.movement_first,
            OnsetRule::FivePercent => trial.movement_5pct,
            OnsetRule::Fit => trial.movement_fit,
        };
        let movement =
            trial.shown.zip(movement).map(|(shown, span)| shown.t + to_microsecond(span));
        let click = trial.shown.zip(trial.press).map(|(shown, press)| press.t - shown.t);
        let rt_sd_ms = trial
            .shown
            .zip(trial.press)
            .map(|(shown, press)| error_ms(shown.sd, press.sd, trial.report_interval));
        let further = &trial.further;
        let pace = further.tapping.and_then(|tapping| tapping.interval);
        let (still, track) = (further.stillness, further.tracking);
        TrialRow {
            format: FORMAT,
            simulated: context.simulated,
            session: context.session.clone(),
            segment: trial.segment,
            player: context.player.clone(),
            cycle: place.cycle,
            block: place.in_cycle,
            position: place.position,
            part: trial.part,
            trial: trial.number,
            attempt: trial.attempt,
            task: context.task.to_owned(),
            condition: place.condition.clone(),
            stimulus: trial.stimulus.label(),
            expected: trial.expected.clone().into_owned(),
            response: trial.response.map(Response::label),
            device: trial.device,
            outcome: trial.outcome,
            flags: FlagList(trial.flags),
            foreperiod_ms: thousandths(trial.foreperiod_ms),
            previous_foreperiod_ms: trial.previous_foreperiod_ms.map(thousandths),
            after_rest: trial.after_rest,
            foreperiod_start_ns: trial.foreperiod_start.map(since_start_ns),
            shown_ns: trial.shown.map(|shown| since_start_ns(shown.t)),
            movement_ns: movement.map(since_start_ns),
            press_ns: trial.press.map(|press| since_start_ns(press.t)),
            release_ns: trial.release.map(since_start_ns),
            click_rt_ms: click.map(ms),
            movement_first_rt_ms: trial.movement_first.map(ms),
            movement_5pct_rt_ms: trial.movement_5pct.map(ms),
            movement_fit_rt_ms: trial.movement_fit.map(ms),
            movement_time_ms: trial.press.zip(movement).map(|(press, at)| ms(press.t - at)),
            press_ms: trial.release.zip(trial.press).map(|(up, down)| ms(up - down.t)),
            rt_sd_ms,
            shown_source: trial.shown.map(|shown| shown.source),
            shown_sd_ms: trial.shown.map(|shown| ms(shown.sd)),
            press_source: trial.press.map(|press| press.source),
            press_sd_ms: trial.press.map(|press| ms(press.sd)),
            report_interval_ms: trial.report_interval.map(ms),
            frame_ms: ms(trial.frame),
            missed_frames: trial.missed_frames,
            scanout_ms: trial.scanout_ms.map(thousandths),
            display_lag_ms: trial.display_lag_ms.map(thousandths),
            target_x_px: trial.target.map(|target| thousandths(target.x_px)),
            target_y_px: trial.target.map(|target| thousandths(target.y_px)),
            target_size_px: trial.target.map(|target| thousandths(target.size_px)),
            end_x_px: trial.end_px.map(|end| thousandths(end.0)),
            end_y_px: trial.end_px.map(|end| thousandths(end.1)),
            path_px: trial.path_px.map(thousandths),
            peak_speed_px_s: trial.peak_speed_px_s.map(thousandths),
            motion_unit: trial.motion_unit,
            rest_motion_counts: trial.rest_motion_counts.map(thousandths),
            small_shakes_counts: trial.small_shakes_counts.map(thousandths),
            force: trial.force_share.map(thousandths),
            end_off_x_px: further.end_off_px.map(|off| thousandths(off.0)),
            end_off_y_px: further.end_off_px.map(|off| thousandths(off.1)),
            peak_speed_rt_ms: further.peak_speed_at.map(ms),
            straightness: further.straightness.map(thousandths),
            overshoot_px: further.overshoot_px.map(thousandths),
            submovements: further.submovements,
            tremor_counts2: further.tremor_counts2.map(thousandths),
            moved_source: further.moved.map(|stamp| stamp.source),
            moved_sd_ms: trial
                .shown
                .zip(further.moved)
                .map(|(shown, moved)| error_ms(shown.sd, moved.sd, trial.report_interval)),
            run_ms: further.run.map(ms),
            taps: further.tapping.map(|tapping| tapping.count),
            tap_interval_ms: pace.map(|pace| thousandths(pace.mean_ms)),
            tap_interval_sd_ms: pace.map(|pace| thousandths(pace.sd_ms)),
            tap_slowing_ms_per_s: pace.map(|pace| thousandths(pace.slowing_ms_per_s)),
            still_rms_counts: still.and_then(|still| still.rms_counts).map(thousandths),
            still_tremor_counts2: still.and_then(|still| still.tremor_counts2).map(thousandths),
            still_drift_counts: still.map(|still| thousandths(still.drift_counts)),
            track_error_px: track.map(|track| thousandths(track.error_px)),
            track_gain: track.and_then(|track| track.gain).map(thousandths),
            track_lag_ms: track.and_then(|track| track.lag_ms).map(thousandths),
        }
    }
}

/// The error of a time between two stamps of which the second waited for a report, ms.
fn error_ms(onset: Span, answer: Span, report_interval: Option<Span>) -> f64 {
    let interval_ms = report_interval.map_or(0.0, Span::ms);
    let variance =
        onset.ms() * onset.ms() + answer.ms() * answer.ms() + interval_ms * interval_ms / 12.0;
    thousandths(libm::sqrt(variance))
}

/// The nearest whole microsecond; halves go away from zero.
fn to_microsecond(span: Span) -> Span {
    let half_ns = 500 * span.0.signum();
    Span(span.0.saturating_add(half_ns) / 1_000 * 1_000)
}

/// Milliseconds, to 1 µs.
fn ms(span: Span) -> f64 {
    (to_microsecond(span).0 / 1_000) as f64 / 1e3
}

/// To three decimals, which is 1 µs where the unit is ms.
fn thousandths(value: f64) -> f64 {
    (value * 1e3).round() / 1e3
}
