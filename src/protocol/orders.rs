//! The order of blocks: how it is drawn, and every order that could have been drawn instead.
//!
//! The re-randomisation test redraws by the very rule that drew, so both stand here. An order lists
//! the condition of each block over the whole session, cycle after cycle.

use super::words_drawn::{Drawn, Stream};
use super::{Design, Order};
use std::collections::BTreeSet;

/// The condition of each block, in order of time.
pub type BlockOrder = Vec<u8>;

/// Adding the trend may widen the standard error of no contrast by more than this share.
const WIDENS_AT_MOST: f64 = 0.10;
/// Orders are listed one by one up to this many (before the restrictions); beyond, they are sampled.
const LIST_AT_MOST: f64 = 20_000.0;
/// A design whose restrictions refuse this many draws in a row has none.
const TRIES: usize = 200_000;

/// The orders that could have been drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum OtherDraws {
    /// The drawn one alone, or none that tells anything: no randomisation test is possible.
    None,
    /// All of them, each equally likely.
    Exact(Vec<BlockOrder>),
    /// Too many to list: draw from them with [`redraws`].
    Sampled,
}

/// Draws an order; `None` when the restrictions leave none.
///
/// Where looks are planned, each stretch between them meets the restrictions by itself, so that
/// the model can be estimated well at every look; the border rule holds across them.
pub(super) fn draw(design: &Design, holds: usize, drawn: &mut Drawn) -> Option<BlockOrder> {
    if design.looks.is_empty() {
        return draw_stretch(design, holds, drawn);
    }
    let mut order = BlockOrder::new();
    for stretch in stretches(design) {
        let next = (0..TRIES)
            .map(|_| draw_stretch(&stretch, holds, drawn))
            .find(|next| next.as_ref().is_none_or(|next| joins(design, &order, next, holds)))??;
        order.extend(next);
    }
    Some(order)
}

/// The design of each stretch between looks.
fn stretches(design: &Design) -> impl Iterator<Item = Design> + '_ {
    let of = |cycles| Design { cycles, looks: Vec::new(), ..design.clone() };
    design.stretches().into_iter().map(of)
}

/// Whether `next` can follow `order` under the border rule.
fn joins(design: &Design, order: &[u8], next: &[u8], holds: usize) -> bool {
    let free = holds < 3 || matches!(design.order, Order::Mirrored | Order::Fixed);
    free || order.last().is_none_or(|last| next.first() != Some(last))
}

fn draw_stretch(design: &Design, holds: usize, drawn: &mut Drawn) -> Option<BlockOrder> {
    (0..TRIES).filter_map(|_| candidate(design, holds, drawn)).find(|order| {
        matches!(design.order, Order::Mirrored | Order::Fixed) || is_allowed(order, holds, design)
    })
}

/// Other orders by the same rule, without end; the same `seed` gives the same ones.
pub fn redraws(
    design: &Design,
    holds: usize,
    draw_rule: u32,
    seed: u64,
) -> impl Iterator<Item = BlockOrder> {
    let design = design.clone();
    let mut drawn = Drawn::new(seed, draw_rule, Stream::Redraws);
    std::iter::from_fn(move || draw(&design, holds, &mut drawn))
}

/// Every order that could have been drawn.
pub fn other_draws(design: &Design, holds: usize) -> OtherDraws {
    if !design.looks.is_empty() {
        return by_stretches(design, holds);
    }
    let list = match design.order {
        Order::Fixed => return OtherDraws::None,
        // Two holds there and back have one mirror image with the same |t|: nothing is told.
        Order::Mirrored if holds < 3 => return OtherDraws::None,
        Order::Mirrored => permutations(holds)
            .iter()
            .map(|letters| mirrored(letters, design.cycles))
            .collect::<BTreeSet<_>>(),
        Order::Shuffled if shuffled_count(holds, design.cycles) > LIST_AT_MOST => {
            return OtherDraws::Sampled;
        }
        Order::Shuffled => {
            let mut list = BTreeSet::new();
            let rows = permutations(holds);
            extend(&mut Vec::new(), &rows, holds, design, &mut list);
            list
        }
        Order::Williams if williams_count(holds, design.cycles) > LIST_AT_MOST => {
            return OtherDraws::Sampled;
        }
        Order::Williams => all_williams(holds, design),
    };
    if list.len() < 2 { OtherDraws::None } else { OtherDraws::Exact(list.into_iter().collect()) }
}

