//! What would settle an open answer: about how many more cycles like these.
//!
//! A projection from the numbers at hand, nothing more: the difference is taken to stay as it is, its
//! standard error to shrink with the root of the cycles, and t to fall as degrees of freedom come
//! with them. It never says to go on until it
//! looks good: more cycles are a new plan.

use crate::analysis::primary::EQUIVALENCE_ALPHA;
use crate::analysis::verdict::projected;
use crate::analysis::{Pair, PairFit, Verdict};
use crate::protocol::Protocol;

/// What would settle a pair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settle {
    /// About so many more cycles.
    MoreCycles {
        /// How many.
        more: usize,
        /// What they would probably show.
        shows: Shows,
    },
    /// Not even so many more would do.
    OutOfReach {
        /// The most that was tried.
        tried: usize,
    },
}

/// What more cycles would probably show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Which hold is faster.
    WhichIsFaster,
    /// That the difference is enough to matter.
    ThatItMatters,
    /// That the difference is too small to matter.
    ThatItIsTooSmall,
}

/// Most further cycles worth planning, as a multiple of those run. Common practice, no source.
const MOST_TIMES: usize = 8;

/// What would settle `pair`; nothing where it is settled or no interval exists.
pub fn settle(pair: &Pair, protocol: &Protocol, sessions: usize) -> Option<Settle> {
    // From an open answer, to know which is faster is already a step.
    let apart_ms = match pair.verdict {
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen => protocol.analysis.smallest_change_ms,
        Verdict::Open => 0.0,
        Verdict::AFasterByEnough
        | Verdict::BFasterByEnough
        | Verdict::AFasterTooLittle
        | Verdict::BFasterTooLittle
        | Verdict::NoDifferenceThatMatters
        | Verdict::Withheld => return None,
    };
    let fit = pair.fit?;
    let cycles = protocol.design.cycles * sessions;
    let most = MOST_TIMES * cycles;
    let found = (1..=most).find_map(|more| {
        let confidences = [protocol.analysis.confidence, 1.0 - 2.0 * EQUIVALENCE_ALPHA];
        let then = projected(&fit, cycles, more, protocol.conditions.len(), confidences);
        let shows = shown(&then, apart_ms, protocol.analysis.smallest_change_ms)?;
        Some(Settle::MoreCycles { more, shows })
    });
    Some(found.unwrap_or(Settle::OutOfReach { tried: most }))
}

/// What a fit shows.
fn shown(fit: &PairFit, apart_ms: f64, enough_ms: f64) -> Option<Shows> {
    let distance = fit.difference.abs();
    let half = (fit.high - fit.low) / 2.0;
    let half_equivalence = (fit.equivalence_high - fit.equivalence_low) / 2.0;
    if distance + half_equivalence < enough_ms {
        return Some(Shows::ThatItIsTooSmall);
    }
    let shows =
        if distance - half > enough_ms { Shows::ThatItMatters } else { Shows::WhichIsFaster };
    (distance - half > apart_ms).then_some(shows)
}
