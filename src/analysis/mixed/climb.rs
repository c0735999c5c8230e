//! Down to the least value of a smooth function of a few parameters, without its derivatives.
//!
//! Newton's method with differences of higher order, damped until each step descends. It knows
//! nothing of models.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// Half the width of the differences, in parameters of about 1.
const STEP: f64 = 1e-3;
/// Most steps: a dozen is usual.
const MOST_STEPS: usize = 200;
/// A gain that is expected to be smaller than this is none: -2 log-likelihoods are known no better.
const LEAST_GAIN: f64 = 1e-11;
/// Longest step: factors of 2 or 3 are usual.
const LONGEST: f64 = 2.0;

/// Gradient and Hessian of `value` at a place.
pub(super) struct Slopes {
    pub(super) gradient: DVector<f64>,
    pub(super) hessian: DMatrix<f64>,
}

/// First and second differences of fourth order (the mixed ones of second).
pub(super) fn slopes(at: &[f64], value: impl Fn(&[f64]) -> f64) -> Slopes {
    let n = at.len();
    let width: Vec<f64> = at.iter().map(|x| STEP * x.abs().max(1.0)).collect();
    let moved = |steps: &[(usize, f64)]| {
        let mut place = at.to_vec();
        for &(i, steps) in steps {
            place[i] += steps * width[i];
        }
        value(&place)
    };
    let here = value(at);
    let mut gradient = DVector::zeros(n);
    let mut hessian = DMatrix::zeros(n, n);
    for i in 0..n {
        let at = |steps: f64| moved(&[(i, steps)]);
        let (near, far) = ([at(1.0), at(-1.0)], [at(2.0), at(-2.0)]);
        gradient[i] = (8.0 * (near[0] - near[1]) - (far[0] - far[1])) / (12.0 * width[i]);
        hessian[(i, i)] = (16.0 * (near[0] + near[1]) - (far[0] + far[1]) - 30.0 * here)
            / (12.0 * width[i] * width[i]);
        for j in 0..i {
            let at = |a: f64, b: f64| moved(&[(i, a), (j, b)]);
            let mixed = at(1.0, 1.0) - at(1.0, -1.0) - at(-1.0, 1.0) + at(-1.0, -1.0);
            hessian[(i, j)] = mixed / (4.0 * width[i] * width[j]);
            hessian[(j, i)] = hessian[(i, j)];
        }
    }
    Slopes { gradient, hessian }
}

/// The place of the least value near `start`; `None` where the way does not end.
pub(super) fn climb(start: &[f64], value: impl Fn(&[f64]) -> f64) -> Option<Vec<f64>> {
    let mut at = start.to_vec();
    let mut here = value(&at);
    for _ in 0..MOST_STEPS {
        if !here.is_finite() {
            return None;
        }
        let Slopes { gradient, hessian } = slopes(&at, &value);
        let step = downhill(&gradient, hessian);
        let expected = -gradient.dot(&step) / 2.0;
        let longest = step.amax();
        let mut share = if longest > LONGEST { LONGEST / longest } else { 1.0 };
        if expected < LEAST_GAIN {
            return Some(at);
        }
        let found = loop {
            let place: Vec<f64> = at.iter().zip(&step).map(|(x, s)| x + share * s).collect();
            let there = value(&place);
            if there < here {
                break Some((place, there));
            }
            share /= 2.0;
            if share < 1e-6 {
                break None;
            }
        };
        // Nothing lower along a way that goes down: the rest is rounding.
        let Some((place, there)) = found else { return Some(at) };
        (at, here) = (place, there);
    }
    None
}

/// Newton's step with every curvature made positive.
fn downhill(gradient: &DVector<f64>, hessian: DMatrix<f64>) -> DVector<f64> {
    let eigen = SymmetricEigen::new(hessian);
    let flattest = 1e-9 * eigen.eigenvalues.amax().max(1e-6);
    let along = eigen.eigenvectors.transpose() * gradient;
    let step = along.zip_map(&eigen.eigenvalues, |g, curve| -g / curve.abs().max(flattest));
    eigen.eigenvectors * step
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rosenbrock's valley (1960): least at (1, 1).
    #[test]
    fn through_a_curved_valley() {
        let valley = |x: &[f64]| 100.0 * (x[1] - x[0] * x[0]).powi(2) + (1.0 - x[0]).powi(2);
        let got = climb(&[-1.2, 1.0], valley).expect("it ends");
        assert!((got[0] - 1.0).abs() < 1e-5 && (got[1] - 1.0).abs() < 1e-5, "{got:?}");
    }
}
