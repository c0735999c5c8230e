//! Where a block stands: which planned trials are still to come, and which come again.
//!
//! Comes again only what the player did not decide (a void, an interruption, a late or lost
//! input), at the block's end, with the same stimulus and a new wait, and at most half of the
//! block's trials. Never again: early, missed and wrong presses, and lapses.

use super::trial::{Flag, Flags, Outcome};
use crate::protocol::{Block, Part, PlannedTrial};
use crate::units::Nanos;
use std::collections::VecDeque;

/// A trial to be run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Due {
    pub(super) plan: PlannedTrial,
    pub(super) foreperiod_ms: f64,
    pub(super) attempt: u32,
}

/// The block being run.
#[derive(Debug, Clone, Default)]
pub(super) struct Progress {
    pub(super) index: usize,
    due: VecDeque<Due>,
    spares_ms: VecDeque<f64>,
    /// When its first trial began.
    pub(super) started: Option<Nanos>,
    pub(super) previous_foreperiod_ms: Option<f64>,
    pub(super) after_rest: bool,
}

impl Progress {
    /// A block from its start.
    pub(super) fn of(index: usize, block: &Block) -> Progress {
        let due = block.trials.iter().map(|plan| Due {
            plan: *plan,
            foreperiod_ms: plan.foreperiod_ms,
            attempt: 1,
        });
        Progress {
            index,
            due: due.collect(),
            spares_ms: block.spare_foreperiods_ms.iter().copied().collect(),
            started: None,
            previous_foreperiod_ms: None,
            after_rest: true,
        }
    }

    /// The next trial, taken off the list.
    pub(super) fn take_next(&mut self) -> Option<Due> {
        self.due.pop_front()
    }

    /// Drops what has not been run (the block ends early).
    pub(super) fn drop_rest(&mut self) {
        self.due.clear();
    }

    /// After an attempt: puts the trial at the block's end if it comes again. Says whether it does.
    pub(super) fn settle(&mut self, done: Due, outcome: Outcome, flags: Flags) -> bool {
        if done.plan.part != Part::Main || !comes_again(outcome, flags) {
            return false;
        }
        let Some(foreperiod_ms) = self.spares_ms.pop_front() else { return false };
        self.due.push_back(Due { foreperiod_ms, attempt: done.attempt + 1, ..done });
        true
    }
}

fn comes_again(outcome: Outcome, flags: Flags) -> bool {
    match outcome {
        Outcome::Void | Outcome::Interrupted => true,
        Outcome::Hit | Outcome::Miss => {
            [Flag::LateFrame, Flag::Overflow, Flag::Stalled].iter().any(|flag| flags.has(*flag))
        }
        Outcome::Wrong
        | Outcome::Anticipation
        | Outcome::FalseAlarm
        | Outcome::Withheld
        | Outcome::Abandoned => false,
    }
}
