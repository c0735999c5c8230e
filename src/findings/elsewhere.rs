//! What is different where the times come from a table that was measured elsewhere.
//!
//! Less is known: how the order was drawn, by which clocks, what was planned. What is not known is
//! left out and said, never filled in. It reads no file; `exchange` does.

use super::input::{OrderShown, Origin, SessionData, TableFacts};
use crate::analysis::{BlockRow, Pair, Verdict};
use crate::words::tables as words;

/// What is known of the table that these sessions come from; nothing of records.
pub fn facts(sessions: &[SessionData]) -> Option<&TableFacts> {
    sessions.iter().find_map(|session| match &session.origin {
        Origin::Table(facts) => Some(facts.as_ref()),
        Origin::Record => None,
    })
}

/// Whether nothing says in which order the blocks came.
pub const fn order_is_unknown(table: &TableFacts) -> bool {
    matches!(table.order, OrderShown::Unknown)
}

/// What cannot be known of it, in words.
pub fn not_known(table: &TableFacts) -> Vec<String> {
    let mut list = vec![words::NO_CLOCKS.to_owned(), words::NO_DRAW.to_owned()];
    if order_is_unknown(table) {
        list.push(words::NO_ORDER.to_owned());
    }
    list.push(words::NO_MINUTES.to_owned());
    list.push(if table.answers_told { words::NO_MISSES } else { words::NO_ANSWERS }.to_owned());
    list.push(words::NO_LIMIT.to_owned());
    list.push(words::NOT_DECLARED.to_owned());
    list
}

/// The rows for the model. Without a known order every block of a cycle stands at one place, so
/// that no trend is taken out of the differences.
pub(super) fn rows(table: &TableFacts, rows: &[BlockRow]) -> Vec<BlockRow> {
    let at_one_place = |row: &BlockRow| BlockRow { position: row.cycle as f64, ..*row };
    if order_is_unknown(table) { rows.iter().map(at_one_place).collect() } else { rows.to_vec() }
}

/// The pairs without an answer where each hold was one lump.
pub(super) fn withhold(table: &TableFacts, mut pairs: Vec<Pair>) -> Vec<Pair> {
    if table.one_lump {
        for pair in &mut pairs {
            pair.fit = None;
            pair.verdict = Verdict::Withheld;
        }
    }
    pairs
}
