//! Conditional accuracy: how often the answer was right among the fast times and among the slow.
//!
//! Knows times and whether each was right, in any order.

use super::Interval;
use super::describe::mean;
use super::proportion::{ProportionError, wilson};

/// Times of about one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bin {
    /// Their mean, in the unit of the times.
    pub mean_time: f64,
    /// How many.
    pub answers: usize,
    /// How many of them were right.
    pub right: usize,
    /// The share, with Wilson's interval.
    pub share: Interval,
}

/// Parts answers into `bins` of equal count by their time (the first ones hold one more where it
/// does not go up), the fastest first; equal times stay in the order given. Fewer bins where there
/// are fewer answers.
///
/// # Source
/// Lappin & Disch (1972) J. Experimental Psychology 92:419; Luce (1986) Response Times, 6.1.
/// # Errors
/// [`ProportionError`]: no answers.
pub fn accuracy(
    answers: &[(f64, bool)],
    bins: usize,
    confidence: f64,
) -> Result<Vec<Bin>, ProportionError> {
    if answers.is_empty() || bins == 0 {
        return Err(ProportionError::NoTrials);
    }
    let mut sorted = answers.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let bins = bins.min(sorted.len());
    let (each, more) = (sorted.len() / bins, sorted.len() % bins);
    let mut rest = sorted.as_slice();
    (0..bins)
        .map(|bin| {
            let (own, after) = rest.split_at(each + usize::from(bin < more));
            rest = after;
            let right = own.iter().filter(|answer| answer.1).count();
            let times: Vec<f64> = own.iter().map(|answer| answer.0).collect();
            Ok(Bin {
                mean_time: mean(&times).ok_or(ProportionError::NoTrials)?,
                answers: own.len(),
                right,
                share: wilson(right, own.len(), confidence)?,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fast_ones_err() {
        let answers: Vec<(f64, bool)> =
            (0..10).map(|i| (200.0 + 10.0 * f64::from(i), i != 0 && i != 2)).rev().collect();
        let bins = accuracy(&answers, 3, 0.95).expect("ten answers");
        let told: Vec<(usize, usize)> = bins.iter().map(|b| (b.answers, b.right)).collect();
        assert_eq!(told, [(4, 2), (3, 3), (3, 3)]);
        // 200, 210, 220, 230.
        assert!((bins[0].mean_time - 215.0).abs() < 1e-12);
        // Wilson at 2 of 4 by hand: (2 + 1.92073) / (4 + 3.84146) -+ ... = 0.5 -+ 0.35001.
        assert!((bins[0].share.low - 0.15).abs() < 1e-3, "{:?}", bins[0].share);
    }

    #[test]
    fn few_answers_fill_few_bins() {
        assert_eq!(accuracy(&[], 4, 0.95), Err(ProportionError::NoTrials));
        assert_eq!(accuracy(&[(1.0, true), (2.0, false)], 5, 0.95).expect("two").len(), 2);
    }
}
