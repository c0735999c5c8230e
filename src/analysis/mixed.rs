//! The linear mixed model by REML (or ML): fixed effects, and random effects that share levels.
//!
//! Knows columns and levels: `y = X beta + Z b + e`, one [`Term`] a grouping. Terms may be nested
//! (a block within a cycle) or crossed (players and items); a term has an intercept, a slope, or
//! both with their correlation. The data are read once, as cross-products; the rest costs as much
//! as there are levels, not rows. It is fitted in relative covariance factors, as lme4 does, so
//! that a variance of 0 is a value like any other.

mod climb;
mod cross;
mod satterthwaite;
mod sparse;

use climb::climb;
use cross::{Criterion, CrossProducts, Solved};
use nalgebra::{DMatrix, DVector};

/// A grouping with random effects.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// The level of each row, from 0, without gaps.
    pub level: Vec<u32>,
    /// A column for each random effect of a level: ones for an intercept. They correlate.
    pub columns: Vec<Vec<f64>>,
}

impl Term {
    /// A random intercept a level.
    pub fn intercept(level: Vec<u32>) -> Term {
        let ones = vec![1.0; level.len()];
        Term { level, columns: vec![ones] }
    }

    /// A random intercept and a random slope on `values` a level, correlated.
    pub fn slope(level: Vec<u32>, values: Vec<f64>) -> Term {
        let ones = vec![1.0; level.len()];
        Term { level, columns: vec![ones, values] }
    }

    /// A random slope without an intercept.
    pub fn slope_alone(level: Vec<u32>, values: Vec<f64>) -> Term {
        Term { level, columns: vec![values] }
    }
}

/// Which likelihood is made largest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Likelihood {
    /// Of the residuals: variances unbiased by the fixed effects.
    Restricted,
    /// Of the data: for comparing fixed effects.
    Full,
}

/// Why there is no model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MixedError {
    /// A column, or a term's levels, are not one a row.
    #[error("a column of {length} values for {rows} rows")]
    Lengths {
        /// Its length.
        length: usize,
        /// Values of y.
        rows: usize,
    },
    /// No more rows than fixed effects.
    #[error("{rows} rows for {fixed} fixed effects: there must be more")]
    TooFew {
        /// Values of y.
        rows: usize,
        /// Fixed effects.
        fixed: usize,
    },
    /// A value that is not finite.
    #[error("row {row} holds a value that is not finite")]
    NotFinite {
        /// Row, from 0.
        row: usize,
    },
    /// One level a row: its random effect cannot be told from the residual.
    #[error("term {term} has {levels} levels for {rows} rows: it needs fewer")]
    TooManyLevels {
        /// Which term, from 0.
        term: usize,
        /// Its levels.
        levels: usize,
        /// Values of y.
        rows: usize,
    },
    /// The fixed effects' columns depend on each other.
    #[error("the columns of the fixed effects depend on each other")]
    Rank,
    /// y is a sum of the fixed effects' columns: there is no spread to divide.
    #[error("the fixed effects leave no spread")]
    NoSpread,
    /// The relative factors given are not those of the terms.
    #[error("{given} relative factors for {wanted}")]
    Factors {
        /// How many were given.
        given: usize,
        /// How many the terms have.
        wanted: usize,
    },
    /// No top was reached.
    #[error("the likelihood has no clear top")]
    NoTop,
}

/// What is to be fitted.
#[derive(Debug, Clone)]
pub struct Mixed {
    cross: CrossProducts,
    likelihood: Likelihood,
}

/// A fitted model.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Fixed effects, in the order of their columns.
    pub fixed: Vec<f64>,
    /// Their covariance, row by row.
    pub fixed_covariance: DMatrix<f64>,
    /// Residual standard deviation.
    pub sigma: f64,
    /// Relative covariance factors: of each term the lower triangle, column by column.
    pub theta: Vec<f64>,
    /// Covariance of each term's random effects.
    pub covariances: Vec<DMatrix<f64>>,
    /// Conditional modes of the random effects: a term, a level, an effect.
    pub effects: Vec<Vec<Vec<f64>>>,
    /// Log-likelihood (restricted, if that was asked for).
    pub log_likelihood: f64,
    /// Parameters estimated: fixed effects, covariances, residual variance.
    pub parameters: usize,
    mixed: Mixed,
    solved: Solved,
}

