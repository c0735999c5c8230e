//! Which trials belong to a block that was begun again: they stay in the file as `abandoned`.
//!
//! A pure rule over rows and segments, used when a session is taken up again, when it ends, and
//! when a replay is compared with the file. It deletes nothing.

use super::manifest::Segment;
use super::trials::TrialRow;
use crate::engine::Outcome;

/// Marks the trials of blocks that a later segment begins again; returns how many it changed.
///
/// A row is abandoned when a later segment starts at or before its block, or has a row of the same
/// block.
pub fn abandon(rows: &mut [TrialRow], segments: &[Segment]) -> usize {
    let restarts: Vec<(u32, usize)> = segments
        .iter()
        .filter_map(|segment| Some((segment.number, segment.from_position?)))
        .collect();
    let mut last_segments = std::collections::BTreeMap::new();
    for row in rows.iter() {
        let last = last_segments.entry(row.position).or_insert(row.segment);
        *last = row.segment.max(*last);
    }
    let mut changed = 0;
    for row in rows.iter_mut().filter(|row| row.outcome != Outcome::Abandoned) {
        let begun_again = last_segments.get(&row.position).is_some_and(|&last| last > row.segment)
            || restarts.iter().any(|&(number, from)| number > row.segment && from <= row.position);
        if begun_again {
            row.outcome = Outcome::Abandoned;
            changed += 1;
        }
    }
    changed
}

/// Marks every row so far of the block at `position`; returns how many changed.
pub(super) fn abandon_block(rows: &mut [TrialRow], position: usize) -> usize {
    let of_block =
        rows.iter_mut().filter(|row| row.position == position && row.outcome != Outcome::Abandoned);
    of_block.map(|row| row.outcome = Outcome::Abandoned).count()
}
