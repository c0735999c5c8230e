//! Reliability: intraclass correlations by their forms, the standard error of measurement, and the
//! smallest change that is not measurement alone.
//!
//! Knows a complete table: a row a target (a player, a hold), a column a session or judge; every
//! value in one unit.

use statrs::function::beta::beta_reg;

use super::normal;
use super::{Interval, bisect};

/// Mean squares of a two-way table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanSquares {
    /// Targets (rows).
    pub targets: usize,
    /// Values of each (columns).
    pub columns: usize,
    /// Between targets, BMS.
    pub between: f64,
    /// Between columns, JMS.
    pub columns_square: f64,
    /// What is left, EMS.
    pub residual: f64,
    /// Within targets, WMS: columns and the rest together.
    pub within: f64,
}

/// A form of the intraclass correlation, by the numbers of Shrout and Fleiss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Form {
    /// (1,1): each target has its own columns; one value.
    OneWay,
    /// (2,1): columns drawn at random; absolute agreement of one value.
    Agreement,
    /// (3,1): these very columns; consistency of one value.
    Consistency,
    /// (1,k): as (1,1), of the mean of k.
    OneWayMean,
    /// (2,k): as (2,1), of the mean of k.
    AgreementMean,
    /// (3,k): as (3,1), of the mean of k.
    ConsistencyMean,
}

/// Why there is no reliability.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ReliabilityError {
    /// Too few targets or columns.
    #[error("{targets} targets x {columns} values: 2 of each are needed")]
    TooFew {
        /// Rows.
        targets: usize,
        /// Columns.
        columns: usize,
    },
    /// A row of another length.
    #[error("target {target} has {values} values, the first has {columns}")]
    Incomplete {
        /// Which row, from 0.
        target: usize,
        /// Its values.
        values: usize,
        /// Values of the first row.
        columns: usize,
    },
    /// Nothing is left once rows and columns are taken out.
    #[error("the values do not vary within targets")]
    NoSpread,
}

/// Mean squares of a complete table.
///
/// # Source
/// Shrout & Fleiss (1979) Psychological Bulletin 86:420, table 2.
/// # Errors
/// [`ReliabilityError`].
pub fn mean_squares(table: &[Vec<f64>]) -> Result<MeanSquares, ReliabilityError> {
    let columns = table.first().map_or(0, Vec::len);
    let targets = table.len();
    if targets < 2 || columns < 2 {
        return Err(ReliabilityError::TooFew { targets, columns });
    }
    if let Some(target) = table.iter().position(|row| row.len() != columns) {
        let values = table[target].len();
        return Err(ReliabilityError::Incomplete { target, values, columns });
    }
    let (n, k) = (targets as f64, columns as f64);
    let rows: Vec<f64> = table.iter().map(|row| row.iter().sum::<f64>() / k).collect();
    let middle = rows.iter().sum::<f64>() / n;
    let column = |j: usize| table.iter().map(|row| row[j]).sum::<f64>() / n;
    let square = |x: f64| x * x;
    let between = k * rows.iter().map(|row| square(row - middle)).sum::<f64>();
    let across = n * (0..columns).map(|j| square(column(j) - middle)).sum::<f64>();
    let within: f64 =
        table.iter().zip(&rows).flat_map(|(row, m)| row.iter().map(move |x| square(x - m))).sum();
    if within <= 0.0 {
        return Err(ReliabilityError::NoSpread);
    }
    Ok(MeanSquares {
        targets,
        columns,
        between: between / (n - 1.0),
        columns_square: across / (k - 1.0),
        residual: ((within - across) / ((n - 1.0) * (k - 1.0))).max(0.0),
        within: within / (n * (k - 1.0)),
    })
}

impl MeanSquares {
    /// An intraclass correlation with its interval.
    ///
    /// ```text
    /// (1,1) (B - W) / (B + (k-1) W)    (1,k) (B - W) / B
    /// (2,1) (B - E) / (B + (k-1) E + k (J - E) / n)    (2,k) (B - E) / (B + (J - E) / n)
    /// (3,1) (B - E) / (B + (k-1) E)    (3,k) (B - E) / B
    /// ```
    /// The intervals come from F; those of (2,.) by Satterthwaite's degrees of freedom.
    /// # Source
    /// Shrout & Fleiss (1979) Psychological Bulletin 86:420.
    pub fn icc(&self, form: Form, confidence: f64) -> Interval {
        let level = 0.5 + confidence / 2.0;
        let k = self.columns as f64;
        let n = self.targets as f64;
        match form {
            Form::OneWay => by_f(self.between / self.within, n - 1.0, n * (k - 1.0), k, level),
            Form::Consistency => {
                by_f(self.between / self.residual, n - 1.0, (n - 1.0) * (k - 1.0), k, level)
            }
            Form::Agreement => self.agreement(level),
            Form::OneWayMean => of_mean(self.icc(Form::OneWay, confidence), k),
            Form::AgreementMean => of_mean(self.agreement(level), k),
            Form::ConsistencyMean => of_mean(self.icc(Form::Consistency, confidence), k),
        }
    }

