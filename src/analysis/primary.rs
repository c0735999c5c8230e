//! The declared comparison: a block table in, one line a pair out.
//!
//! Knows blocks and orders, not how an order was drawn: redraws come in from outside. The verdict
//! comes from the interval alone; the p by re-randomisation stands beside it.

use super::max_t::{self, FamilyP, Observed};
use super::model::{Fit, Model, ModelError, Refit};
use super::simultaneous::MaxT;
use super::student;
use super::verdict::verdict;
use super::{BlockRow, Pair, PairFit};
use nalgebra::DMatrix;
use std::sync::mpsc::{self, TrySendError};
use std::sync::{Mutex, PoisonError};

/// Which differences are judged together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Family {
    /// Every other condition against this one (Dunnett's intervals).
    Reference(usize),
    /// Every pair (Tukey's intervals).
    All,
}

/// The declared rules.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CompareSpec {
    /// Which differences are judged together.
    pub family: Family,
    /// Confidence of the intervals, between 0 and 1.
    pub confidence: f64,
    /// The least difference that matters, not negative, in the unit of the blocks.
    pub smallest_change: f64,
}

/// Other orders that the same draw could have given. An order holds one condition index a row,
/// in the order of the rows; the rows' cycles and positions stay.
pub enum Redraws<'a> {
    /// The design has no other draw, or none that could tell anything.
    None,
    /// Every order, the observed one among them, each as likely.
    Exact {
        /// The orders.
        orders: Box<dyn Iterator<Item = Vec<u8>> + 'a>,
        /// The smallest p that the design could give.
        attainable_p: f64,
    },
    /// Orders drawn by the rule that drew the observed one, which is not among them.
    MonteCarlo {
        /// The orders.
        orders: Box<dyn Iterator<Item = Vec<u8>> + 'a>,
        /// The smallest p that the design could give.
        attainable_p: f64,
    },
}

/// Why nothing can be compared. Too few blocks is no error: such pairs come back without a fit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CompareError {
    /// The rows are no block table.
    #[error(transparent)]
    Model(#[from] ModelError),
    /// The confidence is not between 0 and 1.
    #[error("a confidence of {confidence} is not between 0 and 1")]
    Confidence {
        /// What was asked for.
        confidence: f64,
    },
    /// The least difference that matters is negative or no number.
    #[error("a least difference of {smallest_change} cannot matter")]
    SmallestChange {
        /// What was asked for.
        smallest_change: f64,
    },
    /// The reference is not one of the conditions.
    #[error("the reference is condition {reference}, of {conditions}")]
    Reference {
        /// Its index.
        reference: usize,
        /// How many there are.
        conditions: usize,
    },
    /// A redrawn order does not fit the rows.
    #[error("redraw {redraw} places {places} blocks on {rows}, or names an unknown condition")]
    Order {
        /// Which redraw, from 0.
        redraw: usize,
        /// Its length.
        places: usize,
        /// Rows of the block table.
        rows: usize,
    },
    /// A list of all orders that lacks the observed one.
    #[error("the observed order is not among the orders that could have been drawn")]
    ObservedNotDrawn,
}

/// Below this many degrees of freedom nothing is said.
pub const LEAST_DF: usize = 2;
/// Each of the two one-sided tests of equivalence is made at this level.
///
/// # Source
/// Schuirmann (1987) J. Pharmacokinetics and Biopharmaceutics 15:657.
pub const EQUIVALENCE_ALPHA: f64 = 0.05;
/// Rows x redraws of a batch: fewer in all, and one thread is quicker than several.
const BATCH_ROWS: usize = 10_000;
/// More threads than this wait for the one that draws.
const MOST_THREADS: usize = 4;

/// Compares conditions pair by pair: with a reference those that hold it, else all; a < b.
///
/// `rows`: one a block, in order of position. Redraws are judged by the pair's t (estimate over
/// standard error of the whole model, refitted), never by the raw difference:
/// ```text
/// exact:        p = orders with |t*| >= |t| / orders
/// Monte Carlo:  p = (b + 1) / (m + 1)
/// ```
/// A redraw in which the pair cannot be told counts as reaching it, which can only raise p.
/// # Source
/// Edgington & Onghena, Randomization Tests (4th ed. 2007); Phipson & Smyth (2010) Stat. Appl.
/// Genet. Mol. Biol. 9:39 for (b + 1) / (m + 1).
/// # Errors
/// [`CompareError`]: rows, rules or redraws that cannot be what they are said to be.
pub fn compare(
    rows: &[BlockRow],
    conditions: usize,
    spec: &CompareSpec,
    redraws: Redraws<'_>,
) -> Result<Vec<Pair>, CompareError> {
    compare_at(rows, conditions, spec, 1.0 - 2.0 * EQUIVALENCE_ALPHA, redraws)
}

