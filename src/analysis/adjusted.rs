//! Times of trials with what their circumstances explain taken out: the wait before a trial, the
//! trial before it.
//!
//! One slope a circumstance for all blocks, estimated within blocks alone, so that no difference
//! between blocks (and so none between conditions) can leak into it. Knows plain numbers.

use super::describe::mean;
use nalgebra::{DMatrix, DVector};

/// Slopes and times without them.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjusted {
    /// A slope a circumstance, unit of the times over the circumstance's own.
    pub slopes: Vec<f64>,
    /// The times as they would be at the circumstances' mean, block by block.
    pub times: Vec<Vec<f64>>,
}

/// Takes circumstances out of times.
///
/// `times`: one list a block; `circumstances`: for each of them the same lists, a value a trial.
/// ```text
/// y'_ij = y_ij - sum_c b_c (x_cij - mean of x_c),   b by least squares on deviations from block means
/// ```
/// `None` where lists do not fit each other or the slopes cannot be told (too few trials, a
/// circumstance that never varies within a block, two that say the same).
/// # Source
/// Analysis of covariance with one within-block slope; Cochran & Cox, Experimental Designs, 2nd ed.
/// 1957, ch. 3 (from memory).
pub fn adjusted(times: &[Vec<f64>], circumstances: &[&[Vec<f64>]]) -> Option<Adjusted> {
    let fits = |lists: &[Vec<f64>]| {
        lists.len() == times.len() && lists.iter().zip(times).all(|(x, y)| x.len() == y.len())
    };
    if circumstances.is_empty() || !circumstances.iter().all(|lists| fits(lists)) {
        return None;
    }
    let deviations = |lists: &[Vec<f64>]| -> Vec<f64> {
        let of_block = |list: &Vec<f64>| {
            let middle = mean(list).unwrap_or(0.0);
            list.iter().map(move |x| x - middle).collect::<Vec<f64>>()
        };
        lists.iter().flat_map(of_block).collect()
    };
    let y = DVector::from_vec(deviations(times));
    let columns: Vec<Vec<f64>> = circumstances.iter().map(|lists| deviations(lists)).collect();
    let x = DMatrix::from_fn(y.len(), columns.len(), |row, column| columns[column][row]);
    let cross = x.transpose() * &x;
    // Scaled to ones on the diagonal, a small determinant says that two columns are one.
    let scale: Vec<f64> = (0..columns.len()).map(|c| cross[(c, c)].sqrt()).collect();
    if scale.iter().any(|s| !(s.is_finite() && *s > 1e-9)) {
        return None;
    }
    let told = DMatrix::from_fn(columns.len(), columns.len(), |i, j| {
        cross[(i, j)] / (scale[i] * scale[j])
    });
    let solved = told.cholesky().filter(|factor| factor.determinant() > 1e-6)?;
    let sums = x.transpose() * y;
    let scaled = DVector::from_fn(columns.len(), |c, _| sums[c] / scale[c]);
    let slopes: Vec<f64> =
        solved.solve(&scaled).iter().zip(&scale).map(|(b, scale)| b / scale).collect();
    let middles: Vec<f64> =
        circumstances.iter().map(|lists| mean(&lists.concat()).unwrap_or(0.0)).collect();
    let times = times
        .iter()
        .enumerate()
        .map(|(block, list)| {
            let explained = |trial: usize| -> f64 {
                let of = |c: usize| slopes[c] * (circumstances[c][block][trial] - middles[c]);
                (0..slopes.len()).map(of).sum()
            };
            list.iter().enumerate().map(|(trial, y)| y - explained(trial)).collect()
        })
        .collect();
    Some(Adjusted { slopes, times })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: y = 10 + 2 x in one block, 30 + 2 x in the other; x has the mean 3.
    #[test]
    fn a_slope_is_taken_out_and_the_blocks_stay_apart() {
        let x = vec![vec![1.0, 2.0, 3.0], vec![3.0, 4.0, 5.0]];
        let times = vec![vec![12.0, 14.0, 16.0], vec![36.0, 38.0, 40.0]];
        let found = adjusted(&times, &[&x]).expect("x varies within blocks");
        assert!((found.slopes[0] - 2.0).abs() < 1e-12);
        for (block, level) in found.times.iter().zip([16.0, 36.0]) {
            assert!(block.iter().all(|y| (y - level).abs() < 1e-12), "{found:?}");
        }
    }

    #[test]
    fn what_cannot_be_told_gives_nothing() {
        let times = vec![vec![1.0, 2.0], vec![3.0, 5.0]];
        let still = vec![vec![1.0, 1.0], vec![2.0, 2.0]];
        assert_eq!(adjusted(&times, &[&still]), None, "it never varies within a block");
        assert_eq!(adjusted(&times, &[&times, &times]), None, "two that say the same");
        assert_eq!(adjusted(&times, &[&times[..1]]), None, "a block is missing");
        assert_eq!(adjusted(&times, &[]), None);
    }
}
