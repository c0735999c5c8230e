//! The individuals control chart: whether one session stands out from the run of sessions.
//!
//! Knows one value a session, in order, in one unit.

use super::describe::mean;

/// Mean range of two normal values, in sds: 2 / sqrt(pi), as tables round it.
pub const RANGE_OF_TWO_SDS: f64 = 1.128;

/// Limits lie this many sds off the centre.
pub const LIMIT_SDS: f64 = 3.0;

/// A chart of single values.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Mean.
    pub centre: f64,
    /// sd from the moving range, which a slow drift does not widen.
    pub sd: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Places of the values outside the limits, from 0.
    pub outside: Vec<usize>,
}

/// The chart of values in order; `None` below two.
///
/// ```text
/// mean -+ 3 MR / 1.128,  MR the mean of |x_i - x_{i-1}|
/// ```
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory).
pub fn individuals(values: &[f64]) -> Option<Chart> {
    let ranges: Vec<f64> = values.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    let sd = mean(&ranges)? / RANGE_OF_TWO_SDS;
    let centre = mean(values)?;
    let (low, high) = (centre - LIMIT_SDS * sd, centre + LIMIT_SDS * sd);
    let is_outside = |&i: &usize| values[i] < low || values[i] > high;
    let outside = (0..values.len()).filter(is_outside).collect();
    Some(Chart { centre, sd, low, high, outside })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The handbook's flow rates of ten batches: limits 45.8159 and 55.8041 (from memory).
    #[test]
    fn the_handbooks_flow_rates() {
        let rates = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
        let got = individuals(&rates).expect("ten batches");
        assert!((got.centre - 50.81).abs() < 1e-12);
        assert!((got.low - 45.8159).abs() < 6e-5 && (got.high - 55.8041).abs() < 6e-5, "{got:?}");
        assert!(got.outside.is_empty());
    }

    #[test]
    fn a_wild_session_stands_out() {
        let mut values = [200.0, 203.0, 199.0, 201.0, 202.0, 200.0, 198.0, 201.0, 200.0, 202.0];
        values[6] = 240.0;
        assert_eq!(individuals(&values).expect("ten").outside, [6]);
        assert_eq!(individuals(&[200.0]), None);
    }
}
