//! What is known of one trial attempt once it is over: one row of `trials.csv`.
//!
//! A value; it knows nothing of CSV. Times are moments on the monotonic clock; the record turns
//! them into nanoseconds from the start of their segment.

use crate::protocol::{Part, Rating};
use crate::tasks::Stimulus;
use crate::units::{Button, DeviceId, MotionUnit, Nanos, Span, Stamp};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;

/// How a trial attempt ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// The expected answer, in time.
    Hit,
    /// Another answer.
    Wrong,
    /// A press before the stimulus, or too soon after it to be an answer.
    Anticipation,
    /// No answer in time.
    Miss,
    /// A press on a catch trial.
    FalseAlarm,
    /// A catch trial rightly left unanswered.
    Withheld,
    /// Pause, focus, device: the player's time was cut.
    Interrupted,
    /// The onset frame was never shown or cannot be known, or a source stood still.
    Void,
    /// Of a block that is repeated whole.
    Abandoned,
}

impl Outcome {
    /// Every outcome.
    pub const ALL: [Outcome; 9] = [
        Outcome::Hit,
        Outcome::Wrong,
        Outcome::Anticipation,
        Outcome::Miss,
        Outcome::FalseAlarm,
        Outcome::Withheld,
        Outcome::Interrupted,
        Outcome::Void,
        Outcome::Abandoned,
    ];

    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Outcome::Hit => "hit",
            Outcome::Wrong => "wrong",
            Outcome::Anticipation => "anticipation",
            Outcome::Miss => "miss",
            Outcome::FalseAlarm => "false_alarm",
            Outcome::Withheld => "withheld",
            Outcome::Interrupted => "interrupted",
            Outcome::Void => "void",
            Outcome::Abandoned => "abandoned",
        }
    }
}

/// What is to be known of a trial beside its outcome.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// Slower than the lapse limit.
    Lapse,
    /// The onset frame came late.
    LateFrame,
    /// The hand was already moving at the stimulus.
    MovedEarly,
    /// The window lost the focus.
    FocusLost,
    /// Input was lost.
    Overflow,
    /// A source stood still.
    Stalled,
    /// The clock jumped.
    ClockJump,
    /// Another presentation clock took over.
    ClockFallback,
    /// The mouse went away.
    Unplugged,
    /// The button chattered.
    Bounce,
    /// The partner did not end the wait.
    NoCue,
}

impl Flag {
    /// Every flag, in the order in which they are written.
    pub const ALL: [Flag; 11] = [
        Flag::Lapse,
        Flag::LateFrame,
        Flag::MovedEarly,
        Flag::FocusLost,
        Flag::Overflow,
        Flag::Stalled,
        Flag::ClockJump,
        Flag::ClockFallback,
        Flag::Unplugged,
        Flag::Bounce,
        Flag::NoCue,
    ];

    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Flag::Lapse => "lapse",
            Flag::LateFrame => "late_frame",
            Flag::MovedEarly => "moved_early",
            Flag::FocusLost => "focus_lost",
            Flag::Overflow => "overflow",
            Flag::Stalled => "stalled",
            Flag::ClockJump => "clock_jump",
            Flag::ClockFallback => "clock_fallback",
            Flag::Unplugged => "unplugged",
            Flag::Bounce => "bounce",
            Flag::NoCue => "no_cue",
        }
    }
}

/// A set of flags.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Flags(u16);

impl Flags {
    /// No flag.
    pub const NONE: Flags = Flags(0);

    /// Sets a flag.
    pub fn set(&mut self, flag: Flag) {
        self.0 |= 1 << flag as u16;
    }

    /// Whether a flag is set.
    pub fn has(self, flag: Flag) -> bool {
        self.0 & (1 << flag as u16) != 0
    }

    /// The flags that are set, in the order in which they are written.
    pub fn iter(self) -> impl Iterator<Item = Flag> {
        Flag::ALL.into_iter().filter(move |flag| self.has(*flag))
    }
}

