//! Second opinions on one session: the same question by other methods, and the shape of the times.
//!
//! None of them changes the verdict. Where one cannot be worked out it says why. What looks at
//! single trials is kept to one session: the times of several days are no one sample.

use super::Findings;
use super::enter::Block;
use crate::analysis::bootstrap::{Chosen, Draws, by_blocks};
use crate::analysis::dominance::superiority;
use crate::analysis::effect::{self, Matched};
use crate::analysis::later::{self, Later, ReciprobitPoint};
use crate::analysis::mixed::{Likelihood, Mixed, Term};
use crate::analysis::order::{DECILES, harrell_davis};
use crate::analysis::signed_rank::{Location, hodges_lehmann};
use crate::analysis::{Interval, Pair, exgauss, shift, student};
use std::collections::BTreeMap;

/// Below this many blocks a hold no bootstrap interval is given: whole blocks are drawn, and few
/// blocks hold too little of what could have been. Common practice, no source.
pub const LEAST_BLOCKS: usize = 10;
/// Draws of the shift function's bootstrap.
const SHIFT_DRAWS: usize = 999;
/// Draws of the ex-Gaussian's: each is a fit.
const FIT_DRAWS: usize = 199;
/// Seed of both: fixed, so that the same rows give the same interval.
const SEED: u64 = 0x7365_636f_6e64;

/// All second opinions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Secondary {
    /// Of each of the findings' pairs.
    pub pairs: Vec<PairSecondary>,
    /// Of each hold.
    pub holds: Vec<HoldSecondary>,
    /// The mixed model of single trials; with why it is missing, if so.
    pub mixed: Option<Result<TrialModel, String>>,
}

/// Of a pair; differences are a - b.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PairSecondary {
    /// Hodges and Lehmann's difference of the blocks within cycles, ms.
    pub hodges_lehmann: Option<Location>,
    /// Standardised differences of the blocks within cycles.
    pub effects: Option<Matched>,
    /// Chance that a press under a comes sooner than one under b, equal times counted half.
    pub superiority: Option<f64>,
    /// Decile by decile, ms.
    pub shift: Vec<Decile>,
}

/// A decile of two holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decile {
    /// Which, 0.1 to 0.9.
    pub share: f64,
    /// Of hold a, ms.
    pub a_ms: f64,
    /// a - b, ms.
    pub difference_ms: f64,
    /// Interval by drawing whole blocks; none below [`LEAST_BLOCKS`].
    pub interval: Option<Interval>,
}

/// Of a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldSecondary {
    /// The ex-Gaussian law; or why there is none.
    pub exgauss: Result<LawFit, String>,
    /// Every time on reciprobit paper, the fastest first.
    pub reciprobit: Vec<ReciprobitPoint>,
    /// The law whose line lies on it.
    pub later: Option<Later>,
}

/// An ex-Gaussian fit.
#[derive(Debug, Clone, PartialEq)]
pub struct LawFit {
    /// The fit.
    pub fit: exgauss::Fit,
    /// Intervals of mu, sigma and tau by drawing whole blocks, ms; none below [`LEAST_BLOCKS`], or
    /// where some draw had no fit.
    pub intervals: Option<[Interval; 3]>,
}

/// y = hold + trend + (1 | cycle) + (1 | block), on single trials.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialModel {
    /// Of each of the findings' pairs: difference, ms.
    pub differences: Vec<MixedDifference>,
    /// Spread between cycles, sd, ms.
    pub cycle_sd_ms: f64,
    /// Spread between blocks of a cycle beyond their trials' own, sd, ms.
    pub block_sd_ms: f64,
    /// Spread between trials of a block, sd, ms.
    pub trial_sd_ms: f64,
    /// Trials.
    pub trials: usize,
}

/// A difference by a mixed model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MixedDifference {
    /// a - b with its unadjusted interval, ms.
    pub interval: Interval,
    /// Its standard error, ms.
    pub standard_error: f64,
    /// Degrees of freedom by Satterthwaite.
    pub df: f64,
}

