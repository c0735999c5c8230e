//! Trimmed means with their standard errors, by way of the winsorized variance.
//!
//! Knows samples of finite values in one unit, and the share cut from each end, in 0..0.5.

use super::describe::{mean, sorted, whole};
use super::naive::TTest;

/// Sample with floor(share n) values at each end replaced by the nearest one kept, in the order
/// given.
fn winsorized(sample: &[f64], share: f64) -> Vec<f64> {
    let in_order = sorted(sample);
    let cut = cut(sample.len(), share);
    match (in_order.get(cut), in_order.iter().rev().nth(cut)) {
        (Some(&low), Some(&high)) => sample.iter().map(|x| x.clamp(low, high)).collect(),
        _ => Vec::new(),
    }
}

/// Values cut from each end: floor(share n), with 0.3 x 10 taken as 3; never all of them.
fn cut(n: usize, share: f64) -> usize {
    whole(share * n as f64 + 1e-9).min(n.saturating_sub(1) / 2)
}

/// Variance, divisor n - 1, of the winsorized sample, in the unit squared; `None` below two values.
///
/// # Source
/// Tukey & McLaughlin (1963) Sankhya A 25:331.
pub fn winsorized_variance(sample: &[f64], share: f64) -> Option<f64> {
    covariance(&winsorized(sample, share), &winsorized(sample, share))
}

/// A trimmed mean with its standard error: a t test against 0 on h - 1 degrees of freedom, h the
/// count of values kept. `None` where fewer than two are kept.
///
/// ```text
/// se = s_w / ((1 - 2 share) sqrt n)
/// ```
/// with s_w^2 the winsorized variance.
/// # Source
/// Tukey & McLaughlin (1963) Sankhya A 25:331.
pub fn trimmed_t(sample: &[f64], share: f64) -> Option<TTest> {
    let kept = kept(sample.len(), share)?;
    let n = sample.len() as f64;
    Some(TTest {
        difference: trimmed(sample, share)?,
        standard_error: (winsorized_variance(sample, share)? / n).sqrt() / (1.0 - 2.0 * share),
        df: kept - 1.0,
    })
}

/// Trimmed mean of a less that of b, two samples each of its own variance. `None` where fewer
/// than two values of a sample are kept.
///
/// ```text
/// d = (n - 1) s_w^2 / (h (h - 1));  se = sqrt(d_a + d_b)
/// df = (d_a + d_b)^2 / (d_a^2 / (h_a - 1) + d_b^2 / (h_b - 1))
/// ```
/// # Source
/// Yuen (1974) Biometrika 61:165.
pub fn yuen(a: &[f64], b: &[f64], share: f64) -> Option<TTest> {
    let (ha, hb) = (kept(a.len(), share)?, kept(b.len(), share)?);
    let da = scaled(winsorized_variance(a, share)?, a.len(), ha);
    let db = scaled(winsorized_variance(b, share)?, b.len(), hb);
    Some(TTest {
        difference: trimmed(a, share)? - trimmed(b, share)?,
        standard_error: (da + db).sqrt(),
        df: (da + db) * (da + db) / (da * da / (ha - 1.0) + db * db / (hb - 1.0)),
    })
}

/// The same of matched samples: each sample is trimmed by itself, the pairs count in the
/// covariance. `None` where lengths differ or fewer than two are kept.
///
/// ```text
/// se = sqrt(d_a + d_b - 2 d_ab),  df = h - 1
/// ```
/// # Source
/// Wilcox (2012) Introduction to Robust Estimation and Hypothesis Testing, 3rd ed., 5.9.5.
pub fn yuen_matched(a: &[f64], b: &[f64], share: f64) -> Option<TTest> {
    let h = kept(a.len(), share)?;
    let (wa, wb) = (winsorized(a, share), winsorized(b, share));
    let variance = covariance(&wa, &wa)? + covariance(&wb, &wb)? - 2.0 * covariance(&wa, &wb)?;
    Some(TTest {
        difference: trimmed(a, share)? - trimmed(b, share)?,
        standard_error: scaled(variance, a.len(), h).sqrt(),
        df: h - 1.0,
    })
}

fn scaled(variance: f64, n: usize, kept: f64) -> f64 {
    (n as f64 - 1.0) * variance / (kept * (kept - 1.0))
}

fn kept(n: usize, share: f64) -> Option<f64> {
    let kept = n - 2 * cut(n, share);
    (kept >= 2).then_some(kept as f64)
}

fn trimmed(sample: &[f64], share: f64) -> Option<f64> {
    let cut = cut(sample.len(), share);
    mean(&sorted(sample)[cut..sample.len() - cut])
}

fn covariance(a: &[f64], b: &[f64]) -> Option<f64> {
    if a.len() != b.len() || a.len() < 2 {
        return None;
    }
    let (ma, mb) = (mean(a)?, mean(b)?);
    let products: f64 = a.iter().zip(b).map(|(x, y)| (x - ma) * (y - mb)).sum();
    Some(products / (a.len() as f64 - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // 1 2 3 4 100 becomes 2 2 3 4 4: mean 3, squares 1 + 1 + 0 + 1 + 1.
        let got = winsorized_variance(&[4.0, 1.0, 3.0, 2.0, 100.0], 0.2);
        assert_eq!(got, Some(1.0));
        let test = trimmed_t(&[4.0, 1.0, 3.0, 2.0, 100.0], 0.2).expect("three kept");
        assert!((test.difference - 3.0).abs() < 1e-15 && (test.df - 2.0).abs() < 1e-15);
        assert!((test.standard_error - 1.0 / 5.0_f64.sqrt() / 0.6).abs() < 1e-15);
    }

    #[test]
    fn too_little_is_none() {
        assert_eq!(winsorized_variance(&[], 0.2), None);
        assert_eq!(trimmed_t(&[1.0], 0.2), None);
        assert_eq!(yuen(&[1.0, 2.0], &[1.0], 0.2), None);
        assert_eq!(yuen_matched(&[1.0, 2.0, 3.0], &[1.0, 2.0], 0.2), None);
    }
}
