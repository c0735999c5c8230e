//! The shift function: how far apart two samples are at each decile, so that a difference in the
//! slow presses is seen apart from one in the fast.
//!
//! Knows two samples of finite values in one unit; a difference is a - b. The standard errors take
//! the values (or the pairs) as independent; [`by_blocks`] does not: it draws whole blocks again.

use super::bootstrap::{BootstrapError, Chosen, Draws};
use super::order::{
    DECILES, HarrellDavis, Quantile, harrell_davis, jackknife_error, quantile_with_error,
    without_each,
};
use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

/// Two samples at one quantile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Which quantile, in 0..1.
    pub share: f64,
    /// Quantile of a.
    pub a: Quantile,
    /// Quantile of b.
    pub b: Quantile,
    /// a - b.
    pub difference: f64,
    /// Standard error of a - b.
    pub standard_error: f64,
}

/// Why there is no shift function.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ShiftError {
    /// A sample is too small for a standard error.
    #[error("{a} and {b} values: each sample needs 2")]
    TooFew {
        /// Values of a.
        a: usize,
        /// Values of b.
        b: usize,
    },
    /// Pairs were to be compared, and the samples are not of one length.
    #[error("{a} values of one sample for {b} of the other")]
    Lengths {
        /// Values of a.
        a: usize,
        /// Values of b.
        b: usize,
    },
}

/// Decile differences of two independent samples: se^2 of the difference is the sum of both.
///
/// # Source
/// Doksum (1974) Annals of Statistics 2:267; deciles by Harrell & Davis, as in Rousselet, Pernet &
/// Wilcox (2017) European J. Neuroscience 46:1738.
/// # Errors
/// [`ShiftError::TooFew`].
pub fn independent(a: &[f64], b: &[f64]) -> Result<Vec<Shift>, ShiftError> {
    deciles(a, b, |at_a, at_b, _| Some(at_a.standard_error.hypot(at_b.standard_error)))
}

/// Decile differences of two matched samples, value for value: the jackknife leaves out pairs.
///
/// # Source
/// As [`independent`].
/// # Errors
/// [`ShiftError`]: lengths differ, or too few pairs.
pub fn matched(a: &[f64], b: &[f64]) -> Result<Vec<Shift>, ShiftError> {
    if a.len() != b.len() {
        return Err(ShiftError::Lengths { a: a.len(), b: b.len() });
    }
    deciles(a, b, |_, _, share| {
        let without_a = without_each(a, share)?;
        let without_b = without_each(b, share)?;
        let apart: Vec<f64> = without_a.iter().zip(&without_b).map(|(x, y)| x - y).collect();
        jackknife_error(&apart)
    })
}

/// Deciles of the differences a - b of matched samples; `None` of nothing or where lengths
/// differ. Not the differences of the deciles: these ask how the single pair varies.
///
/// # Source
/// Rousselet, Pernet & Wilcox (2017) European J. Neuroscience 46:1738.
pub fn of_differences(a: &[f64], b: &[f64]) -> Option<[f64; 9]> {
    if a.len() != b.len() || a.is_empty() {
        return None;
    }
    let apart: Vec<f64> = a.iter().zip(b).map(|(x, y)| x - y).collect();
    let mut deciles = [0.0; 9];
    for (decile, share) in deciles.iter_mut().zip(DECILES) {
        *decile = harrell_davis(&apart, share)?;
    }
    Some(deciles)
}

/// The deciles of a sample that came in blocks, with draws of whole blocks: their differences from
/// another sample's are [`Draws::less`].
///
/// `blocks`: the values of each. The same `seed` gives the same draws; two samples need two seeds.
/// # Source
/// As [`independent`] and [`super::bootstrap::by_blocks`].
/// # Errors
/// [`BootstrapError`]: no draws, or fewer than two blocks.
pub fn by_blocks(blocks: &[&[f64]], draws: usize, seed: u64) -> Result<Draws<9>, BootstrapError> {
    let pool = Pool::of(blocks);
    let known = Known::new(pool.sorted.len());
    Draws::new(&[blocks.len()], draws, seed, |chosen: &Chosen| {
        pool.deciles(&chosen[0], &known).unwrap_or([f64::NAN; 9])
    })
}

/// Weights by the size of the pool.
struct Known {
    usual_size: usize,
    /// Of the blocks as they are: where all have one size there is no other pool.
    usual: Option<HarrellDavis<9>>,
    /// Of other sizes: blocks differ little, so that few come again and again.
    others: RwLock<BTreeMap<usize, Option<Arc<HarrellDavis<9>>>>>,
}

impl Known {
    fn new(usual_size: usize) -> Known {
        let usual = HarrellDavis::new(usual_size, &DECILES);
        Known { usual_size, usual, others: RwLock::default() }
    }

