//! Quantiles drawn from every order statistic, and mid-ranks.
//!
//! Knows one sample of finite values, in any order and any unit; a quantile comes back in it.

use statrs::function::beta::beta_reg;

use super::describe::mean;

/// The shares of the deciles, 0.1 to 0.9.
pub const DECILES: [f64; 9] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

/// A quantile and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantile {
    /// Harrell and Davis's estimate.
    pub estimate: f64,
    /// The jackknife's standard error, for independent values.
    pub standard_error: f64,
}

/// Harrell and Davis's quantile: a mean of all order statistics, weighted by how likely each is to
/// be the quantile. `None` of nothing, or where `p` is not inside 0..1.
///
/// ```text
/// Q(p) = sum w_i x(i),  w_i = I(i/n; a, b) - I((i-1)/n; a, b),  a = (n+1) p,  b = (n+1) (1-p)
/// ```
/// with I the regularised incomplete beta function.
/// # Source
/// Harrell & Davis (1982) Biometrika 69:635.
pub fn harrell_davis(sample: &[f64], p: f64) -> Option<f64> {
    let weights = weights(sample.len(), p)?;
    let order = order(sample);
    Some(order.iter().zip(&weights).map(|(&i, w)| w * sample[i]).sum())
}

/// Harrell and Davis's quantiles of many samples of one size: their weights are worked out once.
#[derive(Debug, Clone, PartialEq)]
pub struct HarrellDavis<const N: usize> {
    /// How much all values up to each place weigh, a number a share; nothing at place 0.
    up_to: Vec<[f64; N]>,
}

impl<const N: usize> HarrellDavis<N> {
    /// For samples of `size` values, at each of `shares`. `None` of size 0, or where a share is not
    /// inside 0..1.
    pub fn new(size: usize, shares: &[f64; N]) -> Option<HarrellDavis<N>> {
        let mut up_to = vec![[0.0; N]; size + 1];
        for (i, &share) in shares.iter().enumerate() {
            for (all, weight) in up_to.iter_mut().zip(weights_up_to(size, share)?) {
                all[i] = weight;
            }
        }
        Some(HarrellDavis { up_to })
    }

    /// The quantiles of sorted values, each as many times as it says. `None` of another size.
    pub fn of_counted(&self, sorted: impl Iterator<Item = (f64, usize)>) -> Option<[f64; N]> {
        // sum x_i (W_i - W_(i-1)) = x_n - sum W_i (x_(i+1) - x_i), W_i the weight up to value i
        let mut quantiles = [0.0; N];
        let (mut before, mut last) = (0, 0.0);
        for (value, times) in sorted {
            let step = value - last;
            for (quantile, weight) in quantiles.iter_mut().zip(self.up_to.get(before)?) {
                *quantile -= weight * step;
            }
            before += times;
            last = value;
        }
        for quantile in &mut quantiles {
            *quantile += last;
        }
        (before + 1 == self.up_to.len()).then_some(quantiles)
    }
}

/// The same with the standard error of the leave-one-out jackknife. `None` below two values, or
/// where `p` is not inside 0..1.
///
/// ```text
/// se = sqrt((n-1)/n sum (Q_i - mean Q)^2),  Q_i without value i
/// ```
/// The weights are those of n - 1 values, as in the estimate from n - 1 values.
/// # Source
/// Efron & Tibshirani (1993) An Introduction to the Bootstrap, chapter 11.
pub fn quantile_with_error(sample: &[f64], p: f64) -> Option<Quantile> {
    let without = without_each(sample, p)?;
    let estimate = harrell_davis(sample, p)?;
    Some(Quantile { estimate, standard_error: jackknife_error(&without)? })
}

/// The quantile without each value in turn, in the order of the sample; `None` below two values.
pub(super) fn without_each(sample: &[f64], p: f64) -> Option<Vec<f64>> {
    let weights = weights(sample.len().checked_sub(1)?, p)?;
    let order = order(sample);
    // Values below the left-out one keep their place, those above move down by one.
    let mut total: f64 = order[1..].iter().zip(&weights).map(|(&i, w)| w * sample[i]).sum();
    let mut without = vec![0.0; sample.len()];
    for (place, &i) in order.iter().enumerate() {
        without[i] = total;
        if let (Some(w), Some(&next)) = (weights.get(place), order.get(place + 1)) {
            total += w * (sample[i] - sample[next]);
        }
    }
    Some(without)
}

