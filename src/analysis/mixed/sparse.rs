//! The Cholesky factor of a sparse symmetric matrix whose pattern stays and whose values change.
//!
//! Row by row (up-looking); the pattern is worked out once. The order of rows is the caller's:
//! with the groupings of many levels first, nested ones fill nothing in.
//!
//! # Source
//! Davis (2006) Direct Methods for Sparse Linear Systems, ch. 4.

/// Where the factor may be other than 0.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    /// Of each row the columns left of the diagonal, rising.
    rows: Vec<Vec<u32>>,
    /// Where each column begins in the lists of a factor.
    starts: Vec<usize>,
}

/// A lower factor, column by column.
#[derive(Debug, Clone)]
pub(super) struct Factor {
    diagonal: Vec<f64>,
    row: Vec<u32>,
    value: Vec<f64>,
    starts: Vec<usize>,
}

/// The lower half of a symmetric matrix: of each row its columns left of the diagonal, rising,
/// and the diagonal by itself.
#[derive(Debug, Clone, Default)]
pub(super) struct Lower {
    pub(super) columns: Vec<Vec<u32>>,
    pub(super) values: Vec<Vec<f64>>,
    pub(super) diagonal: Vec<f64>,
}

impl Pattern {
    /// The pattern of the factor of a matrix with these rows.
    pub(super) fn of(columns: &[Vec<u32>]) -> Pattern {
        let n = columns.len();
        let mut parent = vec![u32::MAX; n];
        let mut seen = vec![u32::MAX; n];
        let mut rows: Vec<Vec<u32>> = Vec::with_capacity(n);
        let mut counts = vec![0_usize; n + 1];
        for (k, own) in (0_u32..).zip(columns) {
            let mut row = Vec::new();
            seen[k as usize] = k;
            for &start in own {
                // Up the elimination tree until a node that this row has met.
                let mut node = start;
                while seen[node as usize] != k {
                    seen[node as usize] = k;
                    row.push(node);
                    if parent[node as usize] == u32::MAX {
                        parent[node as usize] = k;
                    }
                    node = parent[node as usize];
                }
            }
            row.sort_unstable();
            for &column in &row {
                counts[column as usize + 1] += 1;
            }
            rows.push(row);
        }
        let mut starts = counts;
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        Pattern { rows, starts }
    }

    /// The factor; `None` where the matrix is not positive definite.
    pub(super) fn factor(&self, matrix: &Lower) -> Option<Factor> {
        let n = self.rows.len();
        let entries = self.starts[n];
        let mut factor = Factor {
            diagonal: vec![0.0; n],
            row: vec![0; entries],
            value: vec![0.0; entries],
            starts: self.starts.clone(),
        };
        let mut filled = self.starts.clone();
        let mut work = vec![0.0; n];
        for (k, number) in (0..n).zip(0_u32..) {
            for (&column, &value) in matrix.columns[k].iter().zip(&matrix.values[k]) {
                work[column as usize] = value;
            }
            let mut pivot = matrix.diagonal[k];
            for &column in &self.rows[k] {
                let c = column as usize;
                let here = work[c] / factor.diagonal[c];
                work[c] = 0.0;
                for entry in factor.starts[c]..filled[c] {
                    work[factor.row[entry] as usize] -= factor.value[entry] * here;
                }
                pivot -= here * here;
                factor.row[filled[c]] = number;
                factor.value[filled[c]] = here;
                filled[c] += 1;
            }
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            factor.diagonal[k] = pivot.sqrt();
        }
        Some(factor)
    }
}

impl Factor {
    /// ln of the squared determinant of the factor.
    pub(super) fn log_determinant(&self) -> f64 {
        2.0 * self.diagonal.iter().map(|&d| libm::log(d)).sum::<f64>()
    }

    /// Solves L x = b in place.
    pub(super) fn forward(&self, x: &mut [f64]) {
        for c in 0..self.diagonal.len() {
            x[c] /= self.diagonal[c];
            let here = x[c];
            if here.abs() <= 0.0 {
                continue;
            }
            for entry in self.starts[c]..self.starts[c + 1] {
                x[self.row[entry] as usize] -= self.value[entry] * here;
            }
        }
    }

    /// Solves L' x = b in place.
    pub(super) fn backward(&self, x: &mut [f64]) {
        for c in (0..self.diagonal.len()).rev() {
            let below: f64 = (self.starts[c]..self.starts[c + 1])
                .map(|entry| self.value[entry] * x[self.row[entry] as usize])
                .sum();
            x[c] = (x[c] - below) / self.diagonal[c];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An arrow: the last row meets all; and a matrix that is not positive definite.
    #[test]
    fn solves_what_it_factors() {
        let columns = vec![vec![], vec![0], vec![], vec![0, 2]];
        let matrix = Lower {
            columns: columns.clone(),
            values: vec![vec![], vec![1.0], vec![], vec![0.5, -1.0]],
            diagonal: vec![4.0, 3.0, 5.0, 6.0],
        };
        let pattern = Pattern::of(&columns);
        let factor = pattern.factor(&matrix).expect("positive definite");
        let full = |i: usize, j: usize| {
            let (i, j) = (i.max(j), i.min(j));
            if i == j {
                return matrix.diagonal[i];
            }
            let place = columns[i].iter().position(|&c| c as usize == j);
            place.map_or(0.0, |place| matrix.values[i][place])
        };
        let wanted = [1.0, -2.0, 0.5, 3.0];
        let mut x: Vec<f64> =
            (0..4).map(|i| (0..4).map(|j| full(i, j) * wanted[j]).sum()).collect();
        factor.forward(&mut x);
        factor.backward(&mut x);
        for (got, wanted) in x.iter().zip(wanted) {
            assert!((got - wanted).abs() < 1e-12, "{x:?}");
        }
        let bad = Lower { diagonal: vec![4.0, 0.1, 5.0, 6.0], ..matrix };
        assert!(pattern.factor(&bad).is_none());
    }
}