/// Every second opinion.
pub(super) fn secondary(findings: &Findings) -> Secondary {
    let one_session = findings.sessions.len() == 1;
    let every = || 0..findings.holds.len();
    let shifts: Option<Vec<Deciles>> =
        one_session.then(|| every().map(|hold| deciles(findings, hold)).collect());
    let confidence = findings.protocol().analysis.confidence;
    let of = |pair: &Pair| {
        let shift = shifts.as_ref();
        let shift = shift.map(|list| shifted(&list[pair.a], &list[pair.b], confidence));
        of_pair(findings, pair.a, pair.b, shift.unwrap_or_default())
    };
    let pairs = findings.pairs.iter().map(of).collect();
    if !one_session {
        return Secondary { pairs, ..Secondary::default() };
    }
    let holds = every().map(|hold| of_hold(findings, hold)).collect();
    Secondary { pairs, holds, mixed: Some(trial_model(findings)) }
}

/// The used blocks of a hold.
fn own(findings: &Findings, hold: usize) -> Vec<&Block> {
    findings.used().filter(|block| block.condition == hold).collect()
}

/// Blocks of both holds within cycles: a's and b's statistics, cycle for cycle.
pub(super) fn matched(findings: &Findings, a: usize, b: usize) -> (Vec<f64>, Vec<f64>) {
    let by_cycle = |hold: usize| -> BTreeMap<(usize, usize), f64> {
        own(findings, hold)
            .into_iter()
            .filter_map(|block| Some(((block.session, block.cycle), block.statistic_ms?)))
            .collect()
    };
    let (of_a, of_b) = (by_cycle(a), by_cycle(b));
    of_a.iter().filter_map(|(place, x)| Some((*x, *of_b.get(place)?))).unzip()
}

fn of_pair(findings: &Findings, a: usize, b: usize, shift: Vec<Decile>) -> PairSecondary {
    let confidence = findings.protocol().analysis.confidence;
    let (of_a, of_b) = matched(findings, a, b);
    let apart: Vec<f64> = of_a.iter().zip(&of_b).map(|(x, y)| x - y).collect();
    let one_session = findings.sessions.len() == 1;
    let times = |hold: usize| findings.holds[hold].times_ms.as_slice();
    PairSecondary {
        hodges_lehmann: hodges_lehmann(&apart, confidence).ok(),
        effects: effect::matched(&of_a, &of_b, confidence).ok(),
        superiority: one_session.then(|| superiority(times(b), times(a))).flatten(),
        shift,
    }
}

/// A hold's deciles, and their draws where there are blocks enough.
struct Deciles {
    at_ms: Option<Vec<f64>>,
    draws: Option<Draws<9>>,
}

fn deciles(findings: &Findings, hold: usize) -> Deciles {
    let blocks = own(findings, hold);
    let blocks: Vec<&[f64]> = blocks.iter().map(|block| block.times_ms.as_slice()).collect();
    let times = blocks.concat();
    let seed = SEED.wrapping_add(hold as u64);
    Deciles {
        at_ms: DECILES.into_iter().map(|share| harrell_davis(&times, share)).collect(),
        draws: (blocks.len() >= LEAST_BLOCKS)
            .then(|| shift::by_blocks(&blocks, SHIFT_DRAWS, seed).ok())
            .flatten(),
    }
}

fn shifted(a: &Deciles, b: &Deciles, confidence: f64) -> Vec<Decile> {
    let (Some(at_a), Some(at_b)) = (&a.at_ms, &b.at_ms) else { return Vec::new() };
    let draws = a.draws.as_ref().zip(b.draws.as_ref());
    let draws = draws.and_then(|(a, b)| a.less(b).each().ok());
    (0..9)
        .map(|i| Decile {
            share: DECILES[i],
            a_ms: at_a[i],
            difference_ms: at_a[i] - at_b[i],
            interval: draws.as_ref().map(|list| list[i].percentile(confidence)),
        })
        .collect()
}

