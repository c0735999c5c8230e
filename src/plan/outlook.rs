//! What one plan can show a player.
//!
//! A session is drawn by the protocol's own rule, played by the simulated player without a screen
//! and compared by the declared rules, planned looks included.

use super::look::{self, Level};
use crate::analysis::describe::{BlockStatistic, block_statistic};
use crate::analysis::{BlockRow, Pair, PairFit, Redraws, Verdict};
use crate::protocol::{Protocol, Statistic, draw};
use crate::sim::{Player, QuickBlock, Truth, quick};

/// What a plan can show.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// The true difference that was simulated, ms.
    pub difference_ms: f64,
    /// How many sessions were simulated.
    pub simulations: u32,
    /// Share of sessions whose answer on that difference was clear, 0 to 1.
    pub clear_share: f64,
    /// Share of sessions whose interval left out 0 on the right side, 0 to 1: the power.
    pub found_share: f64,
    /// Mean half-width of the simultaneous interval, ms.
    pub half_width_ms: f64,
    /// Mean number of cycles run: below the plan's where looks end sessions early.
    pub mean_cycles: f64,
}

impl Outlook {
    /// Monte-Carlo standard error of a share of the simulated sessions, 0 to 1.
    pub fn standard_error(&self, share: f64) -> f64 {
        (share * (1.0 - share) / f64::from(self.simulations.max(1))).sqrt()
    }
}

/// Simulates `simulations` sessions in which the last hold is `difference_ms` faster than the
/// reference and every other hold is equal to it.
///
/// A clear answer is any verdict but `open` and `withheld`, in the right direction.
pub fn outlook(
    protocol: &Protocol,
    truth: &Truth,
    difference_ms: f64,
    simulations: u32,
    seed: u64,
) -> Outlook {
    let counts = count(protocol, truth, difference_ms, simulations, seed, &|| true);
    counts.unwrap_or_default().outlook(difference_ms, simulations)
}

/// The same, asking before each session whether to go on; nothing where it was stopped.
pub fn outlook_while(
    protocol: &Protocol,
    truth: &Truth,
    difference_ms: f64,
    simulations: u32,
    seed: u64,
    go_on: &dyn Fn() -> bool,
) -> Option<Outlook> {
    let counts = count(protocol, truth, difference_ms, simulations, seed, go_on)?;
    Some(counts.outlook(difference_ms, simulations))
}

/// What was counted.
#[derive(Debug, Clone, Copy, Default)]
struct Counts {
    with_interval: u32,
    clear: u32,
    found: u32,
    widths_ms: f64,
    cycles: usize,
}

impl Counts {
    fn outlook(self, difference_ms: f64, simulations: u32) -> Outlook {
        let all = f64::from(simulations.max(1));
        Outlook {
            difference_ms,
            simulations,
            clear_share: f64::from(self.clear) / all,
            found_share: f64::from(self.found) / all,
            half_width_ms: self.widths_ms / f64::from(self.with_interval.max(1)),
            mean_cycles: self.cycles as f64 / all,
        }
    }
}

fn count(
    protocol: &Protocol,
    truth: &Truth,
    difference_ms: f64,
    simulations: u32,
    seed: u64,
    go_on: &dyn Fn() -> bool,
) -> Option<Counts> {
    let reference = protocol.reference();
    let other = (0..protocol.conditions.len()).rev().find(|hold| *hold != reference).unwrap_or(0);
    let mut truth = truth.clone();
    truth.differences_ms = vec![0.0; protocol.conditions.len()];
    truth.differences_ms[other] = -difference_ms;
    // A checked protocol has levels: its looks rise and its confidence is one.
    let levels = look::levels(protocol).unwrap_or_default();
    let mut counts = Counts::default();
    for number in 0..simulations {
        if !go_on() {
            return None;
        }
        let seed = seed.wrapping_add(u64::from(number).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let rows = simulate(protocol, &truth, seed);
        let Some(told) = through_looks(protocol, &rows, &levels) else { continue };
        counts.cycles += told.cycle;
        let ends = (reference.min(other), reference.max(other));
        let pair = told.pairs.iter().find(|pair| (pair.a, pair.b) == ends);
        let Some((pair, fit)) = pair.and_then(|pair| pair.fit.map(|fit| (pair, fit))) else {
            continue;
        };
        counts.with_interval += 1;
        counts.widths_ms += (fit.high - fit.low) / 2.0;
        let b_is_faster = (pair.b == other) == (difference_ms >= 0.0);
        counts.clear += u32::from(is_clear(pair.verdict, b_is_faster));
        counts.found += u32::from(is_found(&fit, b_is_faster));
    }
    Some(counts)
}

/// Where a session ended, and what it told.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// After which cycle.
    pub cycle: usize,
    /// The comparisons, at the level of that cycle.
    pub pairs: Vec<Pair>,
}

/// Takes the looks of a session as they were planned, up to the first that settles it. `levels`: of
/// every look and of the end; nothing where nothing can be compared.
pub fn through_looks(protocol: &Protocol, rows: &[BlockRow], levels: &[Level]) -> Option<Told> {
    let mut told = None;
    for level in levels {
        let until;
        let seen = if level.is_last() {
            rows
        } else {
            until = look::rows_until(rows, level.cycle);
            &until
        };
        let pairs = look::compare_rows(protocol, seen, level, Redraws::None).ok()?;
        let settled = look::is_settled(&pairs);
        told = Some(Told { cycle: level.cycle, pairs });
        if settled {
            break;
        }
    }
    told
}

/// The block table of one simulated session.
pub fn simulate(protocol: &Protocol, truth: &Truth, seed: u64) -> Vec<BlockRow> {
    let schedule = draw(protocol, seed);
    let mut player = Player::new(truth.clone(), seed);
    table(protocol, &quick(protocol, &schedule, &mut player))
}

/// The block table of played blocks; without those of which fewer than half of the trials count.
pub fn table(protocol: &Protocol, blocks: &[QuickBlock]) -> Vec<BlockRow> {
    blocks.iter().filter_map(|block| row(protocol, block)).collect()
}

fn row(protocol: &Protocol, block: &QuickBlock) -> Option<BlockRow> {
    if 2 * (block.hits_ms.len() + block.misses) < protocol.answers_in_block() {
        return None;
    }
    let statistic = match protocol.analysis.statistic {
        Statistic::TrimmedMean => BlockStatistic::TrimmedMean,
        Statistic::Median => BlockStatistic::Median,
        Statistic::Mean => BlockStatistic::Mean,
    };
    let within_ms = protocol.respond_within_ms;
    let value = block_statistic(&block.hits_ms, block.misses, statistic, within_ms).ok()?;
    Some(BlockRow {
        session: 0,
        cycle: block.cycle - 1,
        position: block.position as f64,
        condition: block.condition,
        value,
    })
}

/// Whether the interval leaves out 0 on the right side.
fn is_found(fit: &PairFit, b_is_faster: bool) -> bool {
    if b_is_faster { fit.low > 0.0 } else { fit.high < 0.0 }
}

/// Whether a verdict is clear and, where it names a faster hold, names the right one.
fn is_clear(verdict: Verdict, b_is_faster: bool) -> bool {
    match verdict {
        Verdict::AFasterByEnough | Verdict::AFasterTooLittle | Verdict::AFasterSizeOpen => {
            !b_is_faster
        }
        Verdict::BFasterByEnough | Verdict::BFasterTooLittle | Verdict::BFasterSizeOpen => {
            b_is_faster
        }
        Verdict::NoDifferenceThatMatters => true,
        Verdict::Open | Verdict::Withheld => false,
    }
}
