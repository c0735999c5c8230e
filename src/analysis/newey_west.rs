//! Standard errors of a line whose neighbouring residuals resemble each other.
//!
//! Knows times in order and values in any units. Over few trials it is too sure of itself: the
//! interval over block statistics (`slope`) is the one to rest on, this one stands beside it.

use super::slope::{SlopeError, line};

/// A line's standard errors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineErrors {
    /// Of the intercept.
    pub intercept_se: f64,
    /// Of the slope.
    pub slope_se: f64,
}

/// Newey and West's standard errors of the least-squares line, with Bartlett's weights up to
/// `lag` neighbours and the small-sample factor n / (n - 2).
///
/// ```text
/// V = (X'X)^-1 (G_0 + sum_{l <= lag} (1 - l / (lag + 1)) (G_l + G_l')) (X'X)^-1 n / (n - 2)
/// G_l = sum_t x_t e_t e_{t-l} x'_{t-l}
/// ```
/// `times` and `values` in order of time.
/// # Source
/// Newey & West (1987) Econometrica 55:703.
/// # Errors
/// [`SlopeError`]: lengths differ, too few points, or all at one time.
pub fn newey_west(times: &[f64], values: &[f64], lag: usize) -> Result<LineErrors, SlopeError> {
    let fit = line(times, values)?;
    let n = times.len() as f64;
    let middle = times.iter().sum::<f64>() / n;
    let spread: f64 = times.iter().map(|t| (t - middle) * (t - middle)).sum();
    // Both coefficients are sums of weights x residuals; the variance of such a sum is that of
    // the series of its terms.
    let terms = |weight: &dyn Fn(f64) -> f64| -> Vec<f64> {
        let residual = |t: f64, y: f64| y - fit.intercept - fit.slope * t;
        times.iter().zip(values).map(|(&t, &y)| weight(t) * residual(t, y)).collect()
    };
    let slope = terms(&|t| (t - middle) / spread);
    let intercept = terms(&|t| 1.0 / n - middle * (t - middle) / spread);
    let error = |terms: &[f64]| (long_run(terms, lag) * n / (n - 2.0)).max(0.0).sqrt();
    Ok(LineErrors { intercept_se: error(&intercept), slope_se: error(&slope) })
}

/// Sum of products of terms up to `lag` apart, by Bartlett's weights.
fn long_run(terms: &[f64], lag: usize) -> f64 {
    (0..=lag.min(terms.len().saturating_sub(1)))
        .map(|l| {
            let product: f64 = terms[l..].iter().zip(terms).map(|(one, other)| one * other).sum();
            let both_sides = if l == 0 { 1.0 } else { 2.0 };
            both_sides * (1.0 - l as f64 / (lag as f64 + 1.0)) * product
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_no_error() {
        assert_eq!(newey_west(&[1.0], &[1.0], 1), Err(SlopeError::TooFew { points: 1 }));
        assert_eq!(newey_west(&[1.0; 4], &[1.0; 4], 1), Err(SlopeError::OneTime));
    }

    #[test]
    fn a_lag_beyond_the_series_is_the_whole_series() {
        let (t, y) = ([0.0, 1.0, 2.0, 3.0], [1.0, 3.0, 2.0, 5.0]);
        assert!(newey_west(&t, &y, 50).expect("four points").slope_se >= 0.0);
    }
}
