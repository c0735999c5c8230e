//! What a design can show, by simulation. Knows no window.
//!
//! Draws whole sessions of a player with a true difference, analyses each as a real one is
//! analysed, and counts how often the answer is clear. The same seed gives the same outlook.

use crate::analysis::describe::{BlockStatistic, block_statistic};
use crate::analysis::{
    BlockRow, CompareError, CompareSpec, Family, Pair, Redraws, Verdict, compare,
};
use crate::protocol::{self, Protocol, Statistic, draw};
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
    /// Mean half-width of the simultaneous interval, ms.
    pub half_width_ms: f64,
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
    let reference = protocol.reference();
    let other = (0..protocol.conditions.len()).rev().find(|hold| *hold != reference).unwrap_or(0);
    let mut truth = truth.clone();
    truth.differences_ms = vec![0.0; protocol.conditions.len()];
    truth.differences_ms[other] = -difference_ms;
    let (mut clear, mut widths_ms, mut counted) = (0u32, 0.0, 0u32);
    for number in 0..simulations {
        let seed = seed.wrapping_add(u64::from(number).wrapping_mul(0x9e37_79b9_7f4a_7c15));
        let rows = simulate(protocol, &truth, seed);
        let Ok(pairs) = analyse(protocol, &rows) else { continue };
        let pair = pairs
            .iter()
            .find(|pair| (pair.a, pair.b) == (reference.min(other), reference.max(other)));
        let Some((pair, fit)) = pair.and_then(|pair| pair.fit.map(|fit| (pair, fit))) else {
            continue;
        };
        counted += 1;
        widths_ms += (fit.high - fit.low) / 2.0;
        clear += u32::from(is_clear(pair.verdict, pair.b == other));
    }
    let counted = f64::from(counted.max(1));
    Outlook {
        difference_ms,
        simulations,
        clear_share: f64::from(clear) / f64::from(simulations.max(1)),
        half_width_ms: widths_ms / counted,
    }
}

/// The block table of one simulated session.
pub fn simulate(protocol: &Protocol, truth: &Truth, seed: u64) -> Vec<BlockRow> {
    let schedule = draw(protocol, seed);
    let mut player = Player::new(truth.clone(), seed);
    let blocks = quick(protocol, &schedule, &mut player);
    blocks.iter().filter_map(|block| row(protocol, block)).collect()
}

/// The declared comparison of a block table, without redraws.
///
/// # Errors
/// As [`compare`].
pub fn analyse(protocol: &Protocol, rows: &[BlockRow]) -> Result<Vec<Pair>, CompareError> {
    let rules = &protocol.analysis;
    let spec = CompareSpec {
        family: match rules.family {
            protocol::Family::Reference => Family::Reference(protocol.reference()),
            protocol::Family::All => Family::All,
        },
        confidence: rules.confidence,
        smallest_change: rules.smallest_change_ms,
    };
    compare(rows, protocol.conditions.len(), &spec, Redraws::None)
}

/// A block's row; none where fewer than half of its trials count.
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
