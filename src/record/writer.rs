//! Keeps a session in its folder, on the thread that calls.
//!
//! For simulated sessions and for tests of the order of writing; in a real session the same ledger
//! runs on a thread of its own (`threaded.rs`), so that the stimulus thread writes no file.

use super::RecordError;
use super::events::Encoder;
use super::keep::Keep;
use super::ledger::Ledger;
use super::manifest::Manifest;
use super::store::{FolderStore, Store};
use super::trials::RowContext;
use crate::engine::{Ending, Event, RatingRecord, TrialRecord};
use std::path::Path;

/// Keeps a session through a store.
#[derive(Debug)]
pub struct FolderKeeper<S: Store = FolderStore> {
    pub(super) encoder: Encoder,
    pub(super) ledger: Ledger<S>,
}

impl<S: Store> FolderKeeper<S> {
    /// A keeper of a session whose files hold their headers and nothing else yet.
    pub fn new(store: S, manifest: Manifest, context: RowContext) -> FolderKeeper<S> {
        FolderKeeper { encoder: Encoder::new(), ledger: Ledger::new(store, manifest, context) }
    }

    /// A keeper of a session that is taken up again.
    pub(super) fn going_on(store: S, manifest: Manifest, context: RowContext) -> FolderKeeper<S> {
        let ledger = Ledger::new(store, manifest, context);
        FolderKeeper { encoder: Encoder::going_on(), ledger }
    }

    /// The session folder.
    pub fn folder(&self) -> &Path {
        self.ledger.folder()
    }

    fn hand_over_events(&mut self) -> Result<(), RecordError> {
        let result = self.ledger.events(self.encoder.chunks());
        self.encoder.clear();
        result
    }
}

impl<S: Store> Keep for FolderKeeper<S> {
    fn event(&mut self, event: &Event) {
        if let Event::Begin(begin) = event {
            self.ledger.begin(begin.t);
        }
        self.encoder.push(event);
    }

    fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError> {
        self.hand_over_events()?;
        self.ledger.trial(trial)
    }

    fn ratings(&mut self, ratings: &RatingRecord) -> Result<(), RecordError> {
        self.hand_over_events()?;
        self.ledger.ratings(ratings)
    }

    fn display(&mut self, display: serde_json::Value) -> Result<(), RecordError> {
        self.ledger.display(display);
        Ok(())
    }

    fn input(&mut self, name: &'static str, value: serde_json::Value) -> Result<(), RecordError> {
        self.ledger.input(name, value);
        Ok(())
    }

    fn block_end(&mut self, block: usize) -> Result<(), RecordError> {
        self.hand_over_events()?;
        self.ledger.block_end(block)
    }

    fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError> {
        self.hand_over_events()?;
        self.ledger.block_abandoned(block)
    }

    fn idle(&mut self) -> Result<(), RecordError> {
        self.hand_over_events()
    }

    fn close(&mut self, ending: Ending) -> Result<(), RecordError> {
        self.hand_over_events()?;
        self.ledger.close(ending.into())
    }
}
