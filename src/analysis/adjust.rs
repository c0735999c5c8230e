//! Several p values together: Holm, and the step-up procedures beside it.
//!
//! Knows p values in 0..=1, in any order; the adjusted ones come back in that order. A p that is
//! adjusted to at most alpha is rejected at alpha.

/// Holm's step-down: holds the chance of any false alarm, whatever the dependence.
///
/// ```text
/// p'(i) = max over j <= i of min(1, (m - j + 1) p(j)),  p(1) <= .. <= p(m)
/// ```
/// # Source
/// Holm (1979) Scandinavian J. Statistics 6:65.
pub fn holm(p: &[f64]) -> Vec<f64> {
    let order = ascending(p);
    let mut adjusted = vec![0.0; p.len()];
    let mut largest = 0.0_f64;
    for (before, &i) in order.iter().enumerate() {
        largest = largest.max((p.len() - before) as f64 * p[i]).min(1.0);
        adjusted[i] = largest;
    }
    adjusted
}

/// Hochberg's step-up: the same factors from the largest p down; needs independence or positive
/// dependence.
///
/// # Source
/// Hochberg (1988) Biometrika 75:800.
pub fn hochberg(p: &[f64]) -> Vec<f64> {
    step_up(p, |before| (p.len() - before) as f64)
}

/// Benjamini and Hochberg's: holds the expected share of false alarms among the rejected.
///
/// ```text
/// p'(i) = min over j >= i of min(1, m p(j) / j)
/// ```
/// # Source
/// Benjamini & Hochberg (1995) J. Royal Statistical Society B 57:289.
pub fn benjamini_hochberg(p: &[f64]) -> Vec<f64> {
    step_up(p, |before| p.len() as f64 / (before as f64 + 1.0))
}

/// `factor` takes how many p are smaller in order.
fn step_up(p: &[f64], factor: impl Fn(usize) -> f64) -> Vec<f64> {
    let order = ascending(p);
    let mut adjusted = vec![0.0; p.len()];
    let mut smallest = 1.0_f64;
    for (before, &i) in order.iter().enumerate().rev() {
        smallest = smallest.min(factor(before) * p[i]);
        adjusted[i] = smallest;
    }
    adjusted
}

fn ascending(p: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&i, &j| p[i].total_cmp(&p[j]));
    order
}
