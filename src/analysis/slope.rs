//! A straight line through points in time: least squares with its interval, and Theil-Sen beside.
//!
//! Knows times and values in any units; the slope is in the one per the other. Meant for block
//! statistics: neighbouring trials resemble each other, and an interval over them would be too
//! narrow.

use super::Interval;
use super::describe::{median, sorted, whole};
use super::mann_kendall::kendall_variance;
use super::student;

/// Why there is no line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SlopeError {
    /// Times and values are not of one length.
    #[error("{times} times for {values} values")]
    Lengths {
        /// Times given.
        times: usize,
        /// Values given.
        values: usize,
    },
    /// An interval needs one point more than a line.
    #[error("{points} points: a slope with an interval needs 3")]
    TooFew {
        /// Points given.
        points: usize,
    },
    /// All points are of one time.
    #[error("all points are of one time")]
    OneTime,
}

/// The least-squares line value = intercept + slope time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Value at time 0.
    pub intercept: f64,
    /// Value per time.
    pub slope: f64,
    /// Standard error of the intercept.
    pub intercept_se: f64,
    /// Standard error of the slope.
    pub slope_se: f64,
    /// Residual standard deviation, divisor n - 2.
    pub residual_sd: f64,
    /// n - 2.
    pub df: f64,
}

impl Line {
    /// The slope with its t interval.
    pub fn slope_interval(&self, confidence: f64) -> Interval {
        let half = student::critical(confidence, self.df) * self.slope_se;
        Interval { estimate: self.slope, low: self.slope - half, high: self.slope + half }
    }
}

/// Ordinary least squares of `values` on `times`, three points or more.
/// # Errors
/// [`SlopeError`]: lengths differ, too few points, or all at one time.
pub fn line(times: &[f64], values: &[f64]) -> Result<Line, SlopeError> {
    check(times, values)?;
    let n = times.len() as f64;
    let time = times.iter().sum::<f64>() / n;
    let value = values.iter().sum::<f64>() / n;
    let along = |f: &dyn Fn(f64, f64) -> f64| -> f64 {
        times.iter().zip(values).map(|(t, y)| f(t - time, y - value)).sum()
    };
    let spread = along(&|t, _| t * t);
    let slope = along(&|t, y| t * y) / spread;
    let squares = along(&|t, y| (y - slope * t) * (y - slope * t));
    let df = n - 2.0;
    let residual_sd = (squares / df).sqrt();
    Ok(Line {
        intercept: value - slope * time,
        slope,
        intercept_se: residual_sd * (1.0 / n + time * time / spread).sqrt(),
        slope_se: residual_sd / spread.sqrt(),
        residual_sd,
        df,
    })
}

/// Median of the slopes between all pairs of points of different times, with Sen's interval.
///
/// ```text
/// N slopes in order s(1)..s(N);  k = z sqrt((n (n-1) (2n+5) - ties) / 18),  z normal quantile
/// interval: s(round((N - k) / 2)) .. s(round((N + k) / 2) + 1)
/// ```
/// `ties` sums g (g-1) (2g+5) over groups of g equal values.
/// # Source
/// Sen (1968) J. American Statistical Association 63:1379.
/// # Errors
/// [`SlopeError`]: lengths differ, too few points, or all at one time.
pub fn theil_sen(times: &[f64], values: &[f64], confidence: f64) -> Result<Interval, SlopeError> {
    check(times, values)?;
    let mut slopes = Vec::with_capacity(times.len() * times.len() / 2);
    for (i, (t, y)) in times.iter().zip(values).enumerate() {
        for (earlier_t, earlier_y) in times[..i].iter().zip(values) {
            let apart = t - earlier_t;
            if apart.abs() > 0.0 {
                slopes.push((y - earlier_y) / apart);
            }
        }
    }
    let estimate = median(&slopes).ok_or(SlopeError::OneTime)?;
    let slopes = sorted(&slopes);
    let count = slopes.len() as f64;
    let z = student::normal_critical(confidence);
    let half = z * (kendall_variance(values)).sqrt();
    let low = whole(((count - half) / 2.0).round().max(1.0)) - 1;
    let high = whole(((count + half) / 2.0).round()).min(slopes.len() - 1);
    Ok(Interval { estimate, low: slopes[low], high: slopes[high] })
}

fn check(times: &[f64], values: &[f64]) -> Result<(), SlopeError> {
    if times.len() != values.len() {
        return Err(SlopeError::Lengths { times: times.len(), values: values.len() });
    }
    if times.len() < 3 {
        return Err(SlopeError::TooFew { points: times.len() });
    }
    if times.iter().all(|t| t.total_cmp(&times[0]).is_eq()) {
        return Err(SlopeError::OneTime);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // 1, 3, 2 at 0, 1, 2: slope 1/2, residuals -1/2, 1, -1/2, so s^2 = 3/2 on 1 df.
        let got = line(&[0.0, 1.0, 2.0], &[1.0, 3.0, 2.0]).expect("three points");
        assert!((got.slope - 0.5).abs() < 1e-15 && (got.intercept - 1.5).abs() < 1e-15);
        assert!((got.residual_sd - 1.5_f64.sqrt()).abs() < 1e-15);
        assert!((got.slope_se - 0.75_f64.sqrt()).abs() < 1e-15);
        let interval = got.slope_interval(0.95);
        assert!((interval.high - 0.5 - 12.706_204_736 * 0.75_f64.sqrt()).abs() < 1e-8);
    }

    #[test]
    fn theil_sen_shrugs_at_one_wild_point() {
        let times: Vec<f64> = (0..9).map(f64::from).collect();
        let mut values: Vec<f64> = times.iter().map(|t| 3.0 + 2.0 * t).collect();
        values[4] = 500.0;
        let got = theil_sen(&times, &values, 0.95).expect("nine points");
        assert!((got.estimate - 2.0).abs() < 1e-12);
        assert!(got.low <= 2.0 && got.high >= 2.0);
    }

    #[test]
    fn what_has_no_line_is_refused() {
        assert_eq!(line(&[1.0], &[1.0, 2.0]), Err(SlopeError::Lengths { times: 1, values: 2 }));
        assert_eq!(line(&[1.0, 2.0], &[1.0, 2.0]), Err(SlopeError::TooFew { points: 2 }));
        assert_eq!(theil_sen(&[1.0; 3], &[1.0, 2.0, 3.0], 0.95), Err(SlopeError::OneTime));
    }
}
