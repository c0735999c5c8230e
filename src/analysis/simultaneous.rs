//! Several differences judged together: critical value and p of max |t|.
//!
//! Knows the correlation of the estimates and the degrees of freedom. Dunnett's intervals (all
//! against one) and Tukey's (all pairs) are what comes out for balanced tables; a table with
//! holes gets its own. The same numbers come out every time: there is no random number in it.

use super::student::{beyond, root_of_tail, two_sided_p};
use nalgebra::{DMatrix, SymmetricEigen};
use statrs::distribution::{ContinuousCDF, Normal};
use std::f64::consts::PI;

/// The distribution of max |t| of a family of differences.
///
/// The estimates are k-dimensional (k = rank of their correlation): t_i = a_i . V, with unit
/// vectors a_i and V spherical. With V = R u, R its length and u a direction,
/// ```text
/// P(max |t_i| > c) = mean over u of P(R > c / max_i |a_i . u|),  R^2 / k ~ F(k, df)
/// ```
/// so that the length is done in closed form and only directions are summed: exactly for k = 1,
/// by Gauss-Legendre between the kinks for k = 2, over fixed, evenly spread directions above,
/// where the sum over all differences is exact and only what is counted twice is summed:
/// ```text
/// P(max |t_i| > c) = m P(|t| > c) - sum over j >= 2 of P(j-th largest |t_i| > c)
/// ```
/// # Source
/// Genz & Bretz, Computation of Multivariate Normal and t Probabilities (2009), ch. 4 for the
/// spherical form (from memory).
#[derive(Debug, Clone)]
pub struct MaxT {
    df: f64,
    dimensions: usize,
    /// How many times the tail of a single t is counted before the directions.
    singles: f64,
    /// Directions, gathered by |a_i . u|.
    nodes: Vec<Node>,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    /// Share of all directions, negative where they were counted before.
    weight: f64,
    /// |a_i . u|, in 0..=1.
    reach: f64,
}

/// Eigenvalues below this are rounding: a correlation's add up to the number of differences.
const RANK_TOLERANCE: f64 = 1e-9;
/// Points of the Gauss-Legendre rule between two kinks.
const LEGENDRE_POINTS: u32 = 16;
/// Directions in three dimensions (four holds): p good to 4 digits.
const SPIRAL_DIRECTIONS: u32 = 1 << 13;
/// Directions above: p to 0.03 % of itself, that is a critical value to 4 digits.
const SPREAD_DIRECTIONS: u32 = 1 << 15;
/// How many directions, of similar reach, stand for all.
const NODES: usize = 128;

impl MaxT {
    /// Of estimates with this correlation (square, ones on the diagonal, at least one) and `df`
    /// degrees of freedom.
    pub fn new(correlation: &DMatrix<f64>, df: f64) -> MaxT {
        let eigen = SymmetricEigen::new(correlation.clone());
        let kept: Vec<usize> = (0..eigen.eigenvalues.len())
            .filter(|&j| eigen.eigenvalues[j] > RANK_TOLERANCE)
            .collect();
        let vectors: Vec<Vec<f64>> = (0..correlation.nrows())
            .map(|i| {
                kept.iter()
                    .map(|&j| eigen.eigenvectors[(i, j)] * eigen.eigenvalues[j].sqrt())
                    .collect()
            })
            .collect();
        let (singles, nodes) = match kept.len() {
            0 | 1 => (1.0, Vec::new()),
            2 => (0.0, plane(&vectors)),
            k => (vectors.len() as f64, sphere(&vectors, k)),
        };
        MaxT { df, dimensions: kept.len(), singles, nodes }
    }

    /// P(max |t| > c): the adjusted p of a difference whose |t| is `c`.
    pub fn p(&self, c: f64) -> f64 {
        let directions: f64 = self
            .nodes
            .iter()
            .map(|node| node.weight * beyond(c.abs() / node.reach, self.df, self.dimensions))
            .sum();
        (self.singles * two_sided_p(c, self.df) + directions).clamp(0.0, 1.0)
    }

    /// The c that max |t| stays below with probability `confidence`.
    pub fn critical(&self, confidence: f64) -> f64 {
        root_of_tail(1.0 - confidence, |c| self.p(c))
    }
}

