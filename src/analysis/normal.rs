//! The standard normal: density, lower tail and quantile, to the last digits in both tails.
//!
//! Knows a z or a share; its maths is the same on every machine (libm).

use std::f64::consts::FRAC_1_SQRT_2;

use statrs::distribution::{ContinuousCDF, Normal};

/// 1 / sqrt(2 pi).
const DENSITY_AT_0: f64 = 0.398_942_280_401_432_7;

/// The density at z.
pub fn density(z: f64) -> f64 {
    DENSITY_AT_0 * libm::exp(-z * z / 2.0)
}

/// P(Z < z).
///
/// ```text
/// erfc(-z / sqrt 2) / 2
/// ```
pub fn below(z: f64) -> f64 {
    libm::erfc(-z * FRAC_1_SQRT_2) / 2.0
}

/// The z with P(Z < z) = `share`: infinite at 0 and 1, not a number outside 0..=1.
///
/// The library's value with one step of Newton; the upper half by symmetry, since 1 - share is
/// exact there.
pub fn quantile(share: f64) -> f64 {
    if !(0.0..=1.0).contains(&share) {
        return f64::NAN;
    }
    if share > 0.5 {
        return -quantile(1.0 - share);
    }
    let z = Normal::standard().inverse_cdf(share);
    let slope = density(z);
    if slope > 0.0 { z - (below(z) - share) / slope } else { z }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends() {
        assert!(quantile(0.0) == f64::NEG_INFINITY && quantile(1.0) == f64::INFINITY);
        assert!(quantile(1.1).is_nan() && quantile(f64::NAN).is_nan());
        assert!(quantile(0.5).abs() < 1e-16);
    }
}