/// A combination of effects with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub estimate: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Degrees of freedom by Satterthwaite; none for a combination with random effects.
    pub df: Option<f64>,
}

/// A model within another, compared by their full likelihoods.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LikelihoodRatio {
    /// Twice the difference of the log-likelihoods.
    pub chi_squared: f64,
    /// Parameters more.
    pub df: usize,
    /// P of a chi-squared so large.
    pub p: f64,
}

impl Mixed {
    /// Reads the data once.
    ///
    /// `y`: n values in any unit; `fixed`: p columns of n, ones among them for an intercept;
    /// `terms`: one or more groupings of the n rows.
    /// # Errors
    /// [`MixedError`]: columns that do not fit or depend on each other, values that are not finite.
    pub fn new(
        y: &[f64],
        fixed: &[Vec<f64>],
        terms: &[Term],
        likelihood: Likelihood,
    ) -> Result<Mixed, MixedError> {
        check(y, fixed, terms)?;
        Ok(Mixed { cross: CrossProducts::new(y, fixed, terms)?, likelihood })
    }

    /// The profiled criterion, -2 log-likelihood, at relative covariance factors: of each term the
    /// lower triangle, column by column.
    ///
    /// ```text
    /// L L' = Lambda' Z'Z Lambda + I,   r^2 = penalised residual sum of squares
    /// full:        ln|L|^2            + n (1 + ln(2 pi r^2 / n))
    /// restricted:  ln|L|^2 + ln|RX|^2 + (n - p) (1 + ln(2 pi r^2 / (n - p)))
    /// ```
    /// # Source
    /// Bates, Maechler, Bolker & Walker (2015) J. Statistical Software 67(1), equations 34 and 42.
    /// # Errors
    /// [`MixedError::Factors`]; [`MixedError::Rank`].
    pub fn criterion(&self, theta: &[f64]) -> Result<f64, MixedError> {
        let wanted = self.cross.factors();
        if theta.len() != wanted {
            return Err(MixedError::Factors { given: theta.len(), wanted });
        }
        let solved = self.cross.solve(theta).ok_or(MixedError::Rank)?;
        Ok(self.of(&solved.criterion))
    }

    fn of(&self, parts: &Criterion) -> f64 {
        let (n, p) = (self.cross.rows() as f64, self.cross.fixed() as f64);
        let (df, logs) = match self.likelihood {
            Likelihood::Restricted => (n - p, parts.log_l + parts.log_rx),
            Likelihood::Full => (n, parts.log_l),
        };
        logs + df * (1.0 + libm::log(2.0 * std::f64::consts::PI * parts.r_squared / df))
    }

    /// Fits by making the likelihood largest: Newton's method, held to descend.
    ///
    /// # Errors
    /// [`MixedError::NoSpread`]; [`MixedError::NoTop`].
    pub fn fit(self) -> Result<Fit, MixedError> {
        if self.cross.no_spread() {
            return Err(MixedError::NoSpread);
        }
        let start = self.cross.start();
        let theta = climb(&start, |theta| {
            self.cross.solve(theta).map_or(f64::INFINITY, |solved| self.of(&solved.criterion))
        })
        .ok_or(MixedError::NoTop)?;
        let theta = self.cross.upright(&theta);
        let solved = self.cross.solve(&theta).ok_or(MixedError::NoTop)?;
        let (n, p) = (self.cross.rows(), self.cross.fixed());
        let df = match self.likelihood {
            Likelihood::Restricted => n - p,
            Likelihood::Full => n,
        };
        let sigma = (solved.criterion.r_squared / df as f64).sqrt();
        if !(sigma > 0.0 && sigma.is_finite()) {
            return Err(MixedError::NoSpread);
        }
        let covariances = self.cross.covariances(&theta, sigma);
        Ok(Fit {
            fixed: self.cross.fixed_effects(&solved),
            fixed_covariance: solved.fixed_inverse() * (sigma * sigma),
            sigma,
            covariances,
            effects: self.cross.effects(&theta, &solved),
            log_likelihood: -self.of(&solved.criterion) / 2.0,
            parameters: p + theta.len() + 1,
            theta,
            mixed: self,
            solved,
        })
    }
}

