//! How often a value of one sample is above one of the other.
//!
//! Knows two samples of finite values in one unit; only their order counts.

use super::describe::mean;
use super::naive::TTest;
use super::order::mid_ranks;

/// Probability of superiority P(a > b) + P(a = b) / 2, in 0..=1; `None` where a sample is empty.
///
/// # Source
/// Vargha & Delaney (2000) J. Educational and Behavioral Statistics 25:101.
pub fn superiority(a: &[f64], b: &[f64]) -> Option<f64> {
    if a.is_empty() || b.is_empty() {
        return None;
    }
    let both: Vec<f64> = a.iter().chain(b).copied().collect();
    let ranks: f64 = mid_ranks(&both)[..a.len()].iter().sum();
    let n = a.len() as f64;
    Some((ranks - n * (n + 1.0) / 2.0) / (n * b.len() as f64))
}

/// Cliff's delta P(a > b) - P(a < b), in -1..=1; `None` where a sample is empty.
///
/// # Source
/// Cliff (1993) Psychological Bulletin 114:494.
pub fn cliffs_delta(a: &[f64], b: &[f64]) -> Option<f64> {
    Some(2.0 * superiority(a, b)? - 1.0)
}

/// Share of pairs whose a is above its b, equal ones counting half; `None` of nothing or where
/// lengths differ.
pub fn matched_superiority(a: &[f64], b: &[f64]) -> Option<f64> {
    if a.len() != b.len() {
        return None;
    }
    let half = |x: f64, y: f64| if x > y { 1.0 } else { f64::from(u8::from(x >= y)) / 2.0 };
    mean(&a.iter().zip(b).map(|(&x, &y)| half(x, y)).collect::<Vec<f64>>())
}

/// Brunner and Munzel's test of [`superiority`] against 1/2, samples of any spread: the difference
/// is superiority - 1/2. `None` below two values of a sample.
///
/// ```text
/// S_a^2 = sum (R_i - r_i - mean R + (n_a + 1)/2)^2 / (n_a - 1)
/// se = sqrt(n_a S_a^2 + n_b S_b^2) / (n_a n_b)
/// df = (n_a S_a^2 + n_b S_b^2)^2 / ((n_a S_a^2)^2 / (n_a - 1) + (n_b S_b^2)^2 / (n_b - 1))
/// ```
/// with R the rank among all values and r the rank within the sample. Where no value of one sample
/// lies among the other's, se is 0 and t has no bounds.
/// # Source
/// Brunner & Munzel (2000) Biometrical J. 42:17.
pub fn brunner_munzel(a: &[f64], b: &[f64]) -> Option<TTest> {
    let both: Vec<f64> = a.iter().chain(b).copied().collect();
    let ranks = mid_ranks(&both);
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let va = na * placement_variance(&ranks[..a.len()], &mid_ranks(a))?;
    let vb = nb * placement_variance(&ranks[a.len()..], &mid_ranks(b))?;
    Some(TTest {
        difference: superiority(a, b)? - 0.5,
        standard_error: (va + vb).sqrt() / (na * nb),
        df: (va + vb) * (va + vb) / (va * va / (na - 1.0) + vb * vb / (nb - 1.0)),
    })
}

/// Variance of the values' places in the other sample.
fn placement_variance(among_all: &[f64], within: &[f64]) -> Option<f64> {
    let places: Vec<f64> = among_all.iter().zip(within).map(|(all, own)| all - own).collect();
    super::describe::sd(&places).map(|sd| sd * sd)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        // Of six pairs: 3 > 1, 3 > 2, 3 = 3, 1 = 1; so 3 / 6.
        assert_eq!(superiority(&[3.0, 1.0], &[1.0, 2.0, 3.0]), Some(0.5));
        assert_eq!(cliffs_delta(&[4.0], &[1.0, 2.0]), Some(1.0));
        assert_eq!(matched_superiority(&[1.0, 2.0, 5.0, 5.0], &[0.0, 2.0, 6.0, 7.0]), Some(0.375));
        assert_eq!(superiority(&[], &[1.0]), None);
        assert_eq!(matched_superiority(&[1.0], &[]), None);
        assert_eq!(brunner_munzel(&[1.0], &[1.0, 2.0]), None);
    }
}