/// Half the circle, cut where another difference becomes the largest.
fn plane(vectors: &[Vec<f64>]) -> Vec<Node> {
    let angles: Vec<f64> = vectors.iter().map(|a| libm::atan2(a[1], a[0])).collect();
    let mut cuts = vec![0.0, PI];
    for (i, one) in angles.iter().enumerate() {
        for other in &angles[..i] {
            let middle = (one + other) / 2.0;
            cuts.push(middle.rem_euclid(PI));
            cuts.push((middle + PI / 2.0).rem_euclid(PI));
        }
    }
    cuts.sort_by(f64::total_cmp);
    let rule = legendre(LEGENDRE_POINTS);
    let mut nodes = Vec::new();
    for cut in cuts.windows(2) {
        let (middle, half) = (f64::midpoint(cut[0], cut[1]), (cut[1] - cut[0]) / 2.0);
        for point in &rule {
            let angle = middle + half * point.at;
            let reach =
                angles.iter().map(|a| libm::cos(angle - a).abs()).fold(f64::MIN_POSITIVE, f64::max);
            nodes.push(Node { weight: half * point.weight / PI, reach });
        }
    }
    nodes
}

/// What a sum over all differences counts too often, over even directions in `k` dimensions.
fn sphere(vectors: &[Vec<f64>], k: usize) -> Vec<Node> {
    let directions = if k == 3 { spiral() } else { spread(k) };
    let mut again = Vec::with_capacity(directions.len() / k * (vectors.len() - 1));
    let mut reaches = vec![0.0; vectors.len()];
    for u in directions.chunks(k) {
        let length = u.iter().map(|x| x * x).sum::<f64>().sqrt();
        for (reach, a) in reaches.iter_mut().zip(vectors) {
            *reach = a.iter().zip(u).map(|(a, u)| a * u).sum::<f64>().abs() / length;
        }
        reaches.sort_unstable_by(f64::total_cmp);
        again.extend(&reaches[..vectors.len() - 1]);
    }
    again.sort_unstable_by(f64::total_cmp);
    let counted = (directions.len() / k) as f64;
    again
        .chunks(again.len().div_ceil(NODES))
        .map(|chunk| Node {
            weight: -(chunk.len() as f64) / counted,
            reach: chunk.iter().sum::<f64>() / chunk.len() as f64,
        })
        .collect()
}

/// Half a sphere, point after point, by a spiral whose points each take the same area; the other half is its mirror.
///
/// # Source
/// The Fibonacci lattice, e.g. Gonzalez (2010) Mathematical Geosciences 42:49 (from memory).
fn spiral() -> Vec<f64> {
    let turn = PI * (5.0_f64.sqrt() - 1.0);
    (0..SPIRAL_DIRECTIONS)
        .flat_map(|n| {
            let height = (f64::from(n) + 0.5) / f64::from(SPIRAL_DIRECTIONS);
            let across = (1.0 - height * height).sqrt();
            let angle = turn * f64::from(n);
            [across * libm::cos(angle), across * libm::sin(angle), height]
        })
        .collect()
}

/// Directions from a Kronecker sequence put through the normal distribution.
///
/// # Source
/// The steps are powers of the root of x^(k+1) = x + 1, the generalised golden ratio (Roberts
/// 2018, from memory).
fn spread(k: usize) -> Vec<f64> {
    let normal = Normal::standard();
    let mut ratio = 1.5_f64;
    for _ in 0..60 {
        ratio = libm::pow(1.0 + ratio, 1.0 / (k as f64 + 1.0));
    }
    let steps: Vec<f64> = (0..k).map(|j| libm::pow(ratio, -(j as f64 + 1.0))).collect();
    // From 1: the point 0 is the origin, which has no direction.
    (1..=SPREAD_DIRECTIONS)
        .flat_map(|n| steps.iter().map(move |step| (0.5 + f64::from(n) * step).fract()))
        .map(|place| normal.inverse_cdf(place))
        .collect()
}

/// A point of a quadrature on -1..1.
struct Point {
    at: f64,
    weight: f64,
}

