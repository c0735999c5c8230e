//! The declared comparison of a block table, by the protocol's own rules.
//!
//! Translates rules and draws for the analysis and nothing else.

use super::FindingsError;
use super::compare::Table;
use crate::analysis::{self, CompareSpec, Pair, Redraws};
use crate::protocol::Family;

/// The pairs of a block table.
///
/// # Errors
/// [`FindingsError::Analysis`] where the table is none.
pub fn primary(table: &Table) -> Result<Vec<Pair>, FindingsError> {
    let rules = &table.protocol.analysis;
    let spec = CompareSpec {
        family: match rules.family {
            Family::Reference => analysis::Family::Reference(table.protocol.reference()),
            Family::All => analysis::Family::All,
        },
        confidence: rules.confidence,
        smallest_change: rules.smallest_change_ms,
    };
    let conditions = table.protocol.conditions.len();
    Ok(analysis::compare(&table.rows, conditions, &spec, Redraws::None)?)
}
