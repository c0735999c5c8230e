//! What the findings need of a session, as plain values.
//!
//! A record's folder is turned into these by `from_record.rs`; tests make them by hand. Nothing
//! is judged here, and no file is known. Conditions are indices into the protocol's list.

use crate::protocol::{Part, Protocol};
use crate::record::{Flags, Outcome};
use crate::units::StampSource;

/// One session.
#[derive(Debug, Clone, PartialEq)]
pub struct SessionData {
    /// The session's folder name.
    pub name: String,
    /// The player's id.
    pub player: String,
    /// Whether a simulated player gave the answers.
    pub simulated: bool,
    /// What was planned.
    pub protocol: Protocol,
    /// SHA-256 of the analysis rules as frozen before the first block, in hex.
    pub rules_hash: String,
    /// Seed of the draw.
    pub seed: u64,
    /// Number of the rule that drew the schedule.
    pub draw_rule: u32,
    /// The blocks as drawn, in order of time.
    pub blocks: Vec<BlockPlan>,
    /// Every trial attempt, in order of time.
    pub trials: Vec<TrialFacts>,
    /// Ratings of blocks, 0 to 10.
    pub ratings: Vec<RatingFacts>,
    /// Which hold the player thought would be faster.
    pub expectation: Option<ExpectationFacts>,
    /// When it began: date and time in words of ISO 8601.
    pub began: String,
    /// How it ended.
    pub ended: Ended,
    /// The apparatus.
    pub rig: RigFacts,
}

/// A block as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BlockPlan {
    /// Place in the session, from 1.
    pub position: usize,
    /// Cycle, from 1.
    pub cycle: usize,
    /// Index of its hold.
    pub condition: usize,
}

/// One trial attempt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialFacts {
    /// Place of its block in the session, from 1.
    pub position: usize,
    /// Part of the block.
    pub part: Part,
    /// The planned trial's place in its block, from 1.
    pub trial: usize,
    /// How it ended.
    pub outcome: Outcome,
    /// What else is to be known.
    pub flags: Flags,
    /// Press minus onset, ms.
    pub click_ms: Option<f64>,
    /// Movement onset by the protocol's definition, from the stimulus onset, ms.
    pub onset_ms: Option<f64>,
    /// When it happened, minutes since the session began.
    pub minute: Option<f64>,
    /// Standard deviation of the error of the time, ms.
    pub rt_sd_ms: Option<f64>,
    /// Standard deviation of the onset stamp's error, ms.
    pub shown_sd_ms: Option<f64>,
    /// Where the onset's stamp came from.
    pub shown_source: Option<StampSource>,
    /// Where the press's stamp came from.
    pub press_source: Option<StampSource>,
}

/// A rating of a block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RatingFacts {
    /// Place of the block, from 1.
    pub position: usize,
    /// What was rated: tension, discomfort, fatigue.
    pub item: String,
    /// 0 to 10.
    pub value: u8,
}

/// Which hold the player thought would be faster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExpectationFacts {
    /// Index of the hold; none without an opinion.
    pub faster: Option<usize>,
    /// How sure, 0 to 10.
    pub sure: u8,
}

/// How a session ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Every block was run.
    Complete,
    /// The player stopped it.
    Stopped,
    /// Closed after two stops for discomfort.
    Discomfort,
    /// The longest time, or the firm minutes, were used up.
    TimeUp,
    /// Broken off.
    BrokenOff,
}

/// The apparatus, as the manifest tells it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RigFacts {
    /// How vsync was judged (`locked`, `unlocked`, `unsteady`, `variable`, `not_judged`).
    pub vsync_judged: Option<String>,
    /// Everything the display and the input say of themselves: name and value, for the back pages.
    pub notes: Vec<RigNote>,
}

/// A line on the apparatus.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RigNote {
    /// What it is about.
    pub name: String,
    /// What is so.
    pub value: String,
}
