//! Takes a session's planned looks by the findings' own rules.

use super::Trouble;
use crate::engine::TrialRecord;
use crate::findings::looks::LookJudge;
use crate::protocol::{Protocol, Schedule};
use crate::record::TrialRow;
use crate::session::Judge;

/// Is told what cannot be worked out while a session runs.
pub type TellTrouble = Box<dyn FnMut(Trouble) + Send>;

/// The judge that the runner asks.
pub struct Looks {
    judge: LookJudge,
    tell: TellTrouble,
}

impl Looks {
    /// Of a session; `earlier`: rows of the segments before that stand; `tell` is told of a look
    /// that cannot be worked out.
    pub fn new(
        protocol: &Protocol,
        schedule: &Schedule,
        earlier: &[TrialRow],
        tell: TellTrouble,
    ) -> Looks {
        Looks { judge: LookJudge::new(protocol, schedule, earlier), tell }
    }
}

impl Judge for Looks {
    fn trial(&mut self, trial: &TrialRecord) {
        self.judge.trial(trial);
    }

    fn block_abandoned(&mut self, block: usize) {
        self.judge.block_abandoned(block);
    }

    /// A look that cannot be worked out settles nothing: the session goes on, and it is told.
    fn settles(&mut self, cycle: usize) -> bool {
        match self.judge.settles(cycle) {
            Ok(settled) => settled,
            Err(error) => {
                (self.tell)(error.into());
                false
            }
        }
    }
}
