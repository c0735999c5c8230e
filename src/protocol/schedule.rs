//! The schedule as values: every block and trial of a session, drawn beforehand.
//!
//! A schedule is a pure function of (protocol, seed, draw rule), the same on every machine and in
//! every release. How it is drawn stands in `draw.rs`.

use crate::tasks::Stimulus;
use serde::{Deserialize, Serialize};

/// Every block of a session.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    /// Number of the rule that drew it.
    pub draw_rule: u32,
    /// Seed of the draw.
    pub seed: u64,
    /// Blocks in order of time.
    pub blocks: Vec<Block>,
}

/// One condition in one cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Place in the session, from 1.
    pub position: usize,
    /// Cycle, from 1.
    pub cycle: usize,
    /// Index into the protocol's conditions.
    pub condition: usize,
    /// Trials in order of time: warm-up first, then main and catch.
    pub trials: Vec<PlannedTrial>,
    /// Waits for the trials that have to be done again, at most half of `trials`, ms.
    pub spare_foreperiods_ms: Vec<f64>,
}

/// One trial as planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedTrial {
    /// Which part of the block it belongs to.
    pub part: Part,
    /// Place in the block, from 1.
    pub number: usize,
    /// The wait, rounded to 0.1 ms; of a catch trial: how long it lasts.
    pub foreperiod_ms: f64,
    /// What is shown (of a catch trial: what never is).
    pub stimulus: Stimulus,
}

/// Which part of a session a trial belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Unscored presses of the very first start.
    Feel,
    /// Before a block's main trials; outside the analysis.
    WarmUp,
    /// The trials that are analysed.
    Main,
    /// An empty wait.
    Catch,
}

impl Part {
    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Part::Feel => "feel",
            Part::WarmUp => "warm_up",
            Part::Main => "main",
            Part::Catch => "catch",
        }
    }
}
