//! The ex-Gaussian of reaction times: a normal with an exponential tail, its density and its fit.
//!
//! Knows times of one condition, finite, in any unit; mu, sigma and tau come in that unit. The
//! likelihood takes the times as independent: intervals come from `bootstrap` by block, not from
//! the standard errors here. A fit that fails is an error, never a number.

use super::describe::{mean, sd};
use super::erfcx::erfcx;
use super::normal;

mod climb;

use climb::{Point, climb};

/// Fewest times that are fitted: below, three parameters say little (common practice, no source).
pub const FEWEST_TIMES: usize = 20;

/// A normal part below this share of the times' sd is none.
const EDGE_SHARE: f64 = 1e-3;

/// A part that raises the log-likelihood by less than this is none.
const LEAST_GAIN: f64 = 1e-4;

/// Shares of the sd that lie in the tail where the climb begins, beside the one by moments.
const STARTS: [f64; 4] = [0.3, 0.55, 0.75, 0.92];

/// An ex-Gaussian law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExGaussian {
    /// Mean of the normal part.
    pub mu: f64,
    /// Standard deviation of the normal part, above 0.
    pub sigma: f64,
    /// Mean of the exponential part, above 0.
    pub tau: f64,
}

/// A fit by maximum likelihood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: ExGaussian,
    /// Summed log density of the times.
    pub log_likelihood: f64,
    /// Standard errors of mu, sigma and tau from the observed information, in that order.
    pub standard_errors: [f64; 3],
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// Too few times.
    #[error("{times} times: a fit needs {FEWEST_TIMES}")]
    TooFew {
        /// Times given.
        times: usize,
    },
    /// All times are equal.
    #[error("all times are equal")]
    NoSpread,
    /// A time is not finite.
    #[error("a time is not a finite number")]
    NotFinite,
    /// The likelihood rises until the exponential part is gone: the times have no slow tail.
    #[error("the times have no slow tail: the exponential part vanishes")]
    NoTail,
    /// The likelihood rises until the normal part is gone.
    #[error("the normal part vanishes")]
    NoNormalPart,
    /// No top was reached.
    #[error("the likelihood has no clear top")]
    NoTop,
}

impl ExGaussian {
    /// Mean, mu + tau.
    pub fn mean(&self) -> f64 {
        self.mu + self.tau
    }

    /// Log density at x.
    ///
    /// ```text
    /// z = (x - mu) / sigma - sigma / tau
    /// -ln tau - (x - mu)^2 / (2 sigma^2) + ln(erfcx(-z / sqrt 2) / 2)       where z < 0
    /// -ln tau + (mu - x) / tau + sigma^2 / (2 tau^2) + ln Phi(z)             elsewhere
    /// ```
    /// The two are equal; the second cancels where sigma / tau is large, and there z < 0.
    /// # Source
    /// Ratcliff (1979) Psychological Bulletin 86:446; Luce (1986) Response Times.
    pub fn log_density(&self, x: f64) -> f64 {
        let ExGaussian { mu, sigma, tau } = *self;
        let apart = (x - mu) / sigma;
        let z = apart - sigma / tau;
        let log = if z < 0.0 {
            libm::log(erfcx(-z * std::f64::consts::FRAC_1_SQRT_2) / 2.0) - apart * apart / 2.0
        } else {
            (mu - x) / tau + sigma * sigma / (2.0 * tau * tau) + libm::log(normal::below(z))
        };
        log - libm::log(tau)
    }

    /// Density at x, per unit of x.
    pub fn density(&self, x: f64) -> f64 {
        libm::exp(self.log_density(x))
    }

    /// P(X < x).
    ///
    /// ```text
    /// Phi((x - mu) / sigma) - tau f(x)
    /// ```
    pub fn below(&self, x: f64) -> f64 {
        let ExGaussian { mu, sigma, tau } = *self;
        normal::below((x - mu) / sigma) - tau * self.density(x)
    }
}

/// Fits by maximum likelihood: Newton's method with exact derivatives, held to climb, from several
/// starts; the highest top counts.
///
/// # Source
/// Heathcote, Popiel & Mewhort (1991) Psychological Bulletin 109:340 for the method; the start by
/// moments: tau = sd (skewness / 2)^(1/3).
/// # Errors
/// [`FitError`].
pub fn fit(times: &[f64]) -> Result<Fit, FitError> {
    fit_from(times, None)
}

/// The same from one start that is known to lie near, such as the law of the sample that `times`
/// were drawn from.
///
/// # Errors
/// [`FitError`].
pub fn fit_near(times: &[f64], start: ExGaussian) -> Result<Fit, FitError> {
    fit_from(times, Some(start))
}