fn of_hold(findings: &Findings, hold: usize) -> HoldSecondary {
    let times = &findings.holds[hold].times_ms;
    let blocks = own(findings, hold);
    let confidence = findings.protocol().analysis.confidence;
    let law = exgauss::fit(times).map_err(|error| error.to_string());
    let law = law.map(|fit| LawFit {
        intervals: (blocks.len() >= LEAST_BLOCKS)
            .then(|| law_intervals(&blocks, fit.law, confidence))
            .flatten(),
        fit,
    });
    HoldSecondary {
        exgauss: law,
        reciprobit: later::reciprobit(times).unwrap_or_default(),
        later: later::fit(times).ok(),
    }
}

/// Each draw is fitted from the law of all: it lies near.
fn law_intervals(
    blocks: &[&Block],
    law: exgauss::ExGaussian,
    confidence: f64,
) -> Option<[Interval; 3]> {
    let draws = by_blocks(&[blocks.len()], FIT_DRAWS, SEED, |chosen: &Chosen| {
        let times: Vec<f64> =
            chosen[0].iter().flat_map(|&i| blocks[i].times_ms.iter().copied()).collect();
        exgauss::fit_near(&times, law)
            .map_or([f64::NAN; 3], |fit| [fit.law.mu, fit.law.sigma, fit.law.tau])
    });
    Some(draws.ok()?.map(|draws| draws.percentile(confidence)))
}

/// The mixed model of the trials that entered with a time; misses have none and stay out.
fn trial_model(findings: &Findings) -> Result<TrialModel, String> {
    let used: Vec<&Block> = findings.used().collect();
    let holds = findings.holds.len();
    let mut present = vec![false; holds];
    for block in &used {
        present[block.condition] = true;
    }
    if present.iter().any(|there| !there) {
        return Err("a hold has no block that takes part".to_owned());
    }
    let mut y = Vec::new();
    let mut fixed: Vec<Vec<f64>> = vec![Vec::new(); holds + 1];
    let (mut cycles, mut blocks): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::new());
    let mut numbers: BTreeMap<usize, u32> = BTreeMap::new();
    for (number, block) in (0_u32..).zip(&used) {
        let next = u32::try_from(numbers.len()).unwrap_or(u32::MAX);
        let cycle = *numbers.entry(block.cycle).or_insert(next);
        for &time in &block.times_ms {
            y.push(time);
            fixed[0].push(1.0);
            for (hold, column) in fixed.iter_mut().enumerate().take(holds).skip(1) {
                column.push(f64::from(u8::from(hold == block.condition)));
            }
            fixed[holds].push(block.position as f64);
            cycles.push(cycle);
            blocks.push(number);
        }
    }
    let trials = y.len();
    let terms = [Term::intercept(cycles), Term::intercept(blocks)];
    let fit = Mixed::new(&y, &fixed, &terms, Likelihood::Restricted)
        .and_then(Mixed::fit)
        .map_err(|error| error.to_string())?;
    let confidence = findings.protocol().analysis.confidence;
    let difference = |a: usize, b: usize| {
        // The first hold is the level: it has no column of its own.
        let mut weights = vec![0.0; holds + 1];
        for (hold, sign) in [(a, 1.0), (b, -1.0)] {
            if hold > 0 {
                weights[hold] = sign;
            }
        }
        let found = fit.contrast(&weights);
        let df = found.df.unwrap_or(f64::NAN);
        let half = student::critical(confidence, df) * found.standard_error;
        let estimate = found.estimate;
        let interval = Interval { estimate, low: estimate - half, high: estimate + half };
        MixedDifference { interval, standard_error: found.standard_error, df }
    };
    Ok(TrialModel {
        differences: findings.pairs.iter().map(|pair| difference(pair.a, pair.b)).collect(),
        cycle_sd_ms: fit.covariances[0][(0, 0)].sqrt(),
        block_sd_ms: fit.covariances[1][(0, 0)].sqrt(),
        trial_sd_ms: fit.sigma,
        trials,
    })
}
