//! Intervals that hold at every moment together: for a mean that is looked at after each session.
//!
//! Knows values in order, or a running sum and its variance. Wider than an interval for one moment that was chosen
//! beforehand: the price of looking whenever one likes.

use super::Interval;
use super::describe::{mean, sd};

/// A normal mixture, tuned to be narrowest about one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mixture {
    /// Variance of the sum at which it begins to be narrow.
    pub rho: f64,
}

impl Mixture {
    /// Narrowest about the moment when the variance of the sum is `variance`, at level `alpha`.
    ///
    /// ```text
    /// rho = v / (2 ln(1/alpha) + ln(1 + 2 ln(1/alpha)))
    /// ```
    /// # Source
    /// Howard, Ramdas, McAuliffe & Sekhon (2021) Annals of Statistics 49:1055, section 3.
    pub fn tuned(variance: f64, alpha: f64) -> Mixture {
        let doubt = -2.0 * libm::log(alpha);
        Mixture { rho: variance / (doubt + libm::log(1.0 + doubt)) }
    }

    /// What the sum stays below at all moments together, with probability 1 - alpha.
    ///
    /// ```text
    /// |S_v| < sqrt((v + rho) ln((v + rho) / (alpha^2 rho)))   for every v
    /// ```
    /// # Source
    /// Robbins (1970) Annals of Mathematical Statistics 41:1397.
    pub fn boundary(self, variance: f64, alpha: f64) -> f64 {
        let all = variance + self.rho;
        (all * libm::log(all / (alpha * alpha * self.rho))).sqrt()
    }

    /// The bet against a mean of 0: it grows beyond 1/alpha with probability at most alpha.
    ///
    /// ```text
    /// sqrt(rho / (v + rho)) exp(S^2 / (2 (v + rho)))
    /// ```
    pub fn e_value(self, sum: f64, variance: f64) -> f64 {
        let all = variance + self.rho;
        (self.rho / all).sqrt() * libm::exp(sum * sum / (2.0 * all))
    }
}

/// The mean of one value a session, valid after every session together; the values are normal with
/// an sd that nobody knows.
///
/// `values`: in order of time; `narrowest_at`: the number of values at which it shall be narrowest.
/// ```text
/// every m with  t_m^2 < (n - 1) (K - 1) / (1 - K / r),
/// r = 1 + n / rho,  K = (sqrt(r) / alpha)^(2/n)
/// ```
/// with t_m the one-sample t of the values against m and rho as in [`Mixture::tuned`], in variances
/// of one value. `None` while nothing can be ruled out (K >= r), or without spread.
/// # Source
/// Lai (1976) Annals of Statistics 4:265; Wang & Ramdas (2024) Sequential Analysis, on t-tests valid
/// at any time (theorem from memory; the false alarms over 40 looks are simulated in the tests).
pub fn mean_so_far(values: &[f64], narrowest_at: usize, confidence: f64) -> Option<Interval> {
    let alpha = 1.0 - confidence;
    let n = values.len() as f64;
    let error = sd(values).filter(|&sd| sd > 0.0)? / n.sqrt();
    let estimate = mean(values)?;
    let Mixture { rho } = Mixture::tuned(narrowest_at.max(1) as f64, alpha);
    let r = 1.0 + n / rho;
    let k = libm::pow(r.sqrt() / alpha, 2.0 / n);
    if k >= r {
        return None;
    }
    let half = error * ((n - 1.0) * (k - 1.0) / (1.0 - k / r)).sqrt();
    Some(Interval { estimate, low: estimate - half, high: estimate + half })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;
    use rand_distr::{Distribution, StandardNormal};

    #[test]
    fn wider_than_for_one_moment_and_silent_at_first() {
        let values = [-3.0, -1.0, -2.0, -4.0, -2.5, -3.5, -1.5, -2.5];
        let got = mean_so_far(&values, 8, 0.95).expect("eight");
        let plain = super::super::student::critical(0.95, 7.0) * sd(&values).expect("eight")
            / 8.0_f64.sqrt();
        let half = (got.high - got.low) / 2.0;
        assert!(half > 1.3 * plain && half < 2.5 * plain, "{half} {plain}");
        assert_eq!(mean_so_far(&values[..3], 8, 0.95), None);
        assert_eq!(mean_so_far(&[1.0; 9], 8, 0.95), None);
    }

    /// Looked at after each of 40 values, it leaves the truth out in at most 5 of 100 runs. The
    /// bar is 3.3 standard errors above, as everywhere here.
    #[test]
    fn looking_whenever_one_likes_raises_no_false_alarms() {
        let mut words = ChaCha12Rng::seed_from_u64(40);
        let runs = 2000;
        let wrong = (0..runs)
            .filter(|_| {
                let values: Vec<f64> = (0..40).map(|_| StandardNormal.sample(&mut words)).collect();
                (2..=40).any(|n| {
                    mean_so_far(&values[..n], 8, 0.95).is_some_and(|i| i.low > 0.0 || i.high < 0.0)
                })
            })
            .count();
        let share = wrong as f64 / f64::from(runs);
        let bar = 0.05 + 3.3 * (0.05_f64 * 0.95 / f64::from(runs)).sqrt();
        assert!(share <= bar && share > 0.005, "{share}");
    }
}