/// One trial attempt.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialRecord {
    /// Segment, from 1.
    pub segment: u32,
    /// Start of that segment.
    pub segment_start: Nanos,
    /// Index into the schedule's blocks.
    pub block: usize,
    /// Part of the block.
    pub part: Part,
    /// The planned trial's place in its block, from 1.
    pub number: usize,
    /// Attempt, from 1.
    pub attempt: u32,
    /// What was, or would have been, shown.
    pub stimulus: Stimulus,
    /// The expected answer (`withhold` on a catch trial).
    pub expected: Cow<'static, str>,
    /// What answered.
    pub response: Option<Response>,
    /// Whose button.
    pub device: Option<DeviceId>,
    /// How it ended.
    pub outcome: Outcome,
    /// What else is to be known.
    pub flags: Flags,
    /// The wait as planned, ms.
    pub foreperiod_ms: f64,
    /// The wait of the trial before it in the block, ms.
    pub previous_foreperiod_ms: Option<f64>,
    /// First trial after a rest.
    pub after_rest: bool,
    /// When the wait began.
    pub foreperiod_start: Option<Nanos>,
    /// Stimulus onset.
    pub shown: Option<Stamp>,
    /// The press.
    pub press: Option<Stamp>,
    /// The release.
    pub release: Option<Nanos>,
    /// Movement onset by the first count, from the stimulus onset.
    pub movement_first: Option<Span>,
    /// Movement onset at 5 % of peak speed, from the stimulus onset.
    pub movement_5pct: Option<Span>,
    /// Movement onset by a fit, from the stimulus onset; blank in a session of motion rule 1.
    pub movement_fit: Option<Span>,
    /// The device's report interval.
    pub report_interval: Option<Span>,
    /// One refresh, as measured.
    pub frame: Span,
    /// Frames missed from the wait to the answer.
    pub missed_frames: u32,
    /// Scan-out of a whole frame, ms.
    pub scanout_ms: Option<f64>,
    /// Display lag that no program can see, ms: a note.
    pub display_lag_ms: Option<f64>,
    /// Target's middle at its onset and its size, px.
    pub target: Option<TargetPlace>,
    /// Where the view had turned to at the press, px from its place at the onset.
    pub end_px: Option<(f64, f64)>,
    /// Length of the view's path from onset to press, px.
    pub path_px: Option<f64>,
    /// Highest speed of the view, px a second.
    pub peak_speed_px_s: Option<f64>,
    /// What motion means on this device.
    pub motion_unit: Option<MotionUnit>,
    /// Counts that came during the wait (sum of absolute steps).
    pub rest_motion_counts: Option<f64>,
    /// Small shakes during the wait: root of the mean square of the counts in 5 ms; blank where
    /// the mouse cannot show them, and in a session of motion rule 1.
    pub small_shakes_counts: Option<f64>,
    /// Mean force during the wait, share of the player's comfortable strong grip; blank without a
    /// force axis.
    pub force_share: Option<f64>,
    /// What else its motion and its presses say; all blank up to motion rule 2.
    pub further: Further,
}

/// What answered a trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Response {
    /// A button.
    Button(Button),
    /// A movement.
    Moved {
        /// The alternative in its direction, degrees counter-clockwise from rightwards, where
        /// the direction is the answer.
        towards_deg: Option<u16>,
    },
}

impl Response {
    /// The text of the column `response`: `left`, `move`, `towards_090`.
    pub fn label(self) -> String {
        match self {
            Response::Button(button) => button.name().to_owned(),
            Response::Moved { towards_deg: None } => "move".to_owned(),
            Response::Moved { towards_deg: Some(deg) } => format!("towards_{deg:03}"),
        }
    }
}

/// What further a trial's motion and presses say; blank where it does not apply.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Further {
    /// The report that made an answer by movement, and how far its stamp can be off.
    pub moved: Option<Stamp>,
    /// Where the view pointed at the press, from the target's middle, px.
    pub end_off_px: Option<(f64, f64)>,
    /// When the speed was highest, from the stimulus onset.
    pub peak_speed_at: Option<Span>,
    /// Path over the straight line between its ends, 1 at least.
    pub straightness: Option<f64>,
    /// How far the movement went past its end, px.
    pub overshoot_px: Option<f64>,
    /// Peaks of speed: the movement and its corrections.
    pub submovements: Option<u32>,
    /// Power of the small shakes of the wait between 8 and 12 Hz, squared counts in 5 ms.
    pub tremor_counts2: Option<f64>,
    /// How long a trial of a set time went on.
    pub run: Option<Span>,
    /// The taps of a run.
    pub tapping: Option<Tapping>,
    /// How still the mouse was kept in a run.
    pub stillness: Option<Stillness>,
    /// How a moving target was followed in a run.
    pub tracking: Option<Tracking>,
}

/// The taps of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tapping {
    /// How many.
    pub count: u32,
    /// Their pace; blank where there are too few.
    pub interval: Option<TapInterval>,
}

/// The time from one tap to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapInterval {
    /// Mean, ms.
    pub mean_ms: f64,
    /// Standard deviation, ms.
    pub sd_ms: f64,
    /// How it grows, ms a second.
    pub slowing_ms_per_s: f64,
}

/// How still the mouse was kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stillness {
    /// Root of the mean square of the counts in 5 ms; blank where the mouse cannot show it.
    pub rms_counts: Option<f64>,
    /// Power between 8 and 12 Hz, squared counts in 5 ms.
    pub tremor_counts2: Option<f64>,
    /// Farthest from where it was at the start, counts.
    pub drift_counts: f64,
}

/// How a moving target was followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tracking {
    /// Root of the mean square of the distance from the target's middle, px.
    pub error_px: f64,
    /// How large the hand's movement was against the target's; 1 is the same.
    pub gain: Option<f64>,
    /// How far the hand was behind, ms.
    pub lag_ms: Option<f64>,
}

/// Where a target stood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TargetPlace {
    /// Px from the left.
    pub x_px: f64,
    /// Px from the top.
    pub y_px: f64,
    /// Corner to corner, px.
    pub size_px: f64,
}

/// Ratings given at one time: rows of `ratings.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct RatingRecord {
    /// Segment, from 1.
    pub segment: u32,
    /// Start of that segment.
    pub segment_start: Nanos,
    /// The block they belong to (index); `None` before the first.
    pub block: Option<usize>,
    /// When they were given.
    pub t: Nanos,
    /// What was rated, 0 to 10.
    pub ratings: Vec<(Rating, u8)>,
    /// The hold expected to be faster (index), where that was asked.
    pub expected_faster: Option<usize>,
}
