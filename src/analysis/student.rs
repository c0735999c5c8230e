//! Student's t: tails and critical values, through the incomplete beta function.
//!
//! Knows a t and its degrees of freedom; `df` may be any positive number.

use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::beta::beta_reg;

/// P(|T| >= |t|).
///
/// ```text
/// I_x(df / 2, 1 / 2),  x = df / (df + t^2)
/// ```
/// # Source
/// Abramowitz & Stegun 26.7.1 (from memory).
pub fn two_sided_p(t: f64, df: f64) -> f64 {
    beyond(t.abs(), df, 1)
}

/// P(T < t).
pub fn below(t: f64, df: f64) -> f64 {
    let half = two_sided_p(t, df) / 2.0;
    if t < 0.0 { half } else { 1.0 - half }
}

/// The t whose interval -t..t holds `confidence` (in 0..1).
pub fn critical(confidence: f64, df: f64) -> f64 {
    root_of_tail(1.0 - confidence, |t| two_sided_p(t, df))
}

/// The z whose interval -z..z holds `confidence` of a standard normal.
pub fn normal_critical(confidence: f64) -> f64 {
    Normal::standard().inverse_cdf(0.5 + confidence / 2.0)
}

/// P(R > r) of the length R of a vector of `dimensions` independent normals over one common
/// chi_df / sqrt(df): the radial part of a spherical t.
///
/// ```text
/// R^2 / k ~ F(k, df),  P(R > r) = I_x(df / 2, k / 2),  x = df / (df + r^2)
/// ```
pub(super) fn beyond(r: f64, df: f64, dimensions: usize) -> f64 {
    if !r.is_finite() {
        return 0.0;
    }
    // df / (df + r^2) without the loss of digits (and of range) when r is large
    let x = 1.0 / (1.0 + r * r / df);
    match dimensions {
        2 => libm::pow(x, df / 2.0),
        k => beta_reg(df / 2.0, k as f64 / 2.0, x),
    }
}

/// The c > 0 at which a falling tail(c), 1 at 0, is `alpha`: bisection until no digit moves.
pub(super) fn root_of_tail(alpha: f64, tail: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 4.0);
    while tail(high) > alpha && high < 1e12 {
        low = high;
        high *= 2.0;
    }
    // Regula falsi on the logarithm, Illinois form; a bisection whenever it leaves the bracket.
    let lack = |c: f64| libm::log(tail(c).max(f64::MIN_POSITIVE)) - libm::log(alpha);
    let (mut at_low, mut at_high) = (lack(low), lack(high));
    for _ in 0..200 {
        if high - low <= 1e-13 * high {
            break;
        }
        let cut = low + (high - low) * at_low / (at_low - at_high);
        let c = if cut > low && cut < high { cut } else { f64::midpoint(low, high) };
        let at = lack(c);
        if at.abs() < 1e-14 {
            return c;
        }
        if at > 0.0 {
            (low, at_low) = (c, at);
            at_high /= 2.0;
        } else {
            (high, at_high) = (c, at);
            at_low /= 2.0;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed t tables (two-sided 5 % and 1 %).
    #[test]
    fn the_printed_table() {
        for (df, t95, t99) in [
            (1.0, 12.706, 63.657),
            (2.0, 4.303, 9.925),
            (5.0, 2.571, 4.032),
            (10.0, 2.228, 3.169),
            (30.0, 2.042, 2.750),
            (120.0, 1.980, 2.617),
        ] {
            assert!((critical(0.95, df) - t95).abs() < 6e-4, "df {df}");
            assert!((critical(0.99, df) - t99).abs() < 6e-4, "df {df}");
        }
    }

    #[test]
    fn the_normals_quantile() {
        assert!((normal_critical(0.95) - 1.959_963_984_540_054).abs() < 1e-9);
    }

    #[test]
    fn one_degree_of_freedom_is_cauchy() {
        for t in [-30.0, -1.0, -0.2, 0.0, 0.5, 3.0] {
            let expect = 0.5 + f64::atan(t) / std::f64::consts::PI;
            assert!((below(t, 1.0) - expect).abs() < 1e-12, "{t}");
        }
    }

    #[test]
    fn a_critical_value_gives_its_level_back() {
        for df in [2.0, 3.5, 9.0, 40.0] {
            for confidence in [0.5, 0.9, 0.95, 0.999] {
                let t = critical(confidence, df);
                assert!((two_sided_p(t, df) - (1.0 - confidence)).abs() < 1e-12);
            }
        }
    }
}
