//! The statistics against scipy, statsmodels, R, NIST and published examples.
//!
//! The block model has no plain paired t of its own: with one position a cycle its trend has
//! nothing to say, and the paired t is what is left. With one cycle in all it is the two-sample t.

#![expect(clippy::unwrap_used, reason = "test helpers: a wrong file must fail the test")]

mod bootstrap;
mod choice_pointing;
mod combined;
mod compared;
mod counted;
mod laws;
mod looks;
mod mixed;
mod open_data;
mod plain;
mod power;
mod redrawn;
mod reliability;
mod robust;
mod shift;
mod trend;

use tautline::analysis::{BlockRow, CompareSpec, Family, Pair, Redraws, compare};

const SPEC: CompareSpec =
    CompareSpec { family: Family::All, confidence: 0.95, smallest_change: 0.0 };

/// Matched values, a column a condition, a row a cycle; no trend.
fn matched(columns: &[&[f64]]) -> Vec<BlockRow> {
    (0..columns[0].len())
        .flat_map(|cycle| {
            columns.iter().enumerate().map(move |(condition, column)| BlockRow {
                session: 0,
                cycle,
                position: cycle as f64,
                condition,
                value: column[cycle],
            })
        })
        .collect()
}

/// Samples that are not matched, each a condition; no trend.
fn unmatched(samples: &[&[f64]]) -> Vec<BlockRow> {
    samples
        .iter()
        .enumerate()
        .flat_map(|(condition, sample)| {
            sample.iter().map(move |&value| BlockRow {
                session: 0,
                cycle: 0,
                position: 0.0,
                condition,
                value,
            })
        })
        .collect()
}

/// The one pair of two matched samples.
fn paired(a: &[f64], b: &[f64]) -> Pair {
    compare(&matched(&[a, b]), 2, &SPEC, Redraws::None).unwrap()[0]
}
