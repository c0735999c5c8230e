//! The climb to the top of an ex-Gaussian's likelihood, with exact first and second derivatives.
//!
//! Knows times of sd 1 about 0. Every step raises the likelihood or is not taken.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use nalgebra::{Matrix3, Vector3};

use super::super::erfcx::erfcx;
use super::super::normal;
use super::ExGaussian;

/// Most steps of a climb; from a fair start ten are enough.
const STEPS: usize = 200;

/// The top is reached when a Newton step would raise the log-likelihood by less than this.
const LEAST_RISE: f64 = 1e-12;

/// sigma or tau this small is past every edge: the climb ends.
const VANISHED: f64 = 1e-6;

/// Where a climb ended.
pub(super) struct Point {
    pub(super) law: ExGaussian,
    pub(super) log_likelihood: f64,
    /// Whether the top was reached.
    pub(super) settled: bool,
    /// Second derivatives in mu, sigma, tau.
    hessian: Matrix3<f64>,
}

impl Point {
    /// From the inverse of the observed information; `None` where it is no top.
    pub(super) fn standard_errors(&self) -> Option<[f64; 3]> {
        let covariance = (-self.hessian).cholesky()?.inverse();
        Some([0, 1, 2].map(|i| covariance[(i, i)].sqrt()))
    }
}

/// Newton's method over mu, ln sigma, ln tau, with a ridge wherever the plain step is no climb.
pub(super) fn climb(times: &[f64], start: ExGaussian) -> Point {
    let mut law = start;
    let mut here = Slope::of(times, &law);
    let mut ridge = 0.0;
    for _ in 0..STEPS {
        if law.sigma < VANISHED || law.tau < VANISHED {
            break;
        }
        let (gradient, hessian) = here.by_logarithms(&law);
        let scale = hessian.diagonal().abs().max().max(1.0);
        let Some(factor) = (Matrix3::identity() * (ridge * scale) - hessian).cholesky() else {
            ridge = f64::max(2.0 * ridge, 1e-3);
            continue;
        };
        let step = factor.solve(&gradient);
        if gradient.dot(&step) < LEAST_RISE {
            return here.ended(law, ridge <= 1.0);
        }
        // No more than e-fold at once: beyond it the parabola says nothing.
        let step = step * (1.0 / step.amax()).min(1.0);
        let next = ExGaussian {
            mu: law.mu + step[0],
            sigma: law.sigma * libm::exp(step[1]),
            tau: law.tau * libm::exp(step[2]),
        };
        let there = Slope::of(times, &next);
        if there.log_likelihood > here.log_likelihood {
            (law, here) = (next, there);
            ridge = if ridge < 1e-4 { 0.0 } else { ridge / 8.0 };
        } else if gradient.dot(&step) < 1e-9 * (1.0 + here.log_likelihood.abs()) {
            // What is left of the rise is below the digits of the sum.
            return here.ended(law, true);
        } else {
            ridge = f64::max(4.0 * ridge, 1e-3);
        }
    }
    here.ended(law, false)
}

/// Log-likelihood with its derivatives in mu, sigma, tau.
struct Slope {
    log_likelihood: f64,
    gradient: Vector3<f64>,
    hessian: Matrix3<f64>,
}

impl Slope {
    /// ```text
    /// l = -ln tau + (mu - x) / tau + sigma^2 / (2 tau^2) + ln Phi(z),  h = phi(z) / Phi(z)
    /// ```
    /// so that each derivative of ln Phi(z) is h dz, and of h is -h (z + h) dz.
    fn of(times: &[f64], law: &ExGaussian) -> Slope {
        let ExGaussian { mu, sigma, tau } = *law;
        let (mut log_likelihood, mut gradient) = (0.0, Vector3::zeros());
        let mut hessian = Matrix3::zeros();
        for &x in times {
            let apart = (x - mu) / sigma;
            let z = apart - sigma / tau;
            let h = mills(z);
            let bend = -h * (z + h);
            let dz = Vector3::new(-1.0 / sigma, -apart / sigma - 1.0 / tau, sigma / (tau * tau));
            let (t2, t3) = (tau * tau, tau * tau * tau);
            log_likelihood += law.log_density(x);
            gradient += dz * h;
            gradient[0] += 1.0 / tau;
            gradient[1] += sigma / t2;
            gradient[2] += -1.0 / tau + (x - mu) / t2 - sigma * sigma / t3;
            hessian += dz * dz.transpose() * bend;
            hessian[(0, 1)] += h / (sigma * sigma);
            hessian[(0, 2)] -= 1.0 / t2;
            hessian[(1, 1)] += 1.0 / t2 + 2.0 * h * apart / (sigma * sigma);
            hessian[(1, 2)] += h / t2 - 2.0 * sigma / t3;
            hessian[(2, 2)] += 1.0 / t2 - 2.0 * (x - mu) / t3 + 3.0 * sigma * sigma / (t2 * t2)
                - 2.0 * h * sigma / t3;
        }
        hessian.fill_lower_triangle_with_upper_triangle();
        Slope { log_likelihood, gradient, hessian }
    }

    /// The derivatives in mu, ln sigma, ln tau.
    fn by_logarithms(&self, law: &ExGaussian) -> (Vector3<f64>, Matrix3<f64>) {
        let by = Vector3::new(1.0, law.sigma, law.tau);
        let gradient = self.gradient.component_mul(&by);
        let mut hessian = self.hessian.component_mul(&(by * by.transpose()));
        hessian[(1, 1)] += gradient[1];
        hessian[(2, 2)] += gradient[2];
        (gradient, hessian)
    }

    fn ended(self, law: ExGaussian, settled: bool) -> Point {
        Point { law, log_likelihood: self.log_likelihood, settled, hessian: self.hessian }
    }
}

/// phi(z) / Phi(z), without loss far below 0.
fn mills(z: f64) -> f64 {
    if z < 0.0 {
        (2.0 / PI).sqrt() / erfcx(-z * FRAC_1_SQRT_2)
    } else {
        normal::density(z) / normal::below(z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_by_small_steps() {
        let times = [-0.9, -0.4, -0.1, 0.2, 0.7, 2.6];
        let law = ExGaussian { mu: -0.6, sigma: 0.5, tau: 0.7 };
        let here = Slope::of(&times, &law);
        let moved = |i: usize, by: f64| {
            let mut law = law;
            *[&mut law.mu, &mut law.sigma, &mut law.tau][i] += by;
            Slope::of(&times, &law)
        };
        for i in 0..3 {
            let (up, down) = (moved(i, 1e-5), moved(i, -1e-5));
            let slope = (up.log_likelihood - down.log_likelihood) / 2e-5;
            assert!((slope - here.gradient[i]).abs() < 1e-7, "{i}");
            let bend = (up.gradient - down.gradient) / 2e-5;
            for j in 0..3 {
                assert!((bend[j] - here.hessian[(i, j)]).abs() < 1e-6, "{i} {j}");
            }
        }
    }
}
