//! What a replay needs: the events as fed, and where two sets of rows differ.
//!
//! It drives no engine: whoever does feeds it these events and compares the rows that come out.

use super::RecordError;
use super::abandon::abandon;
use super::events::{Decoded, decode};
use super::files::RecordFile;
use super::manifest::Segment;
use super::open::read_bytes;
use super::table::Table;
use super::trials::{RowContext, TrialRow};
use crate::engine::TrialRecord;
use std::path::Path;

/// The events of a session, in the order in which its engine was fed them.
///
/// # Errors
/// Where `events.bin` is missing, no event file, or of a newer format; a torn end is counted, not
/// an error.
pub fn replay_events(folder: &Path) -> Result<Decoded, RecordError> {
    let path = folder.join(RecordFile::Events.name());
    let bytes = read_bytes(folder, RecordFile::Events)?;
    decode(&bytes).map_err(|source| RecordError::Events { path, source })
}

/// The rows that a replay gave, with the trials of repeated blocks marked as in the file.
///
/// `trials`: as a [`super::MemoryKeeper`] kept them, which marks what was begun again within a run;
/// `segments`: the manifest's, which tell what was begun again after a crash.
pub fn replayed_rows(
    trials: &[TrialRecord],
    context: &RowContext,
    segments: &[Segment],
) -> Vec<TrialRow> {
    let mut rows: Vec<_> = trials.iter().map(|trial| TrialRow::of(trial, context)).collect();
    abandon(&mut rows, segments);
    rows
}

/// Where two sets of rows differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    /// A value differs.
    Value {
        /// Place of the row, from 0.
        row: usize,
        /// Which column.
        column: &'static str,
        /// Its text in a.
        a: String,
        /// Its text in b.
        b: String,
    },
    /// One set has more rows.
    Count {
        /// Rows of a.
        a: usize,
        /// Rows of b.
        b: usize,
    },
}

/// Compares rows in order, column by column, as the file writes them.
pub fn compare_rows(a: &[TrialRow], b: &[TrialRow]) -> Vec<Difference> {
    let mut differences = Vec::new();
    if a.len() != b.len() {
        differences.push(Difference::Count { a: a.len(), b: b.len() });
    }
    for (row, (a, b)) in a.iter().zip(b).enumerate() {
        if a == b {
            continue;
        }
        for (column, (a, b)) in TrialRow::COLUMNS.iter().zip(fields(a).into_iter().zip(fields(b))) {
            if a != b {
                differences.push(Difference::Value { row, column: column.name, a, b });
            }
        }
    }
    differences
}

/// The texts of a row, in the order of its columns.
fn fields(row: &TrialRow) -> Vec<String> {
    let line = row.line();
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(line.as_bytes());
    let record = reader.records().next().expect("a row is one line");
    record.expect("a row that was just written reads").iter().map(str::to_owned).collect()
}