/// The same with another confidence of the interval for equivalence, between 0 and 1: at a planned
/// look it is judged at the level that the look may spend.
///
/// # Errors
/// As [`compare`].
pub fn compare_at(
    rows: &[BlockRow],
    conditions: usize,
    spec: &CompareSpec,
    equivalence_confidence: f64,
    redraws: Redraws<'_>,
) -> Result<Vec<Pair>, CompareError> {
    let model = Model::new(rows, conditions)?;
    check(spec, conditions)?;
    if !(equivalence_confidence > 0.0 && equivalence_confidence < 1.0) {
        return Err(CompareError::Confidence { confidence: equivalence_confidence });
    }
    let pairs = pairs_of(spec.family, conditions);
    // `Model::new` has seen that every condition fits an order.
    let observed: Vec<u8> =
        rows.iter().map(|row| u8::try_from(row.condition).unwrap_or(u8::MAX)).collect();
    let fit = model.fit(&observed);
    let fits = fit_pairs(&fit, &pairs, spec, equivalence_confidence);
    let chance = by_redraws(&model, &pairs, &fits, redraws, conditions)?;
    Ok(pairs
        .iter()
        .zip(fits)
        .enumerate()
        .map(|(i, (&(a, b), fit))| Pair {
            a,
            b,
            fit,
            p_randomization: chance.as_ref().and_then(|c| fit.map(|_| c.p.alone[i])),
            p_randomization_family: chance.as_ref().and_then(|c| fit.map(|_| c.p.single_step[i])),
            attainable_p: chance.as_ref().map(|c| c.attainable_p),
            verdict: verdict(fit.as_ref(), spec.smallest_change),
        })
        .collect())
}

fn check(spec: &CompareSpec, conditions: usize) -> Result<(), CompareError> {
    let CompareSpec { family, confidence, smallest_change } = *spec;
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(CompareError::Confidence { confidence });
    }
    if !(smallest_change >= 0.0 && smallest_change.is_finite()) {
        return Err(CompareError::SmallestChange { smallest_change });
    }
    match family {
        Family::Reference(reference) if reference >= conditions => {
            Err(CompareError::Reference { reference, conditions })
        }
        Family::Reference(_) | Family::All => Ok(()),
    }
}

/// The pairs of a family, a < b, in order.
pub fn pairs_of(family: Family, conditions: usize) -> Vec<(usize, usize)> {
    (0..conditions)
        .flat_map(|a| (a + 1..conditions).map(move |b| (a, b)))
        .filter(|&(a, b)| match family {
            Family::All => true,
            Family::Reference(reference) => a == reference || b == reference,
        })
        .collect()
}

/// The model's numbers for each pair that can be told.
fn fit_pairs(
    fit: &Fit,
    pairs: &[(usize, usize)],
    spec: &CompareSpec,
    equivalence_confidence: f64,
) -> Vec<Option<PairFit>> {
    if fit.df < LEAST_DF {
        return vec![None; pairs.len()];
    }
    let told: Vec<(usize, usize)> =
        pairs.iter().copied().filter(|&(a, b)| fit.contrast(a, b).is_some()).collect();
    if told.is_empty() {
        return vec![None; pairs.len()];
    }
    let df = fit.df as f64;
    let correlation =
        DMatrix::from_fn(told.len(), told.len(), |i, j| fit.correlation(told[i], told[j]));
    let family = MaxT::new(&correlation, df);
    let together = family.critical(spec.confidence);
    let alone = student::critical(spec.confidence, df);
    let equivalence = family.critical(equivalence_confidence);
    pairs
        .iter()
        .map(|&(a, b)| {
            let contrast = fit.contrast(a, b)?;
            let (difference, se) = (contrast.estimate, contrast.standard_error);
            Some(PairFit {
                difference,
                standard_error: se,
                df,
                low: difference - together * se,
                high: difference + together * se,
                low_single: difference - alone * se,
                high_single: difference + alone * se,
                p_t: student::two_sided_p(contrast.t(), df),
                p_adjusted: family.p(contrast.t()),
                equivalence_low: difference - equivalence * se,
                equivalence_high: difference + equivalence * se,
                chance_a_faster: student::below(-difference / se, df),
                chance_a_faster_by_enough: student::below(
                    (-spec.smallest_change - difference) / se,
                    df,
                ),
            })
        })
        .collect()
}

/// What the redraws say of each pair.
struct Chance {
    p: FamilyP,
    attainable_p: f64,
}