/// Every way to put the orders of the stretches one behind the other.
fn by_stretches(design: &Design, holds: usize) -> OtherDraws {
    let mut orders = vec![BlockOrder::new()];
    for stretch in stretches(design) {
        let next = match other_draws(&stretch, holds) {
            OtherDraws::Exact(next) => next,
            OtherDraws::Sampled => return OtherDraws::Sampled,
            OtherDraws::None => return OtherDraws::None,
        };
        if (orders.len() * next.len()) as f64 > LIST_AT_MOST {
            return OtherDraws::Sampled;
        }
        orders = orders
            .iter()
            .flat_map(|so_far| {
                let fitting = next.iter().filter(|next| joins(design, so_far, next, holds));
                fitting.map(|next| so_far.iter().chain(next).copied().collect())
            })
            .collect();
    }
    OtherDraws::Exact(orders)
}

/// One order before the 10 % rule; `None` where its first set breaks the border rule.
///
/// A long session breaks the border rule somewhere nearly always, so that a whole order is not worth
/// throwing away: each further row (or Williams set) is drawn again until it joins the one before.
/// Every allowed order stays equally likely, because renaming the holds in turn carries the rows (and
/// a Williams set's row orders) that begin with one hold onto those that begin with another: whatever
/// stands last, equally many can follow.
fn candidate(design: &Design, holds: usize, drawn: &mut Drawn) -> Option<BlockOrder> {
    match design.order {
        Order::Fixed => Some((0..design.cycles).flat_map(|_| bytes(&identity(holds))).collect()),
        Order::Mirrored => Some(mirrored(&drawn.permutation(holds), design.cycles)),
        Order::Shuffled => {
            let mut order = BlockOrder::new();
            for _ in 0..design.cycles {
                let row = || bytes(&drawn.permutation(holds));
                order.extend(joining(&order, holds, row)?);
            }
            Some(order)
        }
        Order::Williams => {
            let letters = drawn.permutation(holds);
            let square = williams_rows(holds);
            let mut set = || -> BlockOrder {
                let rows = drawn.permutation(square.len());
                rows.iter().flat_map(|row| bytes(&named(&square[*row], &letters))).collect()
            };
            let mut order = Some(set()).filter(|first| holds_change(first, holds))?;
            for _ in 1..design.cycles / square.len() {
                order.extend(joining(&order, holds, &mut set)?);
            }
            Some(order)
        }
    }
}

/// The first of `parts` that can follow `order` under the border rule.
fn joining(order: &[u8], holds: usize, mut part: impl FnMut() -> BlockOrder) -> Option<BlockOrder> {
    (0..TRIES).map(|_| part()).find(|next| {
        let joins = holds < 3 || order.last().is_none_or(|last| next.first() != Some(last));
        joins && holds_change(next, holds)
    })
}

/// Whether no hold runs twice in succession; with two holds that would undo the randomisation.
fn holds_change(order: &[u8], holds: usize) -> bool {
    holds < 3 || order.windows(2).all(|pair| pair[0] != pair[1])
}

fn is_allowed(order: &[u8], holds: usize, design: &Design) -> bool {
    let borders_hold = design.order == Order::Mirrored || holds_change(order, holds);
    borders_hold && trend_widens(order, holds).is_some_and(|widens| widens <= WIDENS_AT_MOST)
}

/// By which share the trend widens the standard error of the worst contrast; `None` where the model
/// cannot be estimated.
///
/// For a complete table of K cycles with condition means m of the position centred in its cycle:
/// ```text
/// var with trend / var without = 1 + K (m_a - m_b)^2 / (2 S),  S = sum (p - cycle - condition)^2
/// ```
/// # Source
/// Analysis of covariance in a complete block design; Cochran & Cox, Experimental Designs, 2nd ed.
/// 1957, ch. 3 (from memory).
pub fn trend_widens(order: &[u8], holds: usize) -> Option<f64> {
    let cycles = order.len() / holds;
    let (k, c) = (cycles as f64, holds as f64);
    let mut means = vec![0.0; holds];
    for (i, hold) in order.iter().enumerate() {
        let centred = (i % holds) as f64 - (c - 1.0) / 2.0;
        means[usize::from(*hold)] += centred / k;
    }
    let within = k * c * (c * c - 1.0) / 12.0;
    let left = within - k * means.iter().map(|m| m * m).sum::<f64>();
    if left < 1e-9 {
        return None;
    }
    let high = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = means.iter().copied().fold(f64::INFINITY, f64::min);
    Some(libm::sqrt(1.0 + k * (high - low) * (high - low) / (2.0 * left)) - 1.0)
}