fn fit_from(times: &[f64], near: Option<ExGaussian>) -> Result<Fit, FitError> {
    if times.len() < FEWEST_TIMES {
        return Err(FitError::TooFew { times: times.len() });
    }
    if times.iter().any(|x| !x.is_finite()) {
        return Err(FitError::NotFinite);
    }
    let centre = mean(times).ok_or(FitError::NoSpread)?;
    let spread = sd(times).filter(|&sd| sd > 0.0).ok_or(FitError::NoSpread)?;
    // In units of the sd about the mean, so that steps and edges mean the same everywhere.
    let scaled: Vec<f64> = times.iter().map(|x| (x - centre) / spread).collect();
    let skewness = scaled.iter().map(|x| x * x * x).sum::<f64>() / scaled.len() as f64;
    let by_moments = libm::cbrt(skewness.max(0.0) / 2.0).clamp(0.1, 0.97);

    let with_tail =
        |tail: f64| ExGaussian { mu: -tail, sigma: (1.0 - tail * tail).sqrt(), tau: tail };
    let starts: Vec<ExGaussian> = match near {
        Some(law) => vec![ExGaussian {
            mu: (law.mu - centre) / spread,
            sigma: law.sigma / spread,
            tau: law.tau / spread,
        }],
        None => STARTS.into_iter().chain([by_moments]).map(with_tail).collect(),
    };
    let mut best: Option<Point> = None;
    for start in starts {
        let top = climb(&scaled, start);
        if best.as_ref().is_none_or(|best| top.log_likelihood > best.log_likelihood) {
            best = Some(top);
        }
    }
    let top = best.ok_or(FitError::NoTop)?;
    // What the likelihood comes to when one of the parts is gone: a normal of sd 1 (divisor n - 1),
    // an exponential from the fastest time.
    let n = scaled.len() as f64;
    let variance = (n - 1.0) / n;
    let no_tail = -n / 2.0 * (libm::log(2.0 * std::f64::consts::PI * variance) + 1.0);
    let fastest = scaled.iter().copied().fold(f64::INFINITY, f64::min);
    let no_normal = -n * (libm::log(-fastest) + 1.0);
    if top.log_likelihood < no_tail + LEAST_GAIN {
        return Err(FitError::NoTail);
    }
    if top.law.sigma < EDGE_SHARE || top.log_likelihood < no_normal + LEAST_GAIN {
        return Err(FitError::NoNormalPart);
    }
    let errors = top.settled.then(|| top.standard_errors()).flatten().ok_or(FitError::NoTop)?;
    Ok(Fit {
        law: ExGaussian {
            mu: centre + spread * top.law.mu,
            sigma: spread * top.law.sigma,
            tau: spread * top.law.tau,
        },
        log_likelihood: top.log_likelihood - times.len() as f64 * libm::log(spread),
        standard_errors: errors.map(|error| spread * error),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Evenly spread shares through a law's quantiles, found by bisection: a sample without luck.
    fn even_sample(law: ExGaussian, n: u32) -> Vec<f64> {
        let quantile = |share: f64| {
            let (mut low, mut high) = (law.mu - 10.0 * law.sigma, law.mu + 40.0 * law.tau);
            for _ in 0..100 {
                let middle = f64::midpoint(low, high);
                if law.below(middle) < share { low = middle } else { high = middle }
            }
            low
        };
        (0..n).map(|i| quantile((f64::from(i) + 0.5) / f64::from(n))).collect()
    }

    #[test]
    fn finds_the_law_of_an_even_sample() {
        let law = ExGaussian { mu: 220.0, sigma: 20.0, tau: 60.0 };
        let got = fit(&even_sample(law, 2000)).expect("a fit");
        assert!((got.law.mu - 220.0).abs() < 1.0, "{got:?}");
        assert!((got.law.sigma - 20.0).abs() < 1.0, "{got:?}");
        assert!((got.law.tau - 60.0).abs() < 1.0, "{got:?}");
    }

    #[test]
    fn a_near_start_leads_to_the_same_top() {
        let law = ExGaussian { mu: 220.0, sigma: 20.0, tau: 60.0 };
        let sample = even_sample(law, 150);
        let (far, near) = (fit(&sample), fit_near(&sample, law));
        let (far, near) = (far.expect("a fit").law, near.expect("a fit").law);
        assert!((far.mu - near.mu).abs() < 1e-4 && (far.tau - near.tau).abs() < 1e-4);
    }

    #[test]
    fn the_unit_does_not_matter() {
        let ms = even_sample(ExGaussian { mu: 200.0, sigma: 15.0, tau: 25.0 }, 60);
        let s: Vec<f64> = ms.iter().map(|x| x / 1000.0).collect();
        let (ms, s) = (fit(&ms).expect("a fit"), fit(&s).expect("a fit"));
        assert!((ms.law.tau / 1000.0 - s.law.tau).abs() < 1e-9);
        assert!((ms.standard_errors[2] / 1000.0 - s.standard_errors[2]).abs() < 1e-9);
    }

    #[test]
    fn what_has_no_fit_says_why() {
        assert_eq!(fit(&[200.0; 19]), Err(FitError::TooFew { times: 19 }));
        assert_eq!(fit(&[200.0; 40]), Err(FitError::NoSpread));
        assert_eq!(fit(&[f64::NAN; 40]), Err(FitError::NotFinite));
        // A tail to the left: nothing exponential in it.
        let left: Vec<f64> =
            (1..80).map(|i| 300.0 + 50.0 * libm::log(f64::from(i) / 80.0)).collect();
        assert_eq!(fit(&left), Err(FitError::NoTail));
        // Nothing but exponential.
        let right: Vec<f64> = (1..80).map(|i| -50.0 * libm::log(f64::from(i) / 80.0)).collect();
        assert_eq!(fit(&right), Err(FitError::NoNormalPart));
    }
}
