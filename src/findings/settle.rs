//! What would settle an open answer: about how many more cycles like these.
//!
//! A projection from the numbers at hand, nothing more: the difference is taken to stay as it is
//! and its standard error to shrink with the root of the cycles. It never says to go on until it
//! looks good: more cycles are a new plan.

use crate::analysis::{Pair, PairFit, Verdict};
use crate::protocol::Protocol;

/// What would settle a pair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settle {
    /// About so many more cycles.
    MoreCycles(usize),
    /// Not even so many more would do.
    OutOfReach {
        /// The most that was tried.
        tried: usize,
    },
}

/// Most further cycles worth planning, as a multiple of those run. Common practice, no source.
const MOST_TIMES: usize = 8;

/// What would settle `pair`; nothing where it is settled or no interval exists.
pub fn settle(pair: &Pair, protocol: &Protocol, sessions: usize) -> Option<Settle> {
    let unsettled = match pair.verdict {
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen | Verdict::Open => true,
        Verdict::AFasterByEnough
        | Verdict::BFasterByEnough
        | Verdict::AFasterTooLittle
        | Verdict::BFasterTooLittle
        | Verdict::NoDifferenceThatMatters
        | Verdict::Withheld => false,
    };
    let fit = pair.fit.filter(|_| unsettled)?;
    let cycles = protocol.design.cycles * sessions;
    let enough_ms = protocol.analysis.smallest_change_ms;
    let most = MOST_TIMES * cycles;
    let more = (1..=most).find(|more| {
        let shrink = (cycles as f64 / (cycles + more) as f64).sqrt();
        settled(&fit, shrink, enough_ms)
    });
    Some(more.map_or(Settle::OutOfReach { tried: most }, Settle::MoreCycles))
}

/// Whether intervals shrunk by this factor about the same difference give a settled verdict.
fn settled(fit: &PairFit, shrink: f64, enough_ms: f64) -> bool {
    let distance = fit.difference.abs();
    let half = shrink * (fit.high - fit.low) / 2.0;
    let half_equivalence = shrink * (fit.equivalence_high - fit.equivalence_low) / 2.0;
    distance - half > enough_ms || distance + half_equivalence < enough_ms
}