/// Rows of a Williams set: `holds` rows for an even number of holds, twice that for an odd one. Each
/// hold follows each other one equally often.
///
/// # Source
/// Williams (1949), Australian J. Scientific Research A 2:149 (from memory; tables in
/// checks/williams).
pub fn williams_rows(holds: usize) -> Vec<Vec<usize>> {
    // 0, 1, C-1, 2, C-2, ...
    let first: Vec<usize> = (0..holds)
        .map(|i| if i % 2 == 1 { i.div_ceil(2) } else { (holds - i / 2) % holds })
        .collect();
    let mut rows: Vec<Vec<usize>> =
        (0..holds).map(|shift| first.iter().map(|hold| (hold + shift) % holds).collect()).collect();
    if holds % 2 == 1 {
        let mirrored: Vec<Vec<usize>> =
            rows.iter().map(|row| row.iter().rev().copied().collect()).collect();
        rows.extend(mirrored);
    }
    rows
}

fn mirrored(letters: &[usize], cycles: usize) -> BlockOrder {
    let there = bytes(letters);
    let back: BlockOrder = there.iter().rev().copied().collect();
    (0..cycles).flat_map(|i| if i % 2 == 0 { there.clone() } else { back.clone() }).collect()
}

fn extend(
    so_far: &mut BlockOrder,
    rows: &[Vec<usize>],
    holds: usize,
    design: &Design,
    list: &mut BTreeSet<BlockOrder>,
) {
    if so_far.len() == design.cycles * holds {
        if is_allowed(so_far, holds, design) {
            list.insert(so_far.clone());
        }
        return;
    }
    for row in rows {
        if holds >= 3 && so_far.last().is_some_and(|last| usize::from(*last) == row[0]) {
            continue;
        }
        so_far.extend(bytes(row));
        extend(so_far, rows, holds, design, list);
        so_far.truncate(so_far.len() - holds);
    }
}

fn all_williams(holds: usize, design: &Design) -> BTreeSet<BlockOrder> {
    let square = williams_rows(holds);
    let sets = design.cycles / square.len();
    let row_orders = permutations(square.len());
    let mut list = BTreeSet::new();
    for letters in permutations(holds) {
        let mut orders: Vec<BlockOrder> = vec![BlockOrder::new()];
        for _ in 0..sets {
            orders = orders
                .iter()
                .flat_map(|so_far| {
                    row_orders.iter().map(|rows| {
                        let mut order = so_far.clone();
                        for row in rows {
                            order.extend(bytes(&named(&square[*row], &letters)));
                        }
                        order
                    })
                })
                .collect();
        }
        list.extend(orders.into_iter().filter(|order| is_allowed(order, holds, design)));
    }
    list
}

fn shuffled_count(holds: usize, cycles: usize) -> f64 {
    let all = factorial(holds);
    let next = if holds < 3 { all } else { all - factorial(holds - 1) };
    all * libm::pow(next, cycles.saturating_sub(1) as f64)
}

fn williams_count(holds: usize, cycles: usize) -> f64 {
    let rows = williams_rows(holds).len();
    factorial(holds) * libm::pow(factorial(rows), (cycles / rows) as f64)
}

fn factorial(n: usize) -> f64 {
    (1..=n).map(|i| i as f64).product()
}

fn permutations(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let mut list = Vec::new();
    for shorter in permutations(n - 1) {
        for place in 0..n {
            let mut longer = shorter.clone();
            longer.insert(place, n - 1);
            list.push(longer);
        }
    }
    list
}

fn identity(n: usize) -> Vec<usize> {
    (0..n).collect()
}

fn named(row: &[usize], letters: &[usize]) -> Vec<usize> {
    row.iter().map(|place| letters[*place]).collect()
}

fn bytes(row: &[usize]) -> BlockOrder {
    row.iter()
        .map(|hold| u8::try_from(*hold).expect("a protocol has at most eight holds"))
        .collect()
}

/// Redraws taken where the orders are too many to list; the smallest p is then 1/(redraws + 1).
pub const REDRAWS: usize = 9_999;

/// The smallest two-sided p that the re-randomisation test can give under a design; `None` where no
/// such test is possible.
///
/// Every rule here is closed under renaming the holds. Exchanging the names of a pair turns its t into
/// -t, and renaming the other holds among themselves leaves it as it is, so that at least
/// ```text
/// 2 (C - 2)!  of the N orders give the same |t|;  p >= 2 (C - 2)! / N
/// ```
/// (four holds in 4 cycles of a Williams set: 4/48, not 2/48). A test counts them. Where the orders
/// are too many to list, the floor of the sampled test.
pub fn attainable_p(design: &Design, holds: usize) -> Option<f64> {
    match other_draws(design, holds) {
        OtherDraws::None => None,
        OtherDraws::Exact(list) => {
            let alike = 2.0 * factorial(holds.saturating_sub(2));
            Some((alike / list.len() as f64).min(1.0))
        }
        OtherDraws::Sampled => Some(1.0 / (REDRAWS + 1) as f64),
    }
}