impl Fit {
    /// A combination of the fixed effects, with Satterthwaite's degrees of freedom.
    ///
    /// `weights`: one a fixed effect.
    /// ```text
    /// df = 2 v^2 / (g' A g),  v = l' V l,  g its gradient in (theta, sigma),  A = 2 H^-1
    /// ```
    /// with H the Hessian of -2 log-likelihood in (theta, sigma).
    /// # Source
    /// Satterthwaite (1946) Biometrics Bulletin 2:110; as in Kuznetsova, Brockhoff & Christensen
    /// (2017) J. Statistical Software 82(13).
    pub fn contrast(&self, weights: &[f64]) -> Estimate {
        let l = DVector::from_column_slice(weights);
        let variance = (l.transpose() * &self.fixed_covariance * &l)[0];
        Estimate {
            estimate: l.dot(&DVector::from_column_slice(&self.fixed)),
            standard_error: variance.sqrt(),
            df: Some(satterthwaite::df(self, &l)),
        }
    }

    /// A combination of fixed effects and of the random effects of one level, each as it is
    /// predicted: the standard error is that of the prediction, both kinds of effects uncertain,
    /// the variances taken as known.
    ///
    /// # Source
    /// Henderson (1975) Biometrics 31:423.
    pub fn predicted(&self, weights: &[f64], term: usize, level: usize, of: &[f64]) -> Estimate {
        let random: f64 = self.effects[term][level].iter().zip(of).map(|(b, w)| b * w).sum();
        let fixed: f64 = self.fixed.iter().zip(weights).map(|(b, w)| b * w).sum();
        let variance =
            self.mixed.cross.spread(&self.theta, &self.solved, weights, (term, level, of));
        let standard_error = self.sigma * variance.sqrt();
        Estimate { estimate: fixed + random, standard_error, df: None }
    }

    /// -2 log-likelihood + 2 parameters.
    pub fn aic(&self) -> f64 {
        2.0 * (self.parameters as f64 - self.log_likelihood)
    }

    /// -2 log-likelihood + parameters ln n.
    pub fn bic(&self) -> f64 {
        let n = self.mixed.cross.rows() as f64;
        self.parameters as f64 * libm::log(n) - 2.0 * self.log_likelihood
    }

    /// This model against a smaller one within it; both by full likelihood.
    ///
    /// # Source
    /// Wilks (1938) Ann. Mathematical Statistics 9:60.
    pub fn against(&self, smaller: &Fit) -> LikelihoodRatio {
        let chi_squared = 2.0 * (self.log_likelihood - smaller.log_likelihood);
        let df = self.parameters.saturating_sub(smaller.parameters);
        let p = if df == 0 || chi_squared <= 0.0 {
            1.0
        } else {
            statrs::function::gamma::gamma_ur(df as f64 / 2.0, chi_squared / 2.0)
        };
        LikelihoodRatio { chi_squared, df, p }
    }
}

fn check(y: &[f64], fixed: &[Vec<f64>], terms: &[Term]) -> Result<(), MixedError> {
    let rows = y.len();
    if rows <= fixed.len() {
        return Err(MixedError::TooFew { rows, fixed: fixed.len() });
    }
    let columns = || fixed.iter().chain(terms.iter().flat_map(|term| &term.columns));
    let lengths = columns().map(Vec::len).chain(terms.iter().map(|term| term.level.len()));
    for length in lengths {
        if length != rows {
            return Err(MixedError::Lengths { length, rows });
        }
    }
    for column in columns().map(Vec::as_slice).chain([y]) {
        if let Some(row) = column.iter().position(|x| !x.is_finite()) {
            return Err(MixedError::NotFinite { row });
        }
    }
    for (number, term) in terms.iter().enumerate() {
        let levels = cross::levels(term);
        if levels >= rows {
            return Err(MixedError::TooManyLevels { term: number, levels, rows });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
