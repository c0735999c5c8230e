//! Student's noncentral t: the interval of a standardised effect, and the power of a t test.
//!
//! Knows a t, its degrees of freedom and a noncentrality.

use std::f64::consts::FRAC_1_SQRT_2;

use statrs::function::gamma::ln_gamma;

use super::{Interval, bisect};

/// P(T <= t) of the noncentral t: the mean of a normal tail over the residual sd.
///
/// `df`: degrees of freedom, above 0; `delta`: the true difference in standard errors.
/// ```text
/// integral of Phi(t s - delta) over the density of s = chi_df / sqrt(df)
/// ```
/// Trapezoids over ln s, where the integrand is smooth and dies out on both sides: checked to 1e-11.
/// # Source
/// Johnson, Kotz & Balakrishnan (1995) Continuous Univariate Distributions 2, 31 (from memory).
pub fn below(t: f64, df: f64, delta: f64) -> f64 {
    let half = df / 2.0;
    let log_scale = std::f64::consts::LN_2 + half * libm::log(half) - ln_gamma(half);
    let step = (0.1 / df.sqrt()).min(0.3 / (1.0 + t.abs()));
    let at = |u: f64| {
        let log_density = log_scale + df * u - half * libm::exp(2.0 * u);
        let tail = libm::erfc((delta - t * libm::exp(u)) * FRAC_1_SQRT_2) / 2.0;
        libm::exp(log_density) * tail
    };
    let mut sum = at(0.0);
    for direction in [1.0, -1.0] {
        let mut u = direction * step;
        // The density falls on both sides of s = 1, first where it is a normal's tail.
        while log_scale + df * u - half * libm::exp(2.0 * u) > -45.0 {
            sum += at(u);
            u += direction * step;
        }
    }
    sum * step
}

/// The noncentralities that leave `t` at the edges of `confidence`: its interval, about the
/// estimate `t`.
///
/// # Source
/// Cumming & Finch (2001) Educational and Psychological Measurement 61:532.
pub(super) fn interval(t: f64, df: f64, confidence: f64) -> Interval {
    let tail = (1.0 - confidence) / 2.0;
    Interval {
        estimate: t,
        low: noncentrality(t, df, 1.0 - tail),
        high: noncentrality(t, df, tail),
    }
}

/// The noncentrality under which P(T <= t) is `level`, which falls in delta.
fn noncentrality(t: f64, df: f64, level: f64) -> f64 {
    let far = 10.0 + t.abs();
    bisect::turn(t - far, t + far, |delta| below(t, df, delta) > level)
}

#[cfg(test)]
mod tests {
    use super::super::student;
    use super::*;

    #[test]
    fn without_noncentrality_it_is_students_t() {
        for df in [1.0, 3.0, 11.0, 400.0] {
            for t in [-4.0, -0.5, 0.0, 1.0, 6.0] {
                let (got, expect) = (below(t, df, 0.0), student::below(t, df));
                assert!((got - expect).abs() < 1e-11, "{t} on {df}: {got} for {expect}");
            }
        }
    }
}
