//! Standardised effects, each by its name: what a difference is in units of a spread.
//!
//! Knows two samples of finite values in one unit; an effect has none. Negative: a is smaller.

use statrs::function::gamma::ln_gamma;

use super::describe::{mean, sd};
use super::naive::pooled;
use super::{Interval, noncentral};

/// Why there is no effect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum EffectError {
    /// Matched samples that are not of one length.
    #[error("{a} values of one sample for {b} of the other")]
    Lengths {
        /// Values of a.
        a: usize,
        /// Values of b.
        b: usize,
    },
    /// A sample has fewer than three values.
    #[error("{a} and {b} values: a standardised effect needs 3 of each")]
    TooFew {
        /// Values of a.
        a: usize,
        /// Values of b.
        b: usize,
    },
    /// Nothing varies, so there is no unit.
    #[error("the values do not vary")]
    NoSpread,
}

/// Effects of matched samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Matched {
    /// Mean difference over the sd of the differences, with its interval.
    pub d_z: Interval,
    /// Mean difference over the mean of both sds.
    pub d_av: f64,
    /// Mean difference over the root mean square of both sds.
    pub d_av_rms: f64,
    /// d_z put on the scale of the values: d_z sqrt(2 (1 - r)).
    pub d_rm: f64,
    /// d_z without its bias in small samples.
    pub g_z: f64,
}

/// Effects of independent samples.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Independent {
    /// Difference of means over the pooled sd, with its interval.
    pub d_s: Interval,
    /// d_s without its bias in small samples.
    pub g_s: f64,
    /// Difference of means over the sd of b.
    pub glass_b: f64,
}

/// Effects of matched samples, value for value.
///
/// ```text
/// d_z = mean(a - b) / sd(a - b);  d_av = mean(a - b) / ((sd a + sd b) / 2)
/// ```
/// The interval of d_z turns the noncentral t of sqrt(n) d_z round.
/// # Source
/// Lakens (2013) Frontiers in Psychology 4:863; d_av: Cumming (2012) Understanding the New
/// Statistics.
/// # Errors
/// [`EffectError`].
pub fn matched(a: &[f64], b: &[f64], confidence: f64) -> Result<Matched, EffectError> {
    if a.len() != b.len() {
        return Err(EffectError::Lengths { a: a.len(), b: b.len() });
    }
    let (sa, sb) = spreads(a, b)?;
    let apart: Vec<f64> = a.iter().zip(b).map(|(x, y)| x - y).collect();
    let (difference, s) = (mean(&apart), sd(&apart));
    let (Some(difference), Some(s)) = (difference, s.filter(|&s| s > 0.0)) else {
        return Err(EffectError::NoSpread);
    };
    let n = a.len() as f64;
    let d_z = scaled(noncentral::interval(difference / s * n.sqrt(), n - 1.0, confidence), n);
    let r = (sa * sa + sb * sb - s * s) / (2.0 * sa * sb);
    Ok(Matched {
        d_z,
        d_av: difference / f64::midpoint(sa, sb),
        d_av_rms: difference / (f64::midpoint(sa * sa, sb * sb)).sqrt(),
        d_rm: d_z.estimate * (2.0 * (1.0 - r)).sqrt(),
        g_z: small_sample_factor(n - 1.0) * d_z.estimate,
    })
}

/// Effects of independent samples.
///
/// ```text
/// d_s = (mean a - mean b) / pooled sd;  Glass's delta = (mean a - mean b) / sd b
/// ```
/// # Source
/// Lakens (2013) Frontiers in Psychology 4:863.
/// # Errors
/// [`EffectError`].
pub fn independent(a: &[f64], b: &[f64], confidence: f64) -> Result<Independent, EffectError> {
    let (_, sb) = spreads(a, b)?;
    let test = pooled(a, b).ok_or(EffectError::NoSpread)?;
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let weight = na * nb / (na + nb);
    let d_s = scaled(noncentral::interval(test.t(), test.df, confidence), weight);
    Ok(Independent {
        d_s,
        g_s: small_sample_factor(test.df) * d_s.estimate,
        glass_b: test.difference / sb,
    })
}

/// Hedges's J, by which a standardised effect on `df` degrees of freedom is too large.
///
/// ```text
/// J = Gamma(df/2) / (sqrt(df/2) Gamma((df-1)/2))
/// ```
/// # Source
/// Hedges (1981) J. Educational Statistics 6:107.
pub fn small_sample_factor(df: f64) -> f64 {
    let half = df / 2.0;
    libm::exp(ln_gamma(half) - ln_gamma(half - 0.5)) / half.sqrt()
}

fn scaled(t: Interval, weight: f64) -> Interval {
    let by = weight.sqrt();
    Interval { estimate: t.estimate / by, low: t.low / by, high: t.high / by }
}

fn spreads(a: &[f64], b: &[f64]) -> Result<(f64, f64), EffectError> {
    if a.len() < 3 || b.len() < 3 {
        return Err(EffectError::TooFew { a: a.len(), b: b.len() });
    }
    match (sd(a), sd(b)) {
        (Some(sa), Some(sb)) if sa > 0.0 && sb > 0.0 => Ok((sa, sb)),
        _ => Err(EffectError::NoSpread),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_effect() {
        let lengths = EffectError::Lengths { a: 2, b: 3 };
        assert_eq!(matched(&[1.0; 2], &[1.0; 3], 0.95), Err(lengths));
        assert_eq!(matched(&[1.0; 4], &[2.0; 4], 0.95), Err(EffectError::NoSpread));
        let (a, b) = ([1.0, 2.0, 4.0], [2.0, 3.0, 5.0]);
        assert_eq!(matched(&a, &b, 0.95), Err(EffectError::NoSpread));
        let few = EffectError::TooFew { a: 2, b: 3 };
        assert_eq!(independent(&a[..2], &b, 0.95), Err(few));
    }
}
