//! What people do instead: all trials pooled, one t test. Here to be compared with, and to show
//! how often it is wrong when blocks shift; no verdict rests on it.

use super::describe::{mean, sd};
use super::student;

/// A t test of a difference of means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TTest {
    /// Mean of a less mean of b.
    pub difference: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Degrees of freedom.
    pub df: f64,
}

impl TTest {
    /// Difference over standard error.
    pub fn t(&self) -> f64 {
        self.difference / self.standard_error
    }

    /// Two-sided p.
    pub fn p(&self) -> f64 {
        student::two_sided_p(self.t(), self.df)
    }

    /// The interval of the difference.
    pub fn interval(&self, confidence: f64) -> super::Interval {
        let half = student::critical(confidence, self.df) * self.standard_error;
        let estimate = self.difference;
        super::Interval { estimate, low: estimate - half, high: estimate + half }
    }

    /// Two one-sided tests that the difference lies within `low`..`high`: the larger p.
    ///
    /// # Source
    /// Schuirmann (1987) J. Pharmacokinetics and Biopharmaceutics 15:657.
    pub fn equivalence_p(&self, low: f64, high: f64) -> f64 {
        let above_low = student::below((low - self.difference) / self.standard_error, self.df);
        let below_high = student::below((self.difference - high) / self.standard_error, self.df);
        above_low.max(below_high)
    }
}

/// Two samples of one variance; `None` where a sample has fewer than two values.
pub fn pooled(a: &[f64], b: &[f64]) -> Option<TTest> {
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let df = na + nb - 2.0;
    let (sa, sb) = (sd(a)?, sd(b)?);
    let variance = ((na - 1.0) * sa * sa + (nb - 1.0) * sb * sb) / df;
    Some(TTest {
        difference: mean(a)? - mean(b)?,
        standard_error: (variance * (1.0 / na + 1.0 / nb)).sqrt(),
        df,
    })
}

/// Two samples each of its own variance; `None` where a sample has fewer than two values.
///
/// # Source
/// Welch (1947) Biometrika 34:28 (from memory).
pub fn welch(a: &[f64], b: &[f64]) -> Option<TTest> {
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let (sa, sb) = (sd(a)?, sd(b)?);
    let (va, vb) = (sa * sa / na, sb * sb / nb);
    Some(TTest {
        difference: mean(a)? - mean(b)?,
        standard_error: (va + vb).sqrt(),
        df: (va + vb) * (va + vb) / (va * va / (na - 1.0) + vb * vb / (nb - 1.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // Means 2 and 5, variances 1 and 1, three each: se = sqrt(2/3), df 4 both ways.
        let (a, b) = ([1.0, 2.0, 3.0], [4.0, 5.0, 6.0]);
        for test in [pooled(&a, &b), welch(&a, &b)] {
            let test = test.expect("three each");
            assert!((test.difference + 3.0).abs() < 1e-15);
            assert!((test.standard_error - (2.0_f64 / 3.0).sqrt()).abs() < 1e-15);
            assert!((test.df - 4.0).abs() < 1e-12);
        }
        assert_eq!(welch(&a, &[1.0]), None);
    }
}
