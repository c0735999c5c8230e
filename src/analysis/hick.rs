//! Choice: the information of alternatives, and the line of reaction time over it.
//!
//! Knows counts and shares of alternatives, and times in any unit; information is in bits.

use super::slope::{Line, SlopeError, line};

/// Information of `alternatives` equally likely ones, bits: log2 n. 0 of none.
///
/// # Source
/// Hyman (1953) J. Experimental Psychology 45:188.
pub fn hyman_bits(alternatives: usize) -> f64 {
    libm::log2(alternatives.max(1) as f64)
}

/// The same with "nothing yet" as one alternative more: log2(n + 1).
///
/// # Source
/// Hick (1952) Quarterly J. Experimental Psychology 4:11.
pub fn hick_bits(alternatives: usize) -> f64 {
    libm::log2(alternatives as f64 + 1.0)
}

/// Mean information of alternatives of unequal `weights` (shares or counts, none below 0), bits;
/// 0 where they sum to nothing.
///
/// ```text
/// -sum p log2 p
/// ```
/// # Source
/// Shannon (1948) Bell System Technical Journal 27:379.
pub fn entropy_bits(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    let of = |weight: &f64| -> f64 {
        let share = weight / sum;
        if share > 0.0 { -share * libm::log2(share) } else { 0.0 }
    };
    weights.iter().map(of).sum()
}

/// Information that responses carry about stimuli, bits: `table` of counts, a row a stimulus, a
/// column a response, rows of one length. 0 where nothing was counted.
///
/// ```text
/// H(stimuli) + H(responses) - H(both)
/// ```
/// # Source
/// Hyman (1953) J. Experimental Psychology 45:188.
pub fn transmitted_bits(table: &[Vec<f64>]) -> f64 {
    let stimuli: Vec<f64> = table.iter().map(|row| row.iter().sum()).collect();
    let columns = table.first().map_or(0, Vec::len);
    let responses: Vec<f64> =
        (0..columns).map(|i| table.iter().filter_map(|row| row.get(i)).sum()).collect();
    let both: Vec<f64> = table.concat();
    entropy_bits(&stimuli) + entropy_bits(&responses) - entropy_bits(&both)
}

/// Hick's line: reaction time = intercept + slope x bits, a point a number of alternatives.
/// # Errors
/// [`SlopeError`]: lengths differ, too few points, or all of one information.
pub fn hick_line(bits: &[f64], times: &[f64]) -> Result<Line, SlopeError> {
    line(bits, times)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_no_information() {
        assert!(entropy_bits(&[]).abs() < 1e-15 && entropy_bits(&[0.0, 0.0]).abs() < 1e-15);
        assert!(transmitted_bits(&[]).abs() < 1e-15);
        // Every response right: all of the stimulus.
        let right = transmitted_bits(&[vec![5.0, 0.0], vec![0.0, 5.0]]);
        assert!((right - 1.0).abs() < 1e-15);
    }
}
