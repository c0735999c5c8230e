//! Estimates of several sessions (or players) taken together, each with its own standard error.
//!
//! Random effects: what is estimated may itself differ from one to the next. Knows estimates and
//! standard errors in one unit; for when the raw blocks are missing, else the blocks say more.

use super::Interval;
use super::student;

/// Estimates taken together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// Mean, with the interval by Hartung & Knapp.
    pub mean: Interval,
    /// Its standard error.
    pub standard_error: f64,
    /// Degrees of freedom: estimates - 1.
    pub df: f64,
    /// Variance between the true values, by Paule & Mandel.
    pub between: f64,
    /// Cochran's Q about the mean that takes all as equal.
    pub q: f64,
    /// Share of the spread that is not the estimates' own error, 0 to 1.
    pub i_squared: f64,
    /// Hartung and Knapp's factor as found, before it is held to at least 1.
    pub factor: f64,
}

/// Why nothing can be taken together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CombineError {
    /// Too few.
    #[error("{estimates} estimates: at least 2 can be taken together")]
    TooFew {
        /// How many.
        estimates: usize,
    },
    /// Not as many standard errors as estimates.
    #[error("{errors} standard errors for {estimates} estimates")]
    Lengths {
        /// Standard errors.
        errors: usize,
        /// Estimates.
        estimates: usize,
    },
    /// A standard error that is none.
    #[error("estimate {place} or its standard error is no number above 0")]
    NotAbove0 {
        /// Which, from 0.
        place: usize,
    },
}

/// Takes estimates together.
///
/// ```text
/// w_i = 1 / (s_i^2 + T),  T >= 0 such that Sum w_i (y_i - m)^2 = k - 1
/// m = Sum w_i y_i / Sum w_i,   h = Sum w_i (y_i - m)^2 / (k - 1)
/// interval: m -+ t(k - 1) sqrt(max(1, h) / Sum w_i)
/// ```
/// # Source
/// Paule & Mandel (1982) J. Research NBS 87:377 for T; Hartung & Knapp (2001) Statistics in
/// Medicine 20:1771; the factor at least 1: Röver, Knapp & Friede (2015) BMC Medical Research
/// Methodology 15:99.
/// # Errors
/// [`CombineError`].
pub fn combine(
    estimates: &[f64],
    standard_errors: &[f64],
    confidence: f64,
) -> Result<Combined, CombineError> {
    let k = estimates.len();
    if k < 2 {
        return Err(CombineError::TooFew { estimates: k });
    }
    if standard_errors.len() != k {
        return Err(CombineError::Lengths { errors: standard_errors.len(), estimates: k });
    }
    let is_sound = |(y, s): (&f64, &f64)| y.is_finite() && s.is_finite() && *s > 0.0;
    if let Some(place) = estimates.iter().zip(standard_errors).position(|pair| !is_sound(pair)) {
        return Err(CombineError::NotAbove0 { place });
    }
    let df = (k - 1) as f64;
    let at = |between: f64| {
        let weight = |s: &f64| 1.0 / (s * s + between);
        let weights: f64 = standard_errors.iter().map(weight).sum();
        let pairs = || estimates.iter().zip(standard_errors);
        let mean = pairs().map(|(y, s)| weight(s) * y).sum::<f64>() / weights;
        let q = pairs().map(|(y, s)| weight(s) * (y - mean) * (y - mean)).sum::<f64>();
        At { weights, mean, q }
    };
    let q = at(0.0).q;
    let between = between(q, df, estimates, |t| at(t).q);
    let At { weights, mean, q: squares } = at(between);
    let factor = squares / df;
    let standard_error = (factor.max(1.0) / weights).sqrt();
    let half = student::critical(confidence, df) * standard_error;
    let i_squared = if q > df { (q - df) / q } else { 0.0 };
    let mean = Interval { estimate: mean, low: mean - half, high: mean + half };
    Ok(Combined { mean, standard_error, df, between, q, i_squared, factor })
}

struct At {
    weights: f64,
    mean: f64,
    q: f64,
}

/// Where the falling Q(T) comes to its degrees of freedom; 0 where it never lies above them.
fn between(q_at_0: f64, df: f64, estimates: &[f64], q: impl Fn(f64) -> f64) -> f64 {
    if q_at_0 <= df {
        return 0.0;
    }
    let lowest = estimates.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = estimates.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    // Weights of 1 / T each give Q <= k range^2 / T: at k range^2 it lies below 1.
    let (mut low, mut high) = (0.0, estimates.len() as f64 * (highest - lowest).powi(2));
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if q(middle) > df {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn alike_estimates_are_no_surer_than_their_errors_allow() {
        // Equal estimates: h is 0 and is held to 1, so the error is s / sqrt k.
        let got = combine(&[-10.0; 4], &[2.0; 4], 0.95).expect("four");
        assert!((got.standard_error - 1.0).abs() < 1e-12 && got.between.abs() < 1e-12);
        // t(0.975, 3) = 3.182446: Student's table.
        assert!((got.mean.high + 10.0 - 3.182_446).abs() < 1e-5);
    }

    #[test]
    fn what_cannot_be_taken_together() {
        assert_eq!(combine(&[1.0], &[1.0], 0.95), Err(CombineError::TooFew { estimates: 1 }));
        let lengths = CombineError::Lengths { errors: 1, estimates: 2 };
        assert_eq!(combine(&[1.0, 2.0], &[1.0], 0.95), Err(lengths));
        let zero = CombineError::NotAbove0 { place: 1 };
        assert_eq!(combine(&[1.0, 2.0], &[1.0, 0.0], 0.95), Err(zero));
    }
}
