//! Tables of times that were measured elsewhere, read into what the findings need.
//!
//! Text in, sessions out; it opens no file and judges no hold. The way through: `columns` (which
//! column is what), `cells` (what a cell says), `read` (rows), `blocks` (rows to blocks in order),
//! `sessions` (the values that the findings take). What a table does not tell is left open and
//! said, never guessed; every fault is told at once, with its line and column.

mod blocks;
mod cells;
mod columns;
mod fault;
mod guess;
mod read;
mod sessions;

pub use columns::{Mapping, Role, Unit};
pub use fault::{Fault, TableError};
pub use guess::{Guess, guess};
pub use sessions::read;

use crate::protocol::Statistic;

/// What is asked of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Columns named by hand; the others are found by their names.
    pub columns: Vec<Mapping>,
    /// The unit of the times; else as the column's name says.
    pub unit: Option<Unit>,
    /// Frames a second, where the times were seen in frames.
    pub frames_per_second: Option<f64>,
    /// Whose rows; needed where there are several players.
    pub player: Option<String>,
    /// The hold that the others are compared with; else every pair is compared.
    pub reference: Option<String>,
    /// The statistic of a block.
    pub statistic: Statistic,
    /// The least difference that matters, ms.
    pub smallest_change_ms: f64,
}

impl Default for Asked {
    fn default() -> Asked {
        Asked {
            columns: Vec::new(),
            unit: None,
            frames_per_second: None,
            player: None,
            reference: None,
            statistic: Statistic::TrimmedMean,
            smallest_change_ms: 5.0,
        }
    }
}