    /// `None` of size 0.
    fn deciles(
        &self,
        size: usize,
        counted: impl Iterator<Item = (f64, usize)>,
    ) -> Option<[f64; 9]> {
        if size == self.usual_size {
            return self.usual.as_ref()?.of_counted(counted);
        }
        // A panic elsewhere leaves whole entries: each is put in at once.
        let there = self.others.read().unwrap_or_else(PoisonError::into_inner).get(&size).cloned();
        let weights = there.unwrap_or_else(|| {
            let new = HarrellDavis::new(size, &DECILES).map(Arc::new);
            self.others.write().unwrap_or_else(PoisonError::into_inner).insert(size, new.clone());
            new
        });
        weights?.of_counted(counted)
    }
}

/// The values of some blocks, sorted once: those of chosen blocks need no sorting again.
struct Pool {
    /// Each value with the number of its block.
    sorted: Vec<(f64, usize)>,
    /// How many values each block has.
    sizes: Vec<usize>,
}

impl Pool {
    fn of(blocks: &[&[f64]]) -> Pool {
        let numbered = blocks.iter().enumerate();
        let mut sorted: Vec<(f64, usize)> =
            numbered.flat_map(|(block, values)| values.iter().map(move |&v| (v, block))).collect();
        sorted.sort_by(|(v, _), (w, _)| v.total_cmp(w));
        Pool { sorted, sizes: blocks.iter().map(|values| values.len()).collect() }
    }

    /// Of the chosen blocks, each as often as it was chosen; `None` where they hold no value.
    fn deciles(&self, chosen: &[usize], known: &Known) -> Option<[f64; 9]> {
        let mut times = vec![0; self.sizes.len()];
        let mut size = 0;
        for &block in chosen {
            times[block] += 1;
            size += self.sizes[block];
        }
        known.deciles(size, self.sorted.iter().map(|&(value, block)| (value, times[block])))
    }
}

fn deciles(
    a: &[f64],
    b: &[f64],
    error: impl Fn(Quantile, Quantile, f64) -> Option<f64>,
) -> Result<Vec<Shift>, ShiftError> {
    let at = |share| {
        let at_a = quantile_with_error(a, share)?;
        let at_b = quantile_with_error(b, share)?;
        let difference = at_a.estimate - at_b.estimate;
        let standard_error = error(at_a, at_b, share)?;
        Some(Shift { share, a: at_a, b: at_b, difference, standard_error })
    };
    let all: Option<Vec<Shift>> = DECILES.into_iter().map(at).collect();
    all.ok_or(ShiftError::TooFew { a: a.len(), b: b.len() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_shift_at_every_decile() {
        let b = [210.0, 260.0, 195.0, 300.0, 222.0, 241.0];
        let a = b.map(|x| x + 12.0);
        for shift in matched(&a, &b).expect("six pairs") {
            assert!((shift.difference - 12.0).abs() < 1e-9, "{shift:?}");
            assert!(shift.standard_error < 1e-9, "pairs that never differ: {shift:?}");
        }
        for shift in independent(&a, &b).expect("six each") {
            let both = shift.a.standard_error * 2.0_f64.sqrt();
            assert!((shift.standard_error - both).abs() < 1e-9, "{shift:?}");
        }
        let deciles = of_differences(&a, &b).expect("six pairs");
        assert!(deciles.iter().all(|decile| (decile - 12.0).abs() < 1e-9));
    }

    #[test]
    fn blocks_are_drawn_whole() {
        let drawn = |blocks: &[&[f64]], seed| by_blocks(blocks, 50, seed).expect("two blocks");
        // Blocks without any spread inside and alike in each sample: every draw is the same.
        let (slow, fast): (&[f64], &[f64]) = (&[230.0, 230.0], &[218.0]);
        let apart = drawn(&[slow, slow, slow], 1).less(&drawn(&[fast, fast], 2));
        for decile in &apart.each().expect("finite") {
            let got = decile.percentile(0.95);
            assert!((got.low - 12.0).abs() < 1e-9 && (got.high - 12.0).abs() < 1e-9, "{got:?}");
        }
        // What the blocks say as they are is what the pooled sample says.
        let (one, two): (&[f64], &[f64]) = (&[210.0, 260.0, 195.0], &[300.0, 222.0]);
        let pooled = [210.0, 260.0, 195.0, 300.0, 222.0];
        let each = drawn(&[one, two], 1).each().expect("finite");
        for (decile, share) in each.iter().zip(DECILES) {
            let slow = harrell_davis(&pooled, share).expect("five values");
            assert!((decile.estimate() - slow).abs() < 1e-9, "{share}");
        }
        let none: &[f64] = &[];
        let failed = drawn(&[one, none], 1).each();
        assert_eq!(failed, Err(BootstrapError::NoEstimate), "without the first nothing is left");
    }

    #[test]
    fn what_has_no_shift_function() {
        assert_eq!(matched(&[1.0, 2.0], &[1.0]), Err(ShiftError::Lengths { a: 2, b: 1 }));
        assert_eq!(independent(&[1.0, 2.0], &[1.0]), Err(ShiftError::TooFew { a: 2, b: 1 }));
        assert_eq!(of_differences(&[], &[]), None);
    }
}
