//! Who keeps what a session yields: the one trait the runner writes through.
//!
//! The order is the promise: events are told as they are fed to the engine, and a trial's events
//! are handed to the system before its row. [`Keep::event`] is called between stimulus and
//! response, so it takes no lock and writes no file. A keeper knows no time of its own.

use super::RecordError;
use crate::engine::{Ending, Event, Outcome, RatingRecord, TrialRecord};

/// Keeps a session's events, trials and ratings.
pub trait Keep {
    /// An event, exactly as the engine is about to be fed it, in that order.
    ///
    /// Never writes a file, takes no lock and allocates nothing (but for the rare events that hold
    /// text or lists, which come from untimed screens).
    fn event(&mut self, event: &Event);

    /// A trial attempt is over: its events, then its row, are handed to the system.
    ///
    /// # Errors
    /// When they could not be written; what was written before stays.
    fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError>;

    /// Ratings were given.
    ///
    /// # Errors
    /// When they could not be written; what was written before stays.
    fn ratings(&mut self, ratings: &RatingRecord) -> Result<(), RecordError>;

    /// What the display reports of itself has changed; it is written with the next block's end, or
    /// the session's.
    ///
    /// # Errors
    /// When something before it could not be written.
    fn display(&mut self, display: serde_json::Value) -> Result<(), RecordError>;

    /// One entry of what the input reports of itself; written as the display's is. A keeper without
    /// a manifest has no place for it.
    ///
    /// # Errors
    /// When something before it could not be written.
    fn input(&mut self, name: &'static str, value: serde_json::Value) -> Result<(), RecordError> {
        let _no_manifest = (name, value);
        Ok(())
    }

    /// A block is over (index into the schedule's blocks): all is synced to disk.
    ///
    /// # Errors
    /// When it could not be synced; what was written before stays.
    fn block_end(&mut self, block: usize) -> Result<(), RecordError>;

    /// A block (index) is repeated whole: the rows of its trials so far become `abandoned`.
    ///
    /// # Errors
    /// When that could not be written; the rows then stand as they were.
    fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError>;

    /// Hands buffered events to the system; for long rests, when nothing is timed.
    ///
    /// # Errors
    /// When they could not be written.
    fn idle(&mut self) -> Result<(), RecordError> {
        Ok(())
    }

    /// The session has ended: all is written and synced, checksums are taken.
    ///
    /// # Errors
    /// When it could not be written; the session can then be opened and closed again.
    fn close(&mut self, ending: Ending) -> Result<(), RecordError>;
}

/// Keeps everything in memory: for simulations and tests.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MemoryKeeper {
    /// Every event, in the order fed.
    pub events: Vec<Event>,
    /// Every trial attempt, in the order finished.
    pub trials: Vec<TrialRecord>,
    /// Every set of ratings.
    pub ratings: Vec<RatingRecord>,
    /// What the display last reported, where that changed.
    pub display: Option<serde_json::Value>,
    /// The blocks that ended (indices).
    pub blocks: Vec<usize>,
    /// How the session ended, once it has.
    pub ending: Option<Ending>,
}

impl Keep for MemoryKeeper {
    fn event(&mut self, event: &Event) {
        self.events.push(event.clone());
    }

    fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError> {
        self.trials.push(trial.clone());
        Ok(())
    }

    fn ratings(&mut self, ratings: &RatingRecord) -> Result<(), RecordError> {
        self.ratings.push(ratings.clone());
        Ok(())
    }

    fn display(&mut self, display: serde_json::Value) -> Result<(), RecordError> {
        self.display = Some(display);
        Ok(())
    }

    fn block_end(&mut self, block: usize) -> Result<(), RecordError> {
        self.blocks.push(block);
        Ok(())
    }

    fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError> {
        abandon(&mut self.trials, block);
        Ok(())
    }

    fn close(&mut self, ending: Ending) -> Result<(), RecordError> {
        self.ending = Some(ending);
        Ok(())
    }
}

fn abandon(trials: &mut [TrialRecord], block: usize) {
    for trial in trials.iter_mut().filter(|trial| trial.block == block) {
        trial.outcome = Outcome::Abandoned;
    }
}
