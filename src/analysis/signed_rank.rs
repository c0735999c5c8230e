//! Matched samples by ranks: the exact signed-rank test, and Hodges and Lehmann's difference with
//! its exact interval.
//!
//! Knows the differences of pairs, finite, in any unit; each is taken as symmetric about the one
//! true difference, and as independent of the others.

use super::Interval;
use super::describe::{median, sorted, whole};
use super::order::mid_ranks;

/// Most differences that are counted out; no session has as many
/// blocks.
pub const MOST_DIFFERENCES: usize = 500;

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SignedRankError {
    /// No difference, or none but zeros.
    #[error("no difference from zero")]
    Nothing,
    /// More than are counted out.
    #[error("{differences} differences: more than {MOST_DIFFERENCES} are not counted out")]
    TooMany {
        /// Differences given.
        differences: usize,
    },
}

/// The signed-rank test of differences about 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SignedRank {
    /// Sum of the ranks of the positive differences.
    pub v: f64,
    /// Exact two-sided p: signs at least as uneven, among all patterns of signs.
    pub p: f64,
    /// Exact one-sided p that differences tend above 0.
    pub p_above: f64,
}

/// A difference with an interval whose confidence comes in steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Location {
    /// Estimate and interval, in the unit of the differences.
    pub interval: Interval,
    /// What the interval holds in truth, 0..1: at least what was asked for, unless there are so
    /// few differences that even their full range holds less.
    pub confidence: f64,
}

/// Wilcoxon's signed-rank test, by counting out every pattern of signs; zeros are left out, equal
/// sizes share their ranks.
///
/// # Source
/// Wilcoxon (1945) Biometrics Bulletin 1:80; ties by the same enumeration of mid-ranks.
/// # Errors
/// [`SignedRankError`].
pub fn signed_rank(differences: &[f64]) -> Result<SignedRank, SignedRankError> {
    let sizes: Vec<f64> = differences.iter().copied().filter(|d| d.abs() > 0.0).collect();
    check(&sizes)?;
    let ranks = mid_ranks(&sizes.iter().map(|d| d.abs()).collect::<Vec<f64>>());
    let v: f64 = sizes.iter().zip(&ranks).filter(|(d, _)| **d > 0.0).map(|(_, rank)| rank).sum();
    // Mid-ranks are halves: twice them are whole.
    let doubled: Vec<usize> = ranks.iter().map(|rank| whole(2.0 * rank)).collect();
    let chances = sums(&doubled);
    let centre = (chances.len() - 1) as f64 / 2.0;
    let away = (2.0 * v - centre).abs();
    let over = |least: f64, of: &dyn Fn(f64) -> f64| -> f64 {
        let far = |at: usize| of(at as f64) >= least - 1e-9;
        chances.iter().enumerate().filter(|(at, _)| far(*at)).map(|(_, chance)| chance).sum()
    };
    Ok(SignedRank {
        v,
        p: over(away, &|at| (at - centre).abs()).min(1.0),
        p_above: over(2.0 * v, &|at| at).min(1.0),
    })
}

/// Hodges and Lehmann's difference: the median of the means of all pairs of differences (each with
/// itself too), with the interval of the exact signed-rank test.
///
/// ```text
/// w(1) <= .. <= w(m), m = n (n+1) / 2;  interval w(k) .. w(m + 1 - k)
/// k: the least with P(V <= k) >= (1 - confidence) / 2, at least 1
/// ```
/// Its true confidence is 1 - 2 P(V <= k - 1). Equal differences make it cautious.
/// # Source
/// Hodges & Lehmann (1963) Annals of Mathematical Statistics 34:598; interval as in Hollander &
/// Wolfe, Nonparametric Statistical Methods.
/// # Errors
/// [`SignedRankError`]: none, or too many. Zeros count.
pub fn hodges_lehmann(differences: &[f64], confidence: f64) -> Result<Location, SignedRankError> {
    check(differences)?;
    let mut means = Vec::with_capacity(differences.len() * (differences.len() + 1) / 2);
    for (i, one) in differences.iter().enumerate() {
        means.extend(differences[i..].iter().map(|other| f64::midpoint(*one, *other)));
    }
    let estimate = median(&means).ok_or(SignedRankError::Nothing)?;
    let means = sorted(&means);
    let chances = sums(&(1..=differences.len()).collect::<Vec<usize>>());
    let tail = (1.0 - confidence) / 2.0;
    // P(V <= k - 1), the largest that does not reach the tail
    let (mut k, mut below) = (0, 0.0);
    while below + chances[k] < tail * (1.0 - 1e-12) && k + 1 < chances.len() {
        below += chances[k];
        k += 1;
    }
    if k == 0 {
        (k, below) = (1, chances[0]);
    }
    let interval = Interval { estimate, low: means[k - 1], high: means[means.len() - k] };
    Ok(Location { interval, confidence: 1.0 - 2.0 * below })
}

fn check(differences: &[f64]) -> Result<(), SignedRankError> {
    match differences.len() {
        0 => Err(SignedRankError::Nothing),
        n if n > MOST_DIFFERENCES => Err(SignedRankError::TooMany { differences: n }),
        _ => Ok(()),
    }
}

/// Chance of each sum when every rank is in or out like the toss of a coin.
fn sums(ranks: &[usize]) -> Vec<f64> {
    let mut chances = vec![0.0; ranks.iter().sum::<usize>() + 1];
    chances[0] = 1.0;
    let mut most = 0;
    for &rank in ranks {
        most += rank;
        for sum in (0..=most).rev() {
            let with = if sum >= rank { chances[sum - rank] } else { 0.0 };
            chances[sum] = f64::midpoint(chances[sum], with);
        }
    }
    chances
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_by_hand() {
        // Signs of ranks 1, 2, 3: V = 6 in one pattern of eight, V = 5 in one, V = 0 in one.
        let test = signed_rank(&[1.0, 2.0, 3.0]).expect("three");
        assert!((test.v - 6.0).abs() < 1e-15);
        assert!((test.p - 0.25).abs() < 1e-15 && (test.p_above - 0.125).abs() < 1e-15);
        // Their full range is all that three can give: 1 - 2/8.
        let got = hodges_lehmann(&[3.0, 1.0, 2.0], 0.95).expect("three");
        assert_eq!(got.interval, Interval { estimate: 2.0, low: 1.0, high: 3.0 });
        assert!((got.confidence - 0.75).abs() < 1e-15);
    }

    #[test]
    fn what_has_no_rank() {
        assert_eq!(signed_rank(&[0.0, 0.0]), Err(SignedRankError::Nothing));
        assert_eq!(hodges_lehmann(&[], 0.95), Err(SignedRankError::Nothing));
        let many = vec![1.0; 501];
        assert_eq!(signed_rank(&many), Err(SignedRankError::TooMany { differences: 501 }));
    }
}
