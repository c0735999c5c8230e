//! The scaled complementary error function, for normal tails too small for a double.
//!
//! Knows a number of 0 or more.

use std::f64::consts::PI;

/// Where the library's tail gives way to the fraction: both are good to 14 digits about here.
const FAR: f64 = 5.0;

/// Partial quotients of the fraction: at [`FAR`] no digit moves any more.
const QUOTIENTS: u32 = 60;

/// exp(x^2) erfc(x), for x >= 0; checked to the tolerance of the test below.
///
/// ```text
/// 1 / sqrt(pi) / (x + (1/2) / (x + (2/2) / (x + (3/2) / (x + ...))))
/// ```
/// far out, the library's erfc near 0.
/// # Source
/// Abramowitz & Stegun 7.1.14 (from memory).
pub(super) fn erfcx(x: f64) -> f64 {
    if x < FAR {
        return libm::exp(x * x) * libm::erfc(x);
    }
    let mut fraction = x;
    for i in (1..=QUOTIENTS).rev() {
        fraction = x + f64::from(i) / 2.0 / fraction;
    }
    1.0 / (PI.sqrt() * fraction)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From memory: erfc(1/2) and erfc(1), and the asymptotic
    /// series far out.
    #[test]
    fn near_and_far() {
        for (x, expect) in
            [(0.0, 1.0), (0.5, 0.615_690_344_192_925_9), (1.0, 0.427_583_576_155_807)]
        {
            assert!((erfcx(x) / expect - 1.0).abs() < 2e-15, "{x}: {}", erfcx(x));
        }
        let x = 100.0_f64;
        let series =
            (1.0 - 1.0 / (2.0 * x * x) + 3.0 / (4.0 * libm::pow(x, 4.0))) / (x * PI.sqrt());
        assert!((erfcx(x) / series - 1.0).abs() < 1e-11);
        assert!(erfcx(1e200) > 0.0);
    }

    #[test]
    fn both_ways_meet() {
        let (below, above) = (erfcx(FAR - 1e-13), erfcx(FAR));
        assert!((below / above - 1.0).abs() < 2e-13, "{below} {above}");
    }
}
