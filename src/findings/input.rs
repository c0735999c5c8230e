//! What the findings need of a session, as plain values.
//!
//! A record's folder is turned into these by `from_record.rs`, a table measured elsewhere by
//! `exchange`; tests make them by hand. Nothing is judged here, and no file is known. Conditions are indices into the protocol's list.

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
    /// Where the times come from.
    pub origin: Origin,
}

/// Where the times of a session come from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// A session of this program: its record.
    Record,
    /// A table of times that were measured elsewhere.
    Table(Box<TableFacts>),
}

/// What is known of a table measured elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub struct TableFacts {
    /// The file's name, without its folder.
    pub file: String,
    /// What each column was taken for, and how it was read: for the reader.
    pub taken: Vec<RigNote>,
    /// How the blocks came about.
    pub blocks: BlocksBy,
    /// Whether the order of the blocks is known.
    pub order: OrderShown,
    /// Whether in every session each hold was one lump, with no other hold between its trials.
    pub one_lump: bool,
    /// Frames, where the times were counted or read off in frames.
    pub frames: Option<FrameFacts>,
    /// Whether the table says which answers were right.
    pub answers_told: bool,
}

/// How the blocks of a table came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlocksBy {
    /// A cycle column: one block a hold and cycle.
    Cycles,
    /// A block column whose blocks are of one hold each: a hold's first block is in cycle 1, its
    /// second in cycle 2.
    Blocks,
    /// A block column whose blocks hold several holds: it serves as the cycle.
    BlocksAsCycles,
    /// Both columns.
    CyclesAndBlocks,
    /// Neither, but an order: a block is what shares a place, or a run of trials of one hold.
    Runs,
    /// Neither, and no order: one block a hold and session.
    Nothing,
}

/// Whether the order of a table's blocks is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderShown {
    /// An order column gives each block's place in its session.
    Places,
    /// An order column, or the blocks' numbers, count anew in each cycle.
    PlacesInCycles,
    /// The blocks' numbers give it.
    Numbers,
    /// Nothing gives it.
    Unknown,
}

/// Times in frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrameFacts {
    /// Frames a second.
    pub per_second: f64,
    /// Whether a time is the difference of two frame counts.
    pub both_ends: bool,
    /// Standard deviation of a single time's error from seeing whole frames only, ms.
    pub sd_ms: f64,
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
    /// A target was shown, or would have been, that asks for no answer.
    pub asks_nothing: bool,
    /// How it ended.
    pub outcome: Outcome,
    /// What else is to be known.
    pub flags: Flags,
    /// Press minus onset, ms.
    pub click_ms: Option<f64>,
    /// Movement onset by the protocol's definition, from the stimulus onset, ms.
    pub onset_ms: Option<f64>,
    /// What is compared of a trial of a set time, in the measure's unit.
    pub of_run: Option<f64>,
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
    /// What else the hand did.
    pub hand: HandFacts,
}

/// What else the hand did in a trial; blank where nothing tells.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HandFacts {
    /// Press minus movement onset, ms.
    pub movement_ms: Option<f64>,
    /// Release minus press, ms.
    pub press_ms: Option<f64>,
    /// Counts a second during the wait.
    pub rest_motion_counts_per_s: Option<f64>,
    /// Small shakes while the mouse was still, rms counts.
    pub small_shakes_counts: Option<f64>,
    /// Mean force during the wait, share of a comfortable strong grip.
    pub force_share: Option<f64>,
    /// Where the target stood from the aim's place at the onset, px right and down.
    pub target_px: Option<[f64; 2]>,
    /// Where the aim was at the press, px right and down of its place at the onset.
    pub end_px: Option<[f64; 2]>,
    /// How far the pointing target appeared from the aim, and its size, mm.
    pub aimed_at_mm: Option<[f64; 2]>,
    /// In a choice: which alternative was the right one, and which was given, from 0.
    pub chosen: Option<[usize; 2]>,
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
    /// A planned look settled every comparison.
    Settled,
    /// Broken off.
    BrokenOff,
}

/// The apparatus, as the manifest tells it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RigFacts {
    /// How vsync was judged (`locked`, `unlocked`, `unsteady`, `variable`, `not_judged`).
    pub vsync_judged: Option<String>,
    /// What was another than in the player's session before, a line each.
    pub changed: Vec<String>,
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
