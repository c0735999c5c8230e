//! Takes a session's planned looks by the findings' own rules.

use super::out::Failure;
use crate::engine::TrialRecord;
use crate::findings::looks::LookJudge;
use crate::protocol::{Protocol, Schedule};
use crate::record::TrialRow;
use crate::session::Judge;

/// The judge that the runner asks.
#[derive(Debug)]
pub(super) struct Looks(LookJudge);

impl Looks {
    /// Of a session; `earlier`: rows of the segments before that stand.
    pub(super) fn new(protocol: &Protocol, schedule: &Schedule, earlier: &[TrialRow]) -> Looks {
        Looks(LookJudge::new(protocol, schedule, earlier))
    }
}

impl Judge for Looks {
    fn trial(&mut self, trial: &TrialRecord) {
        self.0.trial(trial);
    }

    fn block_abandoned(&mut self, block: usize) {
        self.0.block_abandoned(block);
    }

    /// A look that cannot be worked out settles nothing: the session goes on, and it is told.
    fn settles(&mut self, cycle: usize) -> bool {
        self.0.settles(cycle).unwrap_or_else(|error| {
            Failure::from(error).report();
            false
        })
    }
}
