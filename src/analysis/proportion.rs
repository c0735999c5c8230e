//! A share of trials, such as errors, with an interval that holds near 0 and 1.
//!
//! Knows two counts; trials count as independent of each other.

use super::Interval;
use super::student;

/// Why there is no share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ProportionError {
    /// Nothing was counted.
    #[error("no trial was counted")]
    NoTrials,
    /// More were found than there were.
    #[error("{found} of {trials}")]
    TooMany {
        /// Found.
        found: usize,
        /// Counted.
        trials: usize,
    },
}

/// Wilson's interval of `found` of `trials`, as shares from 0 to 1.
///
/// ```text
/// (p + z^2/2n -+ z sqrt(p (1-p) / n + z^2/4n^2)) / (1 + z^2/n),  z normal quantile
/// ```
/// # Source
/// Wilson (1927) J. American Statistical Association 22:209.
/// # Errors
/// [`ProportionError`]: counts that make no share.
pub fn wilson(found: usize, trials: usize, confidence: f64) -> Result<Interval, ProportionError> {
    if trials == 0 {
        return Err(ProportionError::NoTrials);
    }
    if found > trials {
        return Err(ProportionError::TooMany { found, trials });
    }
    let n = trials as f64;
    let p = found as f64 / n;
    let z = student::normal_critical(confidence);
    let shrink = 1.0 + z * z / n;
    let middle = (p + z * z / (2.0 * n)) / shrink;
    let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt() / shrink;
    // At the ends middle and half are equal, save for rounding.
    let low = if found == 0 { 0.0 } else { (middle - half).max(0.0) };
    let high = if found == trials { 1.0 } else { (middle + half).min(1.0) };
    Ok(Interval { estimate: p, low, high })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Newcombe (1998) Statistics in Medicine 17:857, table I, method 3 (from memory).
    #[test]
    fn newcombes_examples() {
        for (found, trials, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let got = wilson(found, trials, 0.95).expect("a share");
            assert!((got.low - low).abs() < 6e-5 && (got.high - high).abs() < 6e-5, "{got:?}");
        }
    }

    #[test]
    fn counts_that_make_no_share() {
        assert_eq!(wilson(0, 0, 0.95), Err(ProportionError::NoTrials));
        assert_eq!(wilson(3, 2, 0.95), Err(ProportionError::TooMany { found: 3, trials: 2 }));
    }
}
