//! What speed costs: errors, early presses, throughput, steadiness and comfort beside the gain.
//!
//! Each is compared as the times are: one value a block, the same model. A cost never changes the
//! verdict; it is named beside it.

use super::Findings;
use super::compare::share;
use super::elsewhere;
use super::enter::LeftOut;
use super::input::{SessionData, TrialFacts};
use crate::analysis::conditional::{self, Bin};
use crate::analysis::describe::{mean, median, sd};
use crate::analysis::pointing::{self, Movement, Place, throughput};
use crate::analysis::proportion::wilson;
use crate::analysis::{
    BlockRow, CompareSpec, Family, Interval, Pair, PairFit, Redraws, Verdict, compare,
};
use crate::protocol::{Part, Rating};
use crate::record::Outcome;
use std::collections::BTreeMap;

/// Bins of the times for the conditional accuracy. Common practice: four or five.
const BINS: usize = 4;
/// A gap of shares that is worth a word by itself. Common practice, no source.
const SHARE_GAP: f64 = 0.05;
/// A gap of ratings that is worth a word by itself, of 10. Common practice, no source.
const RATING_GAP: f64 = 1.0;

/// What is measured beside the time, one value a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measured {
    /// Wrong answers and misses among the trials, 0 to 1.
    Errors,
    /// Early presses among the trials, 0 to 1.
    Early,
    /// Throughput of pointing, bits a second.
    Throughput,
    /// Small shakes, rms counts; median of the block's trials.
    SmallShakes,
    /// Discomfort as rated, 0 to 10.
    Discomfort,
}

impl Measured {
    /// Every one.
    pub const ALL: [Measured; 5] = [
        Measured::Errors,
        Measured::Early,
        Measured::Throughput,
        Measured::SmallShakes,
        Measured::Discomfort,
    ];

    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            Measured::Errors => "error_share",
            Measured::Early => "early_share",
            Measured::Throughput => "throughput_bits_s",
            Measured::SmallShakes => "small_shakes_counts",
            Measured::Discomfort => "discomfort",
        }
    }

    /// Whether more of it is the worse.
    pub const fn more_is_worse(self) -> bool {
        !matches!(self, Measured::Throughput)
    }
}

/// A block's value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlockValue {
    /// Session, from 0.
    pub session: usize,
    /// Cycle, from 1.
    pub cycle: usize,
    /// Place in the session, from 1.
    pub position: usize,
    /// The hold.
    pub condition: usize,
    /// Its middle, minutes since its session began.
    pub minute: Option<f64>,
    /// The value.
    pub value: f64,
}

/// Everything beside the times.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Costs {
    /// Of each hold.
    pub holds: Vec<HoldCost>,
    /// Of each of the findings' pairs: every measure that both holds have.
    pub pairs: Vec<Vec<Beside>>,
}

/// Of a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldCost {
    /// Errors, Wilson's interval; blank where nothing tells.
    pub errors: Option<Interval>,
    /// Early presses, Wilson's interval.
    pub early: Option<Interval>,
    /// Throughput, bits a second: mean of the blocks; where distances or sizes are several, mean of
    /// the conditions of difficulty.
    pub throughput: Option<f64>,
    /// Distance from the target's middle along the way to it, px: mean (constant error).
    pub constant_error_px: Option<f64>,
    /// The same: standard deviation (variable error).
    pub variable_error_px: Option<f64>,
    /// From the movement's onset to the press, median, ms.
    pub movement_ms: Option<f64>,
    /// How long the button was down, median, ms.
    pub press_ms: Option<f64>,
    /// Small shakes, rms counts: mean of the blocks.
    pub small_shakes: Option<f64>,
    /// Discomfort, mean of the blocks, of 10.
    pub discomfort: Option<f64>,
    /// Share of right answers from the fastest to the slowest quarter; empty where none was wrong.
    pub by_speed: Vec<Bin>,
}

/// A measure of two holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// Which.
    pub measured: Measured,
    /// Hold a: mean of its blocks.
    pub a: f64,
    /// Hold b: mean of its blocks.
    pub b: f64,
    /// a - b by the block model, unadjusted interval; blank where it cannot be told or nothing
    /// varies.
    pub apart: Option<Interval>,
}

impl Beside {
    /// What it costs to use hold a rather than b; `None` where a is not the worse.
    pub fn cost_of_a(&self) -> Option<Sure> {
        let sign = if self.measured.more_is_worse() { 1.0 } else { -1.0 };
        let ends = self.apart.map(|apart| [sign * apart.low, sign * apart.high]);
        if ends.is_some_and(|[one, other]| one.min(other) > 0.0) {
            return Some(Sure::Sure);
        }
        let gap = match self.measured {
            Measured::Errors | Measured::Early => SHARE_GAP,
            Measured::Discomfort => RATING_GAP,
            Measured::Throughput | Measured::SmallShakes => f64::INFINITY,
        };
        (sign * (self.a - self.b) > gap).then_some(Sure::Perhaps)
    }

