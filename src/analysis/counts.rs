//! Exact intervals of counts: a share of trials, and events that have no number of chances.
//!
//! Knows counts; trials count as independent of each other, events as coming at one rate. Exact
//! means at least the confidence asked for, never less.

use statrs::function::beta::beta_reg;
use statrs::function::gamma::{gamma_lr, gamma_ur};

use super::proportion::ProportionError;
use super::{Interval, bisect};

/// Clopper and Pearson's interval of `found` of `trials`, as shares from 0 to 1.
///
/// ```text
/// low:  P(X >= found) = (1 - confidence) / 2;  high: P(X <= found) = (1 - confidence) / 2
/// ```
/// # Source
/// Clopper & Pearson (1934) Biometrika 26:404.
/// # Errors
/// [`ProportionError`]: counts that make no share.
pub fn clopper_pearson(
    found: usize,
    trials: usize,
    confidence: f64,
) -> Result<Interval, ProportionError> {
    if trials == 0 {
        return Err(ProportionError::NoTrials);
    }
    if found > trials {
        return Err(ProportionError::TooMany { found, trials });
    }
    let tail = (1.0 - confidence) / 2.0;
    let (x, n) = (found as f64, trials as f64);
    let low = if found == 0 {
        0.0
    } else {
        bisect::turn(0.0, 1.0, |share| beta_reg(x, n - x + 1.0, share) < tail)
    };
    let high = if found == trials {
        1.0
    } else {
        bisect::turn(0.0, 1.0, |share| tail < beta_reg(n - x, x + 1.0, 1.0 - share))
    };
    Ok(Interval { estimate: x / n, low, high })
}

/// Garwood's interval of the expected count where `events` were counted; divide by the exposure
/// (minutes, blocks) for a rate.
///
/// ```text
/// low:  P(X >= events) = (1 - confidence) / 2;  high: P(X <= events) = (1 - confidence) / 2
/// ```
/// # Source
/// Garwood (1936) Biometrika 28:437.
pub fn poisson(events: usize, confidence: f64) -> Interval {
    let tail = (1.0 - confidence) / 2.0;
    let x = events as f64;
    let mut most = 2.0 * x + 16.0;
    while gamma_ur(x + 1.0, most) > tail {
        most *= 2.0;
    }
    let low =
        if events == 0 { 0.0 } else { bisect::turn(0.0, most, |rate| gamma_lr(x, rate) < tail) };
    let high = bisect::turn(0.0, most, |rate| tail < gamma_ur(x + 1.0, rate));
    Interval { estimate: x, low, high }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Newcombe (1998) Statistics in Medicine 17:857, table I, method 5 (from memory).
    #[test]
    fn newcombes_examples() {
        for (found, trials, low, high) in [
            (81, 263, 0.2527, 0.3676),
            (15, 148, 0.0578, 0.1617),
            (0, 20, 0.0, 0.1684),
            (1, 29, 0.0009, 0.1776),
        ] {
            let got = clopper_pearson(found, trials, 0.95).expect("a share");
            assert!((got.low - low).abs() < 6e-5 && (got.high - high).abs() < 6e-5, "{got:?}");
        }
        // Nothing found: (1 - high)^n is the tail.
        let got = clopper_pearson(0, 7, 0.9).expect("a share");
        assert!((got.high - (1.0 - libm::pow(0.05, 1.0 / 7.0))).abs() < 1e-13);
    }

    /// The printed table of 95 % limits of a Poisson mean (Garwood 1936, from memory).
    #[test]
    fn garwoods_table() {
        for (events, low, high) in [
            (0, 0.0, 3.689),
            (1, 0.0253, 5.572),
            (2, 0.242, 7.225),
            (5, 1.623, 11.668),
            (10, 4.795, 18.390),
            (100, 81.364, 121.627),
        ] {
            let got = poisson(events, 0.95);
            assert!((got.low - low).abs() < 6e-4 && (got.high - high).abs() < 6e-4, "{got:?}");
        }
    }

    #[test]
    fn counts_that_make_no_share() {
        assert_eq!(clopper_pearson(0, 0, 0.95), Err(ProportionError::NoTrials));
        let many = ProportionError::TooMany { found: 3, trials: 2 };
        assert_eq!(clopper_pearson(3, 2, 0.95), Err(many));
    }
}