fn by_redraws(
    model: &Model,
    pairs: &[(usize, usize)],
    fits: &[Option<PairFit>],
    redraws: Redraws<'_>,
    conditions: usize,
) -> Result<Option<Chance>, CompareError> {
    let (orders, attainable_p, exact) = match redraws {
        Redraws::None => return Ok(None),
        Redraws::Exact { orders, attainable_p } => (orders, attainable_p, true),
        Redraws::MonteCarlo { orders, attainable_p } => (orders, attainable_p, false),
    };
    if fits.iter().all(Option::is_none) {
        let ones = vec![1.0; pairs.len()];
        let p = FamilyP { alone: ones.clone(), single_step: ones.clone(), step_down: ones };
        return Ok(Some(Chance { p, attainable_p }));
    }
    // A pair without a fit is never reached and asks for nothing.
    let told: Vec<usize> = (0..pairs.len()).filter(|&i| fits[i].is_some()).collect();
    let own: Vec<(usize, usize)> = told.iter().map(|&i| pairs[i]).collect();
    let observed: Vec<f64> =
        fits.iter().flatten().map(|fit| fit.difference / fit.standard_error).collect();
    let check = |redraw: usize, order: &[u8]| {
        let fits =
            order.len() == model.rows() && order.iter().all(|&k| usize::from(k) < conditions);
        let wrong = CompareError::Order { redraw, places: order.len(), rows: model.rows() };
        if fits { Ok(()) } else { Err(wrong) }
    };
    let family = counted(model, &own, &observed, orders, check)?;
    if exact && family.never_reached() {
        return Err(CompareError::ObservedNotDrawn);
    }
    let p = family.p(if exact { Observed::Among } else { Observed::Apart });
    let of_all = |values: &[f64]| {
        let mut all = vec![1.0; pairs.len()];
        for (&i, &p) in told.iter().zip(values) {
            all[i] = p;
        }
        all
    };
    let p = FamilyP {
        alone: of_all(&p.alone),
        single_step: of_all(&p.single_step),
        step_down: of_all(&p.step_down),
    };
    Ok(Some(Chance { p, attainable_p }))
}

/// Fits the redraws, on all cores where there is enough to do: the caller's thread draws, the others
/// fit, and where they have enough to do it fits too. The counts do not depend on who fitted.
fn counted(
    model: &Model,
    pairs: &[(usize, usize)],
    observed: &[f64],
    orders: Box<dyn Iterator<Item = Vec<u8>> + '_>,
    check: impl Fn(usize, &[u8]) -> Result<(), CompareError>,
) -> Result<max_t::MaxT, CompareError> {
    let rows = model.rows().max(1);
    let batch = (BATCH_ROWS / rows).max(1) * rows;
    let mut orders = orders.enumerate();
    // Orders one behind the other.
    let mut draw = || -> Result<Vec<u8>, CompareError> {
        let mut drawn = Vec::with_capacity(batch);
        for (redraw, order) in orders.by_ref().take(batch / rows) {
            check(redraw, &order)?;
            drawn.extend(order);
        }
        Ok(drawn)
    };
    let mut here = Counter::new(model, pairs, observed);
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let threads = cores.min(MOST_THREADS);
    let first = draw()?;
    if threads == 1 || first.len() < batch {
        let mut drawn = first;
        while !drawn.is_empty() {
            here.count(&drawn);
            drawn = draw()?;
        }
        return Ok(here.family);
    }
    let (give, take) = mpsc::sync_channel::<Vec<u8>>(threads);
    let take = Mutex::new(take);
    let elsewhere = || {
        let mut there = Counter::new(model, pairs, observed);
        // The lock is held for the taking alone; an end of batches is the end of the work.
        while let Ok(drawn) = take.lock().unwrap_or_else(PoisonError::into_inner).recv() {
            there.count(&drawn);
        }
        there.family
    };
    let elsewhere = &elsewhere;
    std::thread::scope(|scope| {
        let parts: Vec<_> = (1..threads).map(|_| scope.spawn(elsewhere)).collect();
        let mut drawn = first;
        while !drawn.is_empty() {
            match give.try_send(drawn) {
                Ok(()) => {}
                Err(TrySendError::Full(back) | TrySendError::Disconnected(back)) => {
                    here.count(&back)
                }
            }
            drawn = match draw() {
                Ok(drawn) => drawn,
                Err(error) => {
                    drop(give);
                    return Err(error);
                }
            };
        }
        drop(give);
        for part in parts {
            match part.join() {
                Ok(part) => here.family.add(&part),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(here.family)
    })
}

/// Fits orders and counts what they reach.
struct Counter<'a> {
    rows: usize,
    refit: Refit<'a>,
    pairs: &'a [(usize, usize)],
    t: Vec<f64>,
    family: max_t::MaxT,
}

impl<'a> Counter<'a> {
    fn new(model: &'a Model, pairs: &'a [(usize, usize)], observed: &[f64]) -> Counter<'a> {
        let (t, family) = (vec![0.0; pairs.len()], max_t::MaxT::new(observed));
        Counter { rows: model.rows().max(1), refit: model.refit(), pairs, t, family }
    }

    /// `orders`: one behind the other.
    fn count(&mut self, orders: &[u8]) {
        for order in orders.chunks_exact(self.rows) {
            let fit = self.refit.fit(order);
            for (t, &(a, b)) in self.t.iter_mut().zip(self.pairs) {
                *t = fit.contrast(a, b).map_or(f64::INFINITY, |contrast| contrast.t());
            }
            self.family.count(&self.t);
        }
    }
}

#[cfg(test)]
mod tests;