    /// The same with the holds' places changed.
    pub fn turned(&self) -> Beside {
        let turn = |i: Interval| Interval { estimate: -i.estimate, low: -i.high, high: -i.low };
        Beside { measured: self.measured, a: self.b, b: self.a, apart: self.apart.map(turn) }
    }
}

/// How sure a cost is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sure {
    /// Its interval leaves 0 out.
    Sure,
    /// The gap is worth a word, and its interval holds 0.
    Perhaps,
}

/// A cost of the faster hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// What.
    pub measured: Measured,
    /// Of the faster hold.
    pub faster: f64,
    /// Of the slower one.
    pub slower: f64,
    /// How sure.
    pub sure: Sure,
}

/// What the faster hold of a pair costs; nothing where the verdict names no faster hold.
pub fn costs_of(findings: &Findings, pair: usize) -> Vec<Cost> {
    let a_is_faster = match findings.pairs[pair].verdict {
        Verdict::AFasterByEnough | Verdict::AFasterTooLittle | Verdict::AFasterSizeOpen => true,
        Verdict::BFasterByEnough | Verdict::BFasterTooLittle | Verdict::BFasterSizeOpen => false,
        Verdict::NoDifferenceThatMatters | Verdict::Open | Verdict::Withheld => return Vec::new(),
    };
    let beside = findings.costs.pairs.get(pair).into_iter().flatten();
    beside
        .filter_map(|beside| {
            let beside = if a_is_faster { *beside } else { beside.turned() };
            let sure = beside.cost_of_a()?;
            let Beside { measured, a: faster, b: slower, .. } = beside;
            Some(Cost { measured, faster, slower, sure })
        })
        .collect()
}

/// Everything beside the times.
pub(super) fn costs(findings: &Findings) -> Costs {
    let values: BTreeMap<Measured, Vec<BlockValue>> = Measured::ALL
        .into_iter()
        .map(|measured| (measured, block_values(findings, measured)))
        .collect();
    let holds = (0..findings.holds.len()).map(|hold| of_hold(findings, hold, &values)).collect();
    let pairs = findings.pairs.iter().map(|pair| of_pair(findings, pair, &values)).collect();
    Costs { holds, pairs }
}

/// One value a used block that has it.
pub(super) fn block_values(findings: &Findings, measured: Measured) -> Vec<BlockValue> {
    let answers_told = elsewhere::facts(&findings.sessions).is_none_or(|t| t.answers_told);
    let mut list = Vec::new();
    for block in findings.used() {
        let session = &findings.sessions[block.session];
        let value = match measured {
            Measured::Errors => (answers_told && block.seen > 0)
                .then(|| share(block.misses + block.count(LeftOut::Wrong), block.seen)),
            Measured::Early => {
                (block.seen > 0).then(|| share(block.count(LeftOut::Early), block.seen))
            }
            // A block holds too few movements for a spread of each where conditions are several:
            // then the hold's own throughput stands with its conditions (`by_task`).
            Measured::Throughput => of_one_difficulty(session, block.position)
                .then(|| throughput(&movements(session, block.position)).ok())
                .flatten()
                .map(|found| found.bits_per_s)
                .filter(|bits| bits.is_finite()),
            Measured::SmallShakes => {
                let of_block = in_block(session, block.position);
                let shakes: Vec<f64> =
                    of_block.filter_map(|trial| trial.hand.small_shakes_counts).collect();
                median(&shakes)
            }
            Measured::Discomfort => session
                .ratings
                .iter()
                .find(|rating| {
                    rating.position == block.position && rating.item == Rating::Discomfort.name()
                })
                .map(|rating| f64::from(rating.value)),
        };
        list.extend(value.map(|value| BlockValue {
            session: block.session,
            cycle: block.cycle,
            position: block.position,
            condition: block.condition,
            minute: block.minute,
            value,
        }));
    }
    list
}

/// The main attempts of a block that were not abandoned.
pub(super) fn in_block(
    session: &SessionData,
    position: usize,
) -> impl Iterator<Item = &TrialFacts> {
    let own = session.trials.iter().filter(move |trial| trial.position == position);
    own.filter(|trial| trial.part == Part::Main && trial.outcome != Outcome::Abandoned)
}

/// Whether all targets of a block appeared at one distance in one size.
fn of_one_difficulty(session: &SessionData, position: usize) -> bool {
    let mut aimed_at = in_block(session, position).filter_map(|trial| trial.hand.aimed_at_mm);
    let Some([distance_mm, size_mm]) = aimed_at.next() else { return true };
    aimed_at.all(|[distance, size]| {
        distance.total_cmp(&distance_mm).is_eq() && size.total_cmp(&size_mm).is_eq()
    })
}

