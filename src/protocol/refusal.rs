//! What no plan may be: sizes that cannot be drawn, judged or asked of a hand.
//!
//! The checker of protocol files and the planner ask the same functions, so that the planner never
//! offers a plan that the checker refuses. It knows no file.

use super::orders::{self, trend_widens, williams_rows};
use super::words_drawn::{Drawn, Stream};
use super::{Order, Protocol, draw, minutes};
use crate::tasks::TaskKind;

/// No block under a firm hold lasts longer, s. The program's own; no key lifts it.
pub(super) const FIRM_BLOCK_S: f64 = 75.0;
/// Below so many degrees of freedom no interval can be given at the end.
const LEAST_DF: usize = 2;
/// Below so many degrees of freedom the level of a look is too rough to be trusted.
///
/// # Source
/// Our own simulations (docs/calibration.md); common practice, no source.
pub(super) const LEAST_LOOK_DF: usize = 4;

/// Why a plan is refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// The cycles are no whole sets of the order.
    WholeSets {
        /// Cycles of a set.
        set: usize,
    },
    /// Too few cycles for an interval.
    TooFewCycles {
        /// The fewest that will do.
        least: usize,
    },
    /// No order of the blocks can tell the holds from practice and fatigue.
    NoOrder,
    /// A look that cannot be one.
    Look(LookRefusal),
    /// A block under a firm hold may last too long.
    FirmBlock {
        /// How long, s.
        longest_s: f64,
    },
    /// Too many minutes may be spent under a firm hold.
    FirmMinutes {
        /// How many.
        minutes: f64,
    },
    /// The session takes too long.
    TooLong {
        /// How many minutes.
        minutes: f64,
    },
}

/// Why a look is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LookRefusal {
    /// Not after the one before it, or not before the last cycle.
    Order {
        /// The look.
        cycle: usize,
    },
    /// Too few degrees of freedom by then.
    TooEarly {
        /// The look.
        cycle: usize,
        /// The first cycle at which one may be.
        least: usize,
    },
    /// It cuts a set of the order in two.
    CutsSet {
        /// The look.
        cycle: usize,
        /// Cycles of a set.
        set: usize,
    },
    /// The stretch that ends there cannot be drawn so that the trend is told apart.
    Stretch {
        /// The cycle at which it ends.
        cycle: usize,
    },
    /// The order is always the same: a look could settle nothing.
    FixedOrder,
}

/// Cycles of one whole set of an order.
pub fn whole_set(order: Order, holds: usize) -> usize {
    match order {
        Order::Williams => williams_rows(holds).len(),
        Order::Mirrored => 2,
        Order::Shuffled | Order::Fixed => 1,
    }
}

/// Why a design cannot be drawn or judged.
pub(super) fn of_design(protocol: &Protocol) -> Option<Refusal> {
    let (design, holds) = (&protocol.design, protocol.conditions.len());
    let set = whole_set(design.order, holds);
    if design.cycles == 0 || !design.cycles.is_multiple_of(set) {
        return Some(Refusal::WholeSets { set });
    }
    // A long watch is too long for that many blocks in one sitting: several days are read together.
    let long_watch = matches!(protocol.task, TaskKind::Vigilance(_));
    if !long_watch && degrees_of_freedom(design.cycles, holds) < LEAST_DF {
        return Some(Refusal::TooFewCycles { least: least_cycles(LEAST_DF, holds) });
    }
    if let Some(refusal) = of_looks(protocol) {
        return Some(Refusal::Look(refusal));
    }
    let mut drawn = Drawn::new(0, design.draw_rule(), Stream::Orders);
    let order = orders::draw(design, holds, &mut drawn);
    let told_apart = order.as_ref().is_some_and(|order| {
        design.order == Order::Fixed || long_watch || trend_widens(order, holds).is_some()
    });
    (!told_apart).then_some(Refusal::NoOrder)
}

fn of_looks(protocol: &Protocol) -> Option<LookRefusal> {
    let (design, holds) = (&protocol.design, protocol.conditions.len());
    if design.looks.is_empty() {
        return None;
    }
    if design.order == Order::Fixed {
        return Some(LookRefusal::FixedOrder);
    }
    let set = whole_set(design.order, holds);
    let mut before = 0;
    for &cycle in &design.looks {
        if cycle <= before || cycle >= design.cycles {
            return Some(LookRefusal::Order { cycle });
        }
        if degrees_of_freedom(cycle, holds) < LEAST_LOOK_DF {
            return Some(LookRefusal::TooEarly {
                cycle,
                least: least_cycles(LEAST_LOOK_DF, holds),
            });
        }
        if !cycle.is_multiple_of(set) {
            return Some(LookRefusal::CutsSet { cycle, set });
        }
        before = cycle;
    }
    let ends = design.looks.iter().chain([&design.cycles]);
    for (cycles, &end) in design.stretches().into_iter().zip(ends) {
        let stretch = super::Design { cycles, looks: Vec::new(), ..design.clone() };
        // A stretch of one cycle holds the trend and the holds in one: nothing can be drawn. Tried
        // before the draw, which gives up only after very many tries.
        let mut drawn = Drawn::new(0, draw::DRAW_RULE, Stream::Orders);
        if cycles < 2 || orders::draw(&stretch, holds, &mut drawn).is_none() {
            return Some(LookRefusal::Stretch { cycle: end });
        }
    }
    None
}

/// Degrees of freedom of a complete table, (C-1)(K-1) - 1.
fn degrees_of_freedom(cycles: usize, holds: usize) -> usize {
    ((holds - 1) * cycles.saturating_sub(1)).saturating_sub(1)
}

/// The fewest cycles with so many degrees of freedom.
fn least_cycles(df: usize, holds: usize) -> usize {
    1 + (df + 1).div_ceil(holds - 1)
}

/// Why a plan asks too much of a hand, all reasons.
pub(super) fn of_care(protocol: &Protocol) -> Vec<Refusal> {
    let takes = minutes::minutes(protocol);
    let care = &protocol.care;
    let mut refusals = Vec::new();
    if takes.longest_firm_block_s > FIRM_BLOCK_S {
        refusals.push(Refusal::FirmBlock { longest_s: takes.longest_firm_block_s });
    }
    if takes.firm_at_most > care.firm_minutes_at_most {
        refusals.push(Refusal::FirmMinutes { minutes: takes.firm_at_most });
    }
    if takes.elapsed > care.longest_minutes {
        refusals.push(Refusal::TooLong { minutes: takes.elapsed });
    }
    refusals
}

/// The same protocol with other numbers of cycles and trials; the checker would let it through.
///
/// Planned looks and a standing break belong to a length: with other cycles the looks, and a break
/// behind the new end, are left out.
/// # Errors
/// [`Refusal`]: the first reason against it.
pub fn resized(protocol: &Protocol, cycles: usize, trials: usize) -> Result<Protocol, Refusal> {
    let mut other = protocol.clone();
    if cycles != protocol.design.cycles {
        other.design.looks.clear();
    }
    other.design.cycles = cycles;
    other.design.trials = trials;
    let blocks = cycles * protocol.conditions.len();
    other.rest.standing_break = other.rest.standing_break.filter(|b| b.after_block < blocks);
    let refusal = of_design(&other).or_else(|| of_care(&other).first().copied());
    refusal.map_or(Ok(other), Err)
}
