//! Degrees of freedom of a combination of fixed effects.

use super::climb::{Slopes, slopes};
use super::{Fit, Likelihood};
use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// A curvature below this share of the largest is none: the parameter lies on its edge.
const FLAT_SHARE: f64 = 1e-7;

/// Satterthwaite's degrees of freedom of l' beta, at most those of the residuals.
pub(super) fn df(fit: &Fit, l: &DVector<f64>) -> f64 {
    let cross = &fit.mixed.cross;
    let (n, p, sigma) = (cross.rows() as f64, cross.fixed() as f64, fit.sigma);
    let most = n - p;
    let restricted = fit.mixed.likelihood == Likelihood::Restricted;
    let rows = if restricted { n - p } else { n };
    let parameters = fit.theta.len() + 1;

    // -2 log-likelihood at the fitted sigma, and its parts.
    let deviance = |theta: &[f64]| {
        cross.solve(theta).map_or(f64::NAN, |solved| {
            let parts = solved.criterion;
            let logs = if restricted { parts.log_l + parts.log_rx } else { parts.log_l };
            logs + parts.r_squared / (sigma * sigma)
        })
    };
    let squares = |theta: &[f64]| cross.solve(theta).map_or(f64::NAN, |s| s.criterion.r_squared);
    let relative = |theta: &[f64]| {
        cross.solve(theta).map_or(f64::NAN, |s| (l.transpose() * s.fixed_inverse() * l)[0])
    };
    let curved = slopes(&fit.theta, deviance).hessian;
    let Slopes { gradient: of_squares, .. } = slopes(&fit.theta, squares);
    let Slopes { gradient: of_variance, .. } = slopes(&fit.theta, relative);

    let r_squared = fit.solved.criterion.r_squared;
    let last = parameters - 1;
    let mut hessian = DMatrix::zeros(parameters, parameters);
    let mut gradient = DVector::zeros(parameters);
    hessian.view_mut((0, 0), (last, last)).copy_from(&curved);
    for i in 0..last {
        hessian[(i, last)] = -2.0 * of_squares[i] / sigma.powi(3);
        hessian[(last, i)] = hessian[(i, last)];
        gradient[i] = sigma * sigma * of_variance[i];
    }
    hessian[(last, last)] = -2.0 * rows / (sigma * sigma) + 6.0 * r_squared / sigma.powi(4);
    let variance = sigma * sigma * relative(&fit.theta);
    gradient[last] = 2.0 * variance / sigma;

    if hessian.iter().chain(gradient.iter()).any(|x| !x.is_finite()) {
        return most;
    }
    let eigen = SymmetricEigen::new(hessian);
    let flattest = FLAT_SHARE * eigen.eigenvalues.amax();
    let along = eigen.eigenvectors.transpose() * &gradient;
    let doubt: f64 = along
        .iter()
        .zip(eigen.eigenvalues.iter())
        .filter(|(_, curve)| **curve > flattest)
        .map(|(g, curve)| 2.0 * g * g / curve)
        .sum();
    let df = 2.0 * variance * variance / doubt;
    if df.is_finite() { df.clamp(1.0, most) } else { most }
}
