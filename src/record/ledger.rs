//! The order in which a session's bytes are handed over: events before the row they led to, rows
//! before the sync of a block, the manifest last.
//!
//! Used on whichever thread writes. It knows the plan that rows belong to; how bytes get to the
//! disk, `books.rs` knows.

use super::RecordError;
use super::books::Books;
use super::files::RecordFile;
use super::manifest::{EndedAs, Expectation, Manifest, Segment};
use super::ratings::RatingRow;
use super::store::Store;
use super::table::Table;
use super::trials::{RowContext, TrialRow};
use crate::engine::{RatingRecord, TrialRecord};
use crate::protocol::Rating;
use crate::units::Nanos;
use std::path::Path;

/// Writes a session's events, trials and ratings.
#[derive(Debug)]
pub(super) struct Ledger<S: Store> {
    books: Books<S>,
    context: RowContext,
    /// Whether the first `begin` of this run is still to come: its segment stands in the manifest.
    fresh: bool,
}

impl<S: Store> Ledger<S> {
    pub(super) fn new(store: S, manifest: Manifest, context: RowContext) -> Ledger<S> {
        Ledger { books: Books::new(store, manifest), context, fresh: true }
    }

    pub(super) fn folder(&self) -> &Path {
        self.books.folder()
    }

    /// A segment starts: the first of a run is in the manifest already.
    pub(super) fn begin(&mut self, t: Nanos) {
        if std::mem::replace(&mut self.fresh, false) {
            return;
        }
        let segments = &mut self.books.manifest.segments;
        let Some(last) = segments.last() else { return };
        let since = jiff::SignedDuration::from_nanos((t - last.clock_ns).0);
        let segment = Segment {
            number: last.number + 1,
            // The same run, so the wall clock goes with the monotonic one.
            utc: last.utc.checked_add(since).unwrap_or(last.utc),
            clock_ns: t,
            from_position: None,
            rig: None,
            ..last.clone()
        };
        segments.push(segment);
    }

    pub(super) fn events(&mut self, chunks: &[u8]) -> Result<(), RecordError> {
        self.books.append(RecordFile::Events, chunks)
    }

    pub(super) fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError> {
        let row = TrialRow::of(trial, &self.context);
        self.books.append(RecordFile::Trials, row.line().as_bytes())
    }

    pub(super) fn ratings(&mut self, ratings: &RatingRecord) -> Result<(), RecordError> {
        let asked = ratings.ratings.iter().find(|(rating, _)| *rating == Rating::Expectation);
        if let Some(&(_, sure)) = asked {
            let faster = ratings.expected_faster;
            let faster = faster.map(|index| self.context.condition(index).to_owned());
            self.books.manifest.expectation = Some(Expectation { faster, sure });
        }
        let rows = RatingRow::of(ratings, &self.context);
        let lines: String = rows.iter().map(Table::line).collect();
        self.books.append(RecordFile::Ratings, lines.as_bytes())?;
        if asked.is_some() {
            // Before the first block, like the rules: later it could be said in hindsight.
            self.books.sync()?;
            self.books.put_manifest()?;
        }
        Ok(())
    }

    /// Stands in the manifest when that is next written.
    pub(super) fn display(&mut self, display: serde_json::Value) {
        self.books.manifest.display = display;
    }

    /// As [`Ledger::display`], one entry of what the input reports.
    pub(super) fn input(&mut self, name: &str, value: serde_json::Value) {
        if let Some(input) = self.books.manifest.input.as_object_mut() {
            input.insert(name.to_owned(), value);
        }
    }

    pub(super) fn block_end(&mut self, block: usize) -> Result<(), RecordError> {
        self.books.sync()?;
        self.books.manifest.blocks_finished.push(self.context.block(block).position);
        self.books.put_manifest()
    }

    /// The rows so far of a block that is begun again.
    pub(super) fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError> {
        let position = self.context.block(block).position;
        self.books.abandon_block(position).map(drop)
    }

    pub(super) fn close(&mut self, ending: EndedAs) -> Result<(), RecordError> {
        self.books.close(ending)
    }
}