/// The movements of a block onto its targets: hits and misclicks alike, as the standard has it.
fn movements(session: &SessionData, position: usize) -> Vec<Movement> {
    in_block(session, position).filter_map(movement).collect()
}

/// A trial's movement onto its target, where it was answered there or beside it.
pub(super) fn movement(trial: &TrialFacts) -> Option<Movement> {
    if !matches!(trial.outcome, Outcome::Hit | Outcome::Wrong) {
        return None;
    }
    let place = |[x, y]: [f64; 2]| Place { x, y };
    Some(Movement {
        from: Place { x: 0.0, y: 0.0 },
        to: place(trial.hand.target_px?),
        end: place(trial.hand.end_px?),
        time_ms: trial.hand.movement_ms?,
    })
}

fn of_hold(
    findings: &Findings,
    number: usize,
    values: &BTreeMap<Measured, Vec<BlockValue>>,
) -> HoldCost {
    let hold = &findings.holds[number];
    let confidence = findings.protocol().analysis.confidence;
    let of = |kind: LeftOut| hold.left_out.get(&kind).copied().unwrap_or(0);
    let errors = hold
        .error_share
        .and_then(|_| wilson(hold.misses + of(LeftOut::Wrong), hold.trials, confidence).ok());
    let mean_of = |measured: Measured| mean(&own(&values[&measured], number));
    let trials = || {
        let blocks = findings.used().filter(move |block| block.condition == number);
        blocks.flat_map(|block| in_block(&findings.sessions[block.session], block.position))
    };
    let off: Vec<f64> = findings
        .used()
        .filter(|block| block.condition == number)
        .flat_map(|block| movements(&findings.sessions[block.session], block.position))
        .filter_map(|movement| pointing::along_axis(&movement))
        .collect();
    let middle = |pick: fn(&TrialFacts) -> Option<f64>| {
        median(&trials().filter(|t| t.outcome == Outcome::Hit).filter_map(pick).collect::<Vec<_>>())
    };
    let answers: Vec<(f64, bool)> = trials()
        .filter_map(|trial| match trial.outcome {
            Outcome::Hit => Some((trial.click_ms?, true)),
            Outcome::Wrong => Some((trial.click_ms?, false)),
            _ => None,
        })
        .collect();
    let erred = answers.iter().any(|answer| !answer.1);
    HoldCost {
        errors,
        early: wilson(of(LeftOut::Early), hold.trials, confidence).ok(),
        throughput: mean_of(Measured::Throughput)
            .or_else(|| findings.by_task.pointing.get(number)?.throughput_bits_s),
        constant_error_px: mean(&off),
        variable_error_px: sd(&off),
        movement_ms: middle(|trial| trial.hand.movement_ms),
        press_ms: middle(|trial| trial.hand.press_ms),
        small_shakes: mean_of(Measured::SmallShakes),
        discomfort: mean_of(Measured::Discomfort),
        by_speed: erred
            .then(|| conditional::accuracy(&answers, BINS, confidence).ok())
            .flatten()
            .unwrap_or_default(),
    }
}

fn own(values: &[BlockValue], hold: usize) -> Vec<f64> {
    values.iter().filter(|value| value.condition == hold).map(|value| value.value).collect()
}

fn of_pair(
    findings: &Findings,
    pair: &Pair,
    values: &BTreeMap<Measured, Vec<BlockValue>>,
) -> Vec<Beside> {
    let beside = |measured: Measured| {
        let values = &values[&measured];
        let (a, b) = (mean(&own(values, pair.a))?, mean(&own(values, pair.b))?);
        let fit = apart(findings, values, pair.a, pair.b);
        let interval = |fit: PairFit| Interval {
            estimate: fit.difference,
            low: fit.low_single,
            high: fit.high_single,
        };
        Some(Beside { measured, a, b, apart: fit.map(interval) })
    };
    Measured::ALL.into_iter().filter_map(beside).collect()
}

/// The block model of another value than the time.
fn apart(findings: &Findings, values: &[BlockValue], a: usize, b: usize) -> Option<PairFit> {
    let row = |value: &BlockValue| BlockRow {
        session: value.session,
        cycle: value.cycle.saturating_sub(1),
        position: value.position as f64,
        condition: value.condition,
        value: value.value,
    };
    let rows: Vec<BlockRow> = values.iter().map(row).collect();
    let spec = CompareSpec {
        family: Family::All,
        confidence: findings.protocol().analysis.confidence,
        smallest_change: 0.0,
    };
    let pairs = compare(&rows, findings.holds.len(), &spec, Redraws::None).ok()?;
    pairs.iter().find(|pair| (pair.a, pair.b) == (a, b))?.fit
}