/// The standard error from the values of a statistic without each value in turn.
pub(super) fn jackknife_error(without: &[f64]) -> Option<f64> {
    let n = without.len() as f64;
    let centre = mean(without)?;
    let squares: f64 = without.iter().map(|v| (v - centre) * (v - centre)).sum();
    Some(((n - 1.0) / n * squares).sqrt())
}

/// Rank of each value from 1, in the order given; equal values share the mean of their ranks.
pub fn mid_ranks(sample: &[f64]) -> Vec<f64> {
    let order = order(sample);
    let mut ranks = vec![0.0; sample.len()];
    let mut before = 0;
    for equal in order.chunk_by(|&i, &j| sample[i].total_cmp(&sample[j]).is_eq()) {
        let rank = before as f64 + (equal.len() as f64 + 1.0) / 2.0;
        for &i in equal {
            ranks[i] = rank;
        }
        before += equal.len();
    }
    ranks
}

fn weights(n: usize, p: f64) -> Option<Vec<f64>> {
    Some(weights_up_to(n, p)?.windows(2).map(|ends| ends[1] - ends[0]).collect())
}

/// Weight of all values up to each place, from none of them to all.
fn weights_up_to(n: usize, p: f64) -> Option<Vec<f64>> {
    if n == 0 || !(p > 0.0 && p < 1.0) {
        return None;
    }
    let points = n as f64;
    let (a, b) = ((points + 1.0) * p, (points + 1.0) * (1.0 - p));
    Some((0..=n).map(|i| beta_reg(a, b, i as f64 / points)).collect())
}

/// Places of the values from the smallest to the largest.
fn order(sample: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..sample.len()).collect();
    order.sort_by(|&i, &j| sample[i].total_cmp(&sample[j]));
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_values_weigh_alike_at_the_median() {
        // a = b = 1.5: the weights are symmetric.
        let got = harrell_davis(&[3.0, 1.0], 0.5).expect("two values");
        assert!((got - 2.0).abs() < 1e-14);
        // Without one of two values the other is left: 1 and 3, so se = sqrt(1/2 (1 + 1)) = 1.
        let got = quantile_with_error(&[3.0, 1.0], 0.5).expect("two values");
        assert!((got.standard_error - 1.0).abs() < 1e-14);
    }

    #[test]
    fn leaving_out_is_leaving_out() {
        let x = [5.0, 1.0, 4.0, 4.0, 9.0, 2.0];
        let quick = without_each(&x, 0.3).expect("six values");
        for (i, quick) in quick.iter().enumerate() {
            let mut left = x.to_vec();
            left.remove(i);
            let slow = harrell_davis(&left, 0.3).expect("five values");
            assert!((quick - slow).abs() < 1e-13, "without {i}: {quick} for {slow}");
        }
    }

    #[test]
    fn counted_is_repeated() {
        let known = HarrellDavis::new(6, &[0.1, 0.5]).expect("six values");
        let counted = [(1.0, 2), (2.0, 0), (4.0, 3), (9.0, 1)];
        let got = known.of_counted(counted.into_iter()).expect("six values");
        let repeated = [1.0, 1.0, 4.0, 4.0, 4.0, 9.0];
        for (got, share) in got.into_iter().zip([0.1, 0.5]) {
            let slow = harrell_davis(&repeated, share).expect("six values");
            assert!((got - slow).abs() < 1e-13, "{share}: {got} for {slow}");
        }
        assert_eq!(known.of_counted([(1.0, 5)].into_iter()), None);
        assert_eq!(known.of_counted([(1.0, 7)].into_iter()), None);
    }

    #[test]
    fn equal_values_share_their_ranks() {
        assert_eq!(mid_ranks(&[7.0, 3.0, 7.0, 1.0]), [3.5, 2.0, 3.5, 1.0]);
    }

    #[test]
    fn what_has_no_quantile() {
        assert_eq!(harrell_davis(&[], 0.5), None);
        assert_eq!(harrell_davis(&[1.0], 0.0), None);
        assert_eq!(harrell_davis(&[1.0], f64::NAN), None);
        assert_eq!(quantile_with_error(&[1.0], 0.5), None);
    }
}
