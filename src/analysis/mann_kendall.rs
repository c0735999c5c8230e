//! Whether values tend to rise or fall in time, by their order alone; and how far neighbours
//! resemble each other.
//!
//! Knows values in order of time, finite, in any unit; for Mann and Kendall's p they are
//! independent of each other.

use super::describe::{mean, sorted};
use super::normal;

/// Most values whose orders are counted out for the exact p.
pub const MOST_COUNTED: usize = 60;

/// Mann and Kendall's test of a trend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Pairs that rise less pairs that fall.
    pub s: f64,
    /// Its variance where there is no trend.
    pub variance: f64,
    /// Kendall's tau-b against time, -1..=1.
    pub tau: f64,
    /// Normal deviate, with correction for continuity.
    pub z: f64,
    /// Two-sided p of z.
    pub p: f64,
    /// Exact two-sided p by counting orders: up to [`MOST_COUNTED`] values without equal ones.
    pub p_exact: Option<f64>,
}

/// Mann and Kendall's test. `None` below three values or where all are equal.
///
/// ```text
/// S = sum_{i<j} sign(y_j - y_i);  var S = (n (n-1) (2n+5) - sum g (g-1) (2g+5)) / 18
/// z = (|S| - 1) sign(S) / sqrt(var S)
/// ```
/// g the sizes of groups of equal values.
/// # Source
/// Mann (1945) Econometrica 13:245; Kendall (1975) Rank Correlation Methods.
pub fn mann_kendall(values: &[f64]) -> Option<Trend> {
    let pairs = (0..values.len()).flat_map(|j| (0..j).map(move |i| (i, j)));
    let sign = |(i, j): (usize, usize)| -> f64 {
        let apart = values[j] - values[i];
        if apart > 0.0 {
            1.0
        } else if apart < 0.0 {
            -1.0
        } else {
            0.0
        }
    };
    let signs: Vec<f64> = pairs.map(sign).collect();
    let s: f64 = signs.iter().sum();
    let unequal: f64 = signs.iter().map(|sign| sign.abs()).sum();
    if values.len() < 3 || unequal < 0.5 {
        return None;
    }
    let variance = kendall_variance(values);
    let z = (s.abs() - 1.0).max(0.0) * s.signum() / variance.sqrt();
    let no_ties = unequal > signs.len() as f64 - 0.5;
    Some(Trend {
        s,
        variance,
        tau: s / (unequal * signs.len() as f64).sqrt(),
        z,
        p: (2.0 * normal::below(-z.abs())).min(1.0),
        p_exact: (no_ties && values.len() <= MOST_COUNTED).then(|| exact_p(values.len(), s)),
    })
}

/// Variance of Kendall's S where nothing depends on time.
pub(super) fn kendall_variance(values: &[f64]) -> f64 {
    let term = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
    let sorted = sorted(values);
    let ties: f64 =
        sorted.chunk_by(|a, b| a.total_cmp(b).is_eq()).map(|equal| term(equal.len() as f64)).sum();
    (term(values.len() as f64) - ties) / 18.0
}

/// Share of all orders of `n` values whose |S| is at least this one.
fn exact_p(n: usize, s: f64) -> f64 {
    // The n-th value falls below 0..n of those before it, each equally likely.
    let mut chances = vec![1.0];
    for count in 2..=n {
        let mut next = vec![0.0; chances.len() + count - 1];
        for (falls, chance) in chances.iter().enumerate() {
            for more in &mut next[falls..falls + count] {
                *more += chance / count as f64;
            }
        }
        chances = next;
    }
    let pairs = (chances.len() - 1) as f64;
    let far = |falls: usize| (pairs - 2.0 * falls as f64).abs() >= s.abs() - 0.5;
    let p: f64 = (0..chances.len()).filter(|&falls| far(falls)).map(|falls| chances[falls]).sum();
    p.min(1.0)
}

/// Autocorrelation at lags 1 to `lags`, divisor n at every lag. `None` where there are no more
/// values than lags or all are equal.
///
/// ```text
/// r_k = sum (y_t - m) (y_{t+k} - m) / sum (y_t - m)^2
/// ```
/// # Source
/// Box & Jenkins, Time Series Analysis, chapter 2 (from memory).
pub fn autocorrelation(values: &[f64], lags: usize) -> Option<Vec<f64>> {
    let centre = mean(values)?;
    let apart: Vec<f64> = values.iter().map(|y| y - centre).collect();
    let squares: f64 = apart.iter().map(|d| d * d).sum();
    if lags >= values.len() || squares <= 0.0 {
        return None;
    }
    let at = |lag: usize| apart[lag..].iter().zip(&apart).map(|(one, other)| one * other);
    Some((1..=lags).map(|lag| at(lag).sum::<f64>() / squares).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_in_order() {
        // Of six orders one rises throughout and one falls.
        let got = mann_kendall(&[1.0, 2.0, 4.0]).expect("three values");
        assert!((got.s - 3.0).abs() < 1e-15 && (got.tau - 1.0).abs() < 1e-15);
        assert!((got.p_exact.expect("no ties") - 1.0 / 3.0).abs() < 1e-15);
        assert!((got.variance - 66.0 / 18.0).abs() < 1e-12);
    }

    #[test]
    fn what_has_no_trend() {
        assert_eq!(mann_kendall(&[1.0, 2.0]), None);
        assert_eq!(mann_kendall(&[1.0; 5]), None);
        assert_eq!(mann_kendall(&[1.0, 1.0, 2.0]).and_then(|trend| trend.p_exact), None);
        assert_eq!(autocorrelation(&[1.0; 5], 1), None);
        assert_eq!(autocorrelation(&[1.0, 2.0], 2), None);
    }
}