    fn agreement(&self, level: f64) -> Interval {
        let (n, k) = (self.targets as f64, self.columns as f64);
        let (b, j, e) = (self.between, self.columns_square, self.residual);
        let rho = (b - e) / (b + (k - 1.0) * e + k * (j - e) / n);
        let ratio = k * rho * j / e;
        let rest = n * (1.0 + (k - 1.0) * rho) - k * rho;
        let df = (k - 1.0) * (n - 1.0) * (ratio + rest) * (ratio + rest)
            / ((n - 1.0) * ratio * ratio + rest * rest);
        let (upper, lower) = (f_quantile(level, n - 1.0, df), f_quantile(level, df, n - 1.0));
        let noise = k * j + (k * n - k - n) * e;
        Interval {
            estimate: rho,
            low: n * (b - upper * e) / (upper * noise + n * b),
            high: n * (lower * b - e) / (noise + n * lower * b),
        }
    }

    /// Standard error of measurement for differences between targets or times on the same columns:
    /// sqrt(EMS), in the unit of the values.
    ///
    /// # Source
    /// Weir (2005) J. Strength and Conditioning Research 19:231.
    pub fn sem_consistency(&self) -> f64 {
        self.residual.sqrt()
    }

    /// Standard error of measurement that counts the columns' own differences too: sqrt(WMS).
    ///
    /// # Source
    /// de Vet, Terwee, Knol & Bouter (2006) J. Clinical Epidemiology 59:1033.
    pub fn sem_agreement(&self) -> f64 {
        self.within.sqrt()
    }
}

/// The smallest change between two measurements that is not measurement alone, in the unit of the
/// standard error of measurement `sem`.
///
/// ```text
/// z sqrt 2 sem,  z normal quantile of the confidence (1.96 at 0.95)
/// ```
/// # Source
/// Weir (2005) J. Strength and Conditioning Research 19:231.
pub fn smallest_detectable_change(sem: f64, confidence: f64) -> f64 {
    normal::quantile(0.5 + confidence / 2.0) * std::f64::consts::SQRT_2 * sem
}

/// The correlation of one value from a ratio of mean squares on `above` and `below` degrees.
fn by_f(ratio: f64, above: f64, below: f64, k: f64, level: f64) -> Interval {
    let icc = |f: f64| if f.is_finite() { (f - 1.0) / (f + k - 1.0) } else { 1.0 };
    Interval {
        estimate: icc(ratio),
        low: icc(ratio / f_quantile(level, above, below)),
        high: icc(ratio * f_quantile(level, below, above)),
    }
}

/// Spearman and Brown: from one value to the mean of k.
fn of_mean(one: Interval, k: f64) -> Interval {
    let mean = |rho: f64| k * rho / (1.0 + (k - 1.0) * rho);
    Interval { estimate: mean(one.estimate), low: mean(one.low), high: mean(one.high) }
}

/// The f with P(F < f) = `level`, by bisection on x = above f / (above f + below).
fn f_quantile(level: f64, above: f64, below: f64) -> f64 {
    let x = bisect::turn(0.0, 1.0, |x| beta_reg(above / 2.0, below / 2.0, x) < level);
    below * x / (above * (1.0 - x))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed tables of F at 0.95.
    #[test]
    fn the_printed_table_of_f() {
        for (above, below, f) in [(1.0, 10.0, 4.96), (5.0, 15.0, 2.90), (4.0, 20.0, 2.87)] {
            assert!((f_quantile(0.95, above, below) - f).abs() < 6e-3, "{above} {below}");
        }
    }

    #[test]
    fn what_has_no_reliability() {
        let few = ReliabilityError::TooFew { targets: 1, columns: 2 };
        assert_eq!(mean_squares(&[vec![1.0, 2.0]]), Err(few));
        let hole = ReliabilityError::Incomplete { target: 1, values: 1, columns: 2 };
        assert_eq!(mean_squares(&[vec![1.0, 2.0], vec![1.0]]), Err(hole));
        let flat = mean_squares(&[vec![1.0, 1.0], vec![2.0, 2.0]]);
        assert_eq!(flat, Err(ReliabilityError::NoSpread));
    }
}
