//! What only one kind of task tells: throughput by difficulty in pointing, information in a choice.
//!
//! Of each hold, over all its used blocks together: a block holds too few movements of one distance
//! and size for a spread. It judges nothing and changes no verdict.

use super::Findings;
use super::cost::{in_block, movement};
use super::input::TrialFacts;
use crate::analysis::describe::mean;
use crate::analysis::hick::{hick_bits, hyman_bits, transmitted_bits};
use crate::analysis::pointing::{Movement, Throughput, shannon_bits, throughput};
use crate::analysis::slope::{Line, line};
use crate::protocol::Protocol;
use crate::record::Outcome;
use crate::tasks::TaskKind;

/// What the task tells; empty lists of another task.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ByTask {
    /// Pointing, one a hold.
    pub pointing: Vec<HoldPointing>,
    /// Choice, one a hold.
    pub choice: Vec<HoldChoice>,
}

/// Pointing under a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldPointing {
    /// Each distance and size that came, the easiest first.
    pub difficulties: Vec<Difficulty>,
    /// Mean of the difficulties' throughputs, bits a second; blank where one has none.
    pub throughput_bits_s: Option<f64>,
    /// Movement time, ms, over the effective index of difficulty, bits; from three difficulties on.
    pub line: Option<Line>,
}

/// A condition of difficulty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difficulty {
    /// How far from the aim the target appeared, mm.
    pub distance_mm: f64,
    /// Its size, corner to corner, mm.
    pub size_mm: f64,
    /// Index of difficulty as presented, bits.
    pub bits: f64,
    /// Movements that ended with a press.
    pub movements: usize,
    /// Those of them that ended beside the target.
    pub beside: usize,
    /// Effective width, index of difficulty and throughput, px and bits; none without a spread.
    pub found: Option<Throughput>,
}

/// A choice under a hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoldChoice {
    /// How many alternatives there were.
    pub alternatives: usize,
    /// Answers, right or wrong.
    pub answers: usize,
    /// Information of equally likely alternatives, bits (Hyman).
    pub hyman_bits: f64,
    /// The same with "nothing yet" as one alternative more (Hick).
    pub hick_bits: f64,
    /// What the answers tell of the targets, bits.
    pub transmitted_bits: f64,
    /// That over the mean time of the answers, bits a second.
    pub bits_per_s: Option<f64>,
}

/// What the task tells of these findings.
pub(super) fn by_task(findings: &Findings) -> ByTask {
    let protocol = findings.protocol();
    let holds = 0..findings.holds.len();
    match &protocol.task {
        TaskKind::Pointing(_) => ByTask {
            pointing: holds.map(|hold| pointing(&trials(findings, hold))).collect(),
            ..ByTask::default()
        },
        TaskKind::Choice(choice) => ByTask {
            choice: holds
                .map(|hold| {
                    let alternatives = usize::from(choice.alternatives);
                    of_choice(&trials(findings, hold), alternatives, protocol)
                })
                .collect(),
            ..ByTask::default()
        },
        _ => ByTask::default(),
    }
}

/// The main attempts of a hold's used blocks.
fn trials(findings: &Findings, hold: usize) -> Vec<&TrialFacts> {
    let blocks = findings.used().filter(|block| block.condition == hold);
    blocks.flat_map(|b| in_block(&findings.sessions[b.session], b.position)).collect()
}

fn pointing(trials: &[&TrialFacts]) -> HoldPointing {
    let mut kinds: Vec<[f64; 2]> = trials.iter().filter_map(|t| t.hand.aimed_at_mm).collect();
    let bits = |[distance_mm, size_mm]: [f64; 2]| shannon_bits(distance_mm, size_mm);
    kinds.sort_by(|a, b| {
        let by_place = a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]));
        bits(*a).total_cmp(&bits(*b)).then(by_place)
    });
    kinds.dedup_by(|a, b| same(*a, *b));
    let difficulties: Vec<Difficulty> = kinds
        .into_iter()
        .map(|kind| {
            let own = || {
                let of_kind = move |t: &&&TrialFacts| {
                    t.hand.aimed_at_mm.is_some_and(|aimed_at| same(aimed_at, kind))
                };
                trials.iter().filter(of_kind)
            };
            let movements: Vec<Movement> = own().filter_map(|trial| movement(trial)).collect();
            let beside = |t: &&&TrialFacts| t.outcome == Outcome::Wrong && movement(t).is_some();
            Difficulty {
                distance_mm: kind[0],
                size_mm: kind[1],
                bits: bits(kind),
                movements: movements.len(),
                beside: own().filter(beside).count(),
                found: throughput(&movements).ok(),
            }
        })
        .collect();
    let found: Option<Vec<Throughput>> = difficulties.iter().map(|d| d.found).collect();
    let found = found.unwrap_or_default();
    let of = |pick: fn(&Throughput) -> f64| found.iter().map(pick).collect::<Vec<f64>>();
    HoldPointing {
        throughput_bits_s: mean(&of(|found| found.bits_per_s)),
        line: line(&of(|found| found.effective_bits), &of(|found| found.time_ms)).ok(),
        difficulties,
    }
}

/// Both come from one protocol's list: no arithmetic lies between them.
fn same(a: [f64; 2], b: [f64; 2]) -> bool {
    a[0].total_cmp(&b[0]).is_eq() && a[1].total_cmp(&b[1]).is_eq()
}

fn of_choice(trials: &[&TrialFacts], alternatives: usize, protocol: &Protocol) -> HoldChoice {
    let mut table = vec![vec![0.0; alternatives]; alternatives];
    let mut times_ms = Vec::new();
    let mut answers = 0;
    for trial in trials {
        if !matches!(trial.outcome, Outcome::Hit | Outcome::Wrong) {
            continue;
        }
        let Some([right, given]) = trial.hand.chosen else { continue };
        table[right][given] += 1.0;
        answers += 1;
        times_ms.extend(time_ms(trial, protocol));
    }
    let transmitted_bits = transmitted_bits(&table);
    HoldChoice {
        alternatives,
        answers,
        hyman_bits: hyman_bits(alternatives),
        hick_bits: hick_bits(alternatives),
        transmitted_bits,
        bits_per_s: mean(&times_ms).map(|ms| 1000.0 * transmitted_bits / ms),
    }
}

/// The declared time of an answer: that of the press, or of the start of the hand.
fn time_ms(trial: &TrialFacts, protocol: &Protocol) -> Option<f64> {
    match protocol.analysis.measure {
        crate::protocol::Measure::Onset => trial.onset_ms,
        _ => trial.click_ms,
    }
}
