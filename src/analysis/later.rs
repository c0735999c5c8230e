//! The LATER law: promptness, 1 / time, is normal; on reciprobit paper its times are a line.
//!
//! Knows times above 0, in ms; promptness is 1000 / time, per second.

use super::describe::{mean, sorted};
use super::normal;

/// A LATER law, of promptness per second.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Later {
    /// Mean promptness, 1/s.
    pub mu: f64,
    /// Its sd, 1/s, above 0.
    pub sigma: f64,
}

/// One time on reciprobit paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReciprobitPoint {
    /// Promptness, 1/s: across, with its axis turned round.
    pub promptness: f64,
    /// Normal quantile of the share of times up to this one: up.
    pub probit: f64,
}

/// Why there is no law.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LaterError {
    /// Too few times.
    #[error("{times} times: a law needs 2")]
    TooFew {
        /// Times given.
        times: usize,
    },
    /// A time that has no promptness.
    #[error("a time of {time_ms} ms has no promptness")]
    NotAbove0 {
        /// The time.
        time_ms: f64,
    },
    /// All times are equal.
    #[error("all times are equal")]
    NoSpread,
}

impl Later {
    /// Median time, ms: 1000 / mu.
    pub fn median_ms(&self) -> f64 {
        1000.0 / self.mu
    }

    /// P(T < t), t in ms above 0.
    ///
    /// ```text
    /// Phi((mu - 1000/t) / sigma)
    /// ```
    /// On reciprobit paper a line of slope -1 / sigma in promptness. The mass of negative
    /// promptness, Phi(-mu / sigma), counts as a time that never comes.
    /// # Source
    /// Carpenter & Williams (1995) Nature 377:59.
    pub fn below(&self, time_ms: f64) -> f64 {
        normal::below((self.mu - 1000.0 / time_ms) / self.sigma)
    }

    /// Density at t, per ms.
    pub fn density(&self, time_ms: f64) -> f64 {
        let slope = 1000.0 / (time_ms * time_ms * self.sigma);
        slope * normal::density((1000.0 / time_ms - self.mu) / self.sigma)
    }

    /// Where the law lies on reciprobit paper at t.
    pub fn probit(&self, time_ms: f64) -> f64 {
        (self.mu - 1000.0 / time_ms) / self.sigma
    }

    /// Summed log density of times in ms.
    pub fn log_likelihood(&self, times_ms: &[f64]) -> f64 {
        let constant = (2.0 * std::f64::consts::PI).sqrt();
        times_ms
            .iter()
            .map(|t| {
                let apart = (1000.0 / t - self.mu) / self.sigma;
                libm::log(1000.0 / (t * t * self.sigma * constant)) - apart * apart / 2.0
            })
            .sum()
    }
}

/// Fits by maximum likelihood: mean and sd (divisor n) of promptness.
///
/// # Source
/// Noorani & Carpenter (2016) Neuroscience and Biobehavioral Reviews 64:229.
/// # Errors
/// [`LaterError`].
pub fn fit(times_ms: &[f64]) -> Result<Later, LaterError> {
    let promptness = promptness(times_ms)?;
    let mu = mean(&promptness).ok_or(LaterError::TooFew { times: 0 })?;
    let squares: f64 = promptness.iter().map(|v| (v - mu) * (v - mu)).sum();
    let sigma = (squares / promptness.len() as f64).sqrt();
    if sigma > 0.0 { Ok(Later { mu, sigma }) } else { Err(LaterError::NoSpread) }
}

/// Every time on reciprobit paper, from the fastest: the i-th of n at share (i - 1/2) / n.
///
/// # Source
/// Carpenter & Williams (1995) Nature 377:59; plotting position by Hazen, common practice.
/// # Errors
/// [`LaterError`]: too few times, or one that is not above 0.
pub fn reciprobit(times_ms: &[f64]) -> Result<Vec<ReciprobitPoint>, LaterError> {
    let promptness = sorted(&promptness(times_ms)?);
    let n = promptness.len() as f64;
    let point = |(i, &promptness): (usize, &f64)| ReciprobitPoint {
        promptness,
        probit: normal::quantile((i as f64 + 0.5) / n),
    };
    Ok(promptness.iter().rev().enumerate().map(point).collect())
}

fn promptness(times_ms: &[f64]) -> Result<Vec<f64>, LaterError> {
    if times_ms.len() < 2 {
        return Err(LaterError::TooFew { times: times_ms.len() });
    }
    match times_ms.iter().find(|&&t| !(t > 0.0 && t.is_finite())) {
        Some(&time_ms) => Err(LaterError::NotAbove0 { time_ms }),
        None => Ok(times_ms.iter().map(|t| 1000.0 / t).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_points_of_a_law_lie_on_its_line() {
        let law = Later { mu: 4.0, sigma: 0.5 };
        let times: Vec<f64> = (0..9)
            .map(|i| 1000.0 / (4.0 - 0.5 * normal::quantile((f64::from(i) + 0.5) / 9.0)))
            .collect();
        for (point, t) in reciprobit(&times).expect("nine times").iter().zip(&times) {
            assert!((point.probit - law.probit(*t)).abs() < 1e-12);
            assert!((point.promptness - 1000.0 / t).abs() < 1e-12);
        }
    }

    #[test]
    fn what_has_no_law() {
        assert_eq!(fit(&[200.0]), Err(LaterError::TooFew { times: 1 }));
        assert_eq!(fit(&[200.0, 0.0]), Err(LaterError::NotAbove0 { time_ms: 0.0 }));
        assert_eq!(fit(&[200.0, 200.0]), Err(LaterError::NoSpread));
    }
}