/// Gauss-Legendre rule of `n` points: zeros of P_n by Newton's method.
///
/// # Source
/// Abramowitz & Stegun 25.4.29 (from memory).
fn legendre(n: u32) -> Vec<Point> {
    let degree = f64::from(n);
    (0..n)
        .map(|i| {
            let mut x = libm::cos(PI * (f64::from(i) + 0.75) / (degree + 0.5));
            let mut slope = 1.0;
            for _ in 0..20 {
                let (mut before, mut now) = (1.0, x);
                for j in 2..=n {
                    let j = f64::from(j);
                    (before, now) = (now, ((2.0 * j - 1.0) * x * now - (j - 1.0) * before) / j);
                }
                slope = degree * (x * now - before) / (x * x - 1.0);
                x -= now / slope;
            }
            Point { at: x, weight: 2.0 / ((1.0 - x * x) * slope * slope) }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::student;

    /// Correlation of all pairs of `k` equally exact means.
    fn all_pairs(k: usize) -> DMatrix<f64> {
        let pairs: Vec<(usize, usize)> =
            (0..k).flat_map(|a| (a + 1..k).map(move |b| (a, b))).collect();
        let sign = |x: usize, y: usize| f64::from(u8::from(x == y));
        DMatrix::from_fn(pairs.len(), pairs.len(), |i, j| {
            let ((a, b), (c, d)) = (pairs[i], pairs[j]);
            (sign(a, c) - sign(a, d) - sign(b, c) + sign(b, d)) / 2.0
        })
    }

    /// Correlation of `m` differences to one reference, all equally exact.
    fn to_reference(m: usize) -> DMatrix<f64> {
        DMatrix::from_fn(m, m, |i, j| if i == j { 1.0 } else { 0.5 })
    }

    /// Printed tables of the studentized range (upper 5 %), over sqrt 2: Pearson & Hartley,
    /// Biometrika Tables, table 29 (from memory, 3 digits).
    #[test]
    fn tukeys_printed_table() {
        for (k, df, q) in [
            (2, 10.0, 3.15),
            (3, 5.0, 4.60),
            (3, 10.0, 3.88),
            (3, 20.0, 3.58),
            (4, 10.0, 4.33),
            (4, 20.0, 3.96),
            (5, 10.0, 4.65),
            (5, 20.0, 4.23),
        ] {
            let c = MaxT::new(&all_pairs(k), df).critical(0.95) * 2.0_f64.sqrt();
            assert!((c - q).abs() < 0.0055, "k {k}, df {df}: {c} for {q}");
        }
    }

    /// Printed tables for comparisons with a control, two-sided 5 %: Dunnett (1964) Biometrics
    /// 20:482 (from memory, 2 decimals).
    #[test]
    fn dunnetts_printed_table() {
        for (m, df, d) in [
            (1, 10.0, 2.23),
            (2, 5.0, 3.03),
            (2, 10.0, 2.57),
            (2, 20.0, 2.38),
            (3, 10.0, 2.76),
            (3, 20.0, 2.54),
            (4, 20.0, 2.65),
        ] {
            let c = MaxT::new(&to_reference(m), df).critical(0.95);
            assert!((c - d).abs() < 0.0055, "m {m}, df {df}: {c} for {d}");
        }
    }

    /// The sum over directions must not lose digits where the exact answer is known: three
    /// orthogonal differences at many degrees of freedom are independent.
    #[test]
    fn independent_differences_multiply() {
        for m in [2, 3, 4] {
            let family = MaxT::new(&DMatrix::identity(m, m), 1e7);
            for c in [1.0, 2.0, 2.5, 3.0] {
                let one = 1.0 - student::two_sided_p(c, 1e7);
                let expect = 1.0 - one.powi(i32::try_from(m).expect("small"));
                let got = family.p(c);
                // Many degrees of freedom are not without end: c^4 / df or so is left.
                let tolerance = if m < 4 { 5e-5 } else { 3e-4 };
                assert!((got / expect - 1.0).abs() < tolerance, "m {m}, c {c}: {got} {expect}");
            }
        }
    }

    #[test]
    fn one_difference_is_students_t() {
        let one = MaxT::new(&DMatrix::identity(1, 1), 7.0);
        assert!((one.critical(0.95) - student::critical(0.95, 7.0)).abs() < 1e-12);
        // Twice the same difference is no more than one.
        let twice = MaxT::new(&DMatrix::from_element(2, 2, 1.0), 7.0);
        assert!((twice.critical(0.95) - student::critical(0.95, 7.0)).abs() < 1e-12);
    }

    #[test]
    fn legendre_integrates_polynomials() {
        let rule = legendre(16);
        let of = |power: i32| rule.iter().map(|p| p.weight * p.at.powi(power)).sum::<f64>();
        assert!((of(0) - 2.0).abs() < 1e-13 && of(7).abs() < 1e-13);
        assert!((of(30) - 2.0 / 31.0).abs() < 1e-13);
    }
}
