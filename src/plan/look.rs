//! The declared comparison at each planned look, and at the end.
//!
//! Says at which level a look may judge and whether it settles everything; it takes no look
//! itself. Without planned looks the end is judged at the declared confidence.

use crate::analysis::looks::{LooksError, Spending, nominal};
use crate::analysis::primary::EQUIVALENCE_ALPHA;
use crate::analysis::{
    BlockRow, CompareError, CompareSpec, Family, Pair, Redraws, Verdict, compare_at,
};
use crate::protocol::{self, Protocol};

/// At which level the answer is judged after a cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// After which cycle.
    pub cycle: usize,
    /// Cycles planned.
    pub of: usize,
    /// Confidence of the simultaneous intervals there, 0 to 1.
    pub confidence: f64,
    /// Confidence of the interval for equivalence there, 0 to 1.
    pub equivalence_confidence: f64,
}

impl Level {
    /// Whether every planned cycle was run.
    pub fn is_last(&self) -> bool {
        self.cycle >= self.of
    }
}

/// The level after `cycle`, whether a look was planned there or the session stopped there for
/// another reason.
///
/// The level spent up to there follows from the share of the cycles alone, in the manner of
/// O'Brien and Fleming; the bound in z by the usual recursion; its two-sided level is applied to
/// that look's t. Each of the two one-sided tests of equivalence spends its own level alike.
/// # Source
/// Lan & DeMets (1983) Biometrika 70:659. docs/calibration.md tries this, and beside it the bounds
/// in z put to t itself, which let through far more false alarms.
/// # Errors
/// [`LooksError`]: the cycles do not rise, or the confidence is none.
pub fn level_at(protocol: &Protocol, cycle: usize) -> Result<Level, LooksError> {
    let (design, confidence) = (&protocol.design, protocol.analysis.confidence);
    let of = design.cycles;
    let equivalence_confidence = 1.0 - 2.0 * EQUIVALENCE_ALPHA;
    if design.looks.is_empty() {
        return Ok(Level { cycle, of, confidence, equivalence_confidence });
    }
    let before = design.looks.iter().copied().filter(|look| *look < cycle);
    let information: Vec<f64> =
        before.chain([cycle.min(of)]).map(|cycle| cycle as f64 / of as f64).collect();
    let nominal = |alpha: f64| nominal(&information, alpha, Spending::Late);
    Ok(Level {
        cycle,
        of,
        confidence: 1.0 - nominal(1.0 - confidence)?,
        equivalence_confidence: 1.0 - nominal(2.0 * EQUIVALENCE_ALPHA)?,
    })
}

/// The levels of all planned looks and of the end, in order.
///
/// # Errors
/// As [`level_at`].
pub fn levels(protocol: &Protocol) -> Result<Vec<Level>, LooksError> {
    let design = &protocol.design;
    let cycles = design.looks.iter().copied().chain([design.cycles]);
    cycles.map(|cycle| level_at(protocol, cycle)).collect()
}

/// The declared comparison of a block table at a level.
///
/// # Errors
/// As [`compare_at`].
pub fn compare_rows(
    protocol: &Protocol,
    rows: &[BlockRow],
    level: &Level,
    redraws: Redraws<'_>,
) -> Result<Vec<Pair>, CompareError> {
    let rules = &protocol.analysis;
    let spec = CompareSpec {
        family: match rules.family {
            protocol::Family::Reference => Family::Reference(protocol.reference()),
            protocol::Family::All => Family::All,
        },
        confidence: level.confidence,
        smallest_change: rules.smallest_change_ms,
    };
    let holds = protocol.conditions.len();
    compare_at(rows, holds, &spec, level.equivalence_confidence, redraws)
}

/// The rows up to and with `cycle` (from 1).
pub fn rows_until(rows: &[BlockRow], cycle: usize) -> Vec<BlockRow> {
    rows.iter().filter(|row| row.cycle < cycle).copied().collect()
}

/// Whether nothing is left to be found out: every comparison says which hold is faster by enough,
/// or that the difference is too small to matter. A faster hold whose gain is still open is not
/// settled: the cycles that are left were planned to tell.
pub fn is_settled(pairs: &[Pair]) -> bool {
    let settled = |verdict| match verdict {
        Verdict::AFasterByEnough
        | Verdict::BFasterByEnough
        | Verdict::AFasterTooLittle
        | Verdict::BFasterTooLittle
        | Verdict::NoDifferenceThatMatters => true,
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen | Verdict::Open | Verdict::Withheld => {
            false
        }
    };
    !pairs.is_empty() && pairs.iter().all(|pair| settled(pair.verdict))
}
