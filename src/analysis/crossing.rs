//! Where two lines cross, and how surely: the minute from which the other hold is the faster one.
//!
//! Knows two samples of points, a line each, one spread about both.

use super::slope::{Line, SlopeError, line};
use super::student;

/// Two lines against each other; differences are a - b.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lines {
    /// The line of a.
    pub a: Line,
    /// The line of b.
    pub b: Line,
    /// Slope of a - slope of b.
    pub slopes_apart: f64,
    /// Its standard error.
    pub slopes_apart_se: f64,
    /// Residual degrees of freedom of both together.
    pub df: f64,
    /// Where they cross; none where they are parallel.
    pub crossing: Option<f64>,
    /// What is sure about the place where they cross.
    pub sure: Sure,
}

/// What is sure about the place where two lines cross.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sure {
    /// It lies between these.
    Between {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// It does not lie between these: the slopes may be equal.
    Outside {
        /// Lower end of what is ruled out.
        low: f64,
        /// Upper end of what is ruled out.
        high: f64,
    },
    /// Nothing: the lines may cross anywhere.
    Nothing,
}

/// Fits a line to each sample and finds where they cross.
///
/// `times`, `values`: of each sample, one a point; three or more each.
/// ```text
/// sure: every x with (A + B x)^2 <= t^2 (v_A + 2 c x + v_B x^2)
/// ```
/// with A + B x the lines' difference, v and c its covariances from one residual variance, and t at
/// `confidence` on n_a + n_b - 4 degrees of freedom.
/// # Source
/// Fieller (1954) J. Royal Statistical Society B 16:175.
/// # Errors
/// [`SlopeError`] of either sample.
pub fn lines(
    a: (&[f64], &[f64]),
    b: (&[f64], &[f64]),
    confidence: f64,
) -> Result<Lines, SlopeError> {
    let (line_a, line_b) = (line(a.0, a.1)?, line(b.0, b.1)?);
    let df = (a.0.len() + b.0.len() - 4) as f64;
    let squares = |line: &Line, n: usize| line.residual_sd.powi(2) * (n - 2) as f64;
    let variance = (squares(&line_a, a.0.len()) + squares(&line_b, b.0.len())) / df;
    let (of_a, of_b) = (shape(a.0), shape(b.0));
    let level = line_a.intercept - line_b.intercept;
    let slope = line_a.slope - line_b.slope;
    let v_level = variance * (of_a.level + of_b.level);
    let v_slope = variance * (of_a.slope + of_b.slope);
    let both = variance * (of_a.both + of_b.both);
    let t = student::critical(confidence, df);
    // A quadratic in x: at most 0 where the crossing may lie.
    let square = slope * slope - t * t * v_slope;
    let middle = level * slope - t * t * both;
    let constant = level * level - t * t * v_level;
    let discriminant = middle * middle - square * constant;
    let ends = |root: f64| {
        let (one, other) = ((-middle - root) / square, (-middle + root) / square);
        (one.min(other), one.max(other))
    };
    let sure = if square > 0.0 {
        let (low, high) = ends(discriminant.max(0.0).sqrt());
        Sure::Between { low, high }
    } else if square < 0.0 && discriminant > 0.0 {
        let (low, high) = ends(discriminant.sqrt());
        Sure::Outside { low, high }
    } else {
        Sure::Nothing
    };
    Ok(Lines {
        a: line_a,
        b: line_b,
        slopes_apart: slope,
        slopes_apart_se: v_slope.sqrt(),
        df,
        crossing: (slope.abs() > 0.0).then(|| -level / slope),
        sure,
    })
}

/// Covariance of a line's level and slope over the residual variance.
struct Shape {
    level: f64,
    slope: f64,
    both: f64,
}

fn shape(times: &[f64]) -> Shape {
    let n = times.len() as f64;
    let mean = times.iter().sum::<f64>() / n;
    let spread: f64 = times.iter().map(|x| (x - mean) * (x - mean)).sum();
    Shape { level: 1.0 / n + mean * mean / spread, slope: 1.0 / spread, both: -mean / spread }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_plainly_cross() {
        let times: Vec<f64> = (0..10).map(f64::from).collect();
        let wobble = |i: usize| if i.is_multiple_of(2) { 0.5 } else { -0.5 };
        let a: Vec<f64> = (0..10).map(|i| 200.0 + 3.0 * i as f64 + wobble(i)).collect();
        let b: Vec<f64> = (0..10).map(|i| 212.0 + wobble(i + 1)).collect();
        let got = lines((&times, &a), (&times, &b), 0.95).expect("ten points each");
        let crossing = got.crossing.expect("not parallel");
        assert!((crossing - 4.0).abs() < 0.2, "{got:?}");
        let Sure::Between { low, high } = got.sure else { panic!("{got:?}") };
        assert!(low < crossing && crossing < high && high - low < 1.5, "{got:?}");
        // At both ends the difference is t standard errors off 0, by another route.
        let t = student::critical(0.95, got.df);
        let variance = (8.0 * got.a.residual_sd.powi(2) + 8.0 * got.b.residual_sd.powi(2)) / 16.0;
        for x in [low, high] {
            let apart = got.a.intercept - got.b.intercept + got.slopes_apart * x;
            let se = (2.0 * variance * (0.1 + (x - 4.5).powi(2) / 82.5)).sqrt();
            assert!((apart.abs() - t * se).abs() < 1e-9, "{apart} {se}");
        }
    }

    #[test]
    fn parallel_lines_may_cross_anywhere_or_only_far_off() {
        let times = [0.0, 1.0, 2.0, 3.0];
        let a = [200.0, 201.0, 199.0, 200.0];
        let same = lines((&times, &a), (&times, &a), 0.95).expect("four points each");
        assert_eq!((same.crossing, same.sure), (None, Sure::Nothing));
        let b = a.map(|y| y + 40.0);
        let far = lines((&times, &a), (&times, &b), 0.95).expect("four points each");
        let Sure::Outside { low, high } = far.sure else { panic!("{far:?}") };
        assert!(low < 0.0 && high > 3.0, "{far:?}");
    }
}
