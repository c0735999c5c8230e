//! The data of a mixed model as cross-products, and the penalised least squares at given factors.
//!
//! Rows are read once. Scalars of the random effects are ordered by term, the one with most levels
//! first, then by level: what is nested fills nothing in. y is kept as its residual on the fixed
//! effects alone, so that little is lost by subtraction.

use super::sparse::{Factor, Lower, Pattern};
use super::{MixedError, Term};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use std::collections::BTreeMap;

/// Scaled columns whose Gram matrix has an eigenvalue below this depend on each other.
const RANK_SHARE: f64 = 1e-12;
/// Below this share of the sum of squares what the fixed effects leave is rounding.
const NO_SPREAD_SHARE: f64 = 1e-20;

/// Levels of a term.
pub(super) fn levels(term: &Term) -> usize {
    term.level.iter().max().map_or(0, |&last| last as usize + 1)
}

/// Everything that the data say.
#[derive(Debug, Clone)]
pub(super) struct CrossProducts {
    rows: usize,
    /// Fixed effects by least squares alone; what is found is added to them.
    least_squares: DVector<f64>,
    raw_squares: f64,
    xx: DMatrix<f64>,
    yy: f64,
    terms: Vec<Own>,
    /// Places in `terms`, the one with most levels first.
    order: Vec<usize>,
    /// Z'X, a column a fixed effect, and Z'y (X'y is 0).
    zx: Vec<Vec<f64>>,
    zy: Vec<f64>,
    pattern: Pattern,
    columns: Vec<Vec<u32>>,
}

/// A term's own part.
#[derive(Debug, Clone)]
struct Own {
    /// Random effects of a level.
    effects: usize,
    levels: usize,
    /// Where its scalars begin.
    offset: usize,
    /// Z'Z within a level: effects x effects a level.
    squares: Vec<f64>,
    /// With the terms before it in the order: of each level the blocks that meet it, rising.
    meets: Vec<Vec<Meets>>,
    /// Where its factors begin in theta.
    theta: usize,
}

/// Z_s'Z_t of one level of an earlier term s with one of t.
#[derive(Debug, Clone)]
struct Meets {
    term: usize,
    level: usize,
    /// Effects of s x effects of t, row by row.
    block: Vec<f64>,
}

/// What the criterion is made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Criterion {
    pub(super) log_l: f64,
    pub(super) log_rx: f64,
    pub(super) r_squared: f64,
}

/// The penalised least squares at given factors.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    factor: Factor,
    rzx: Vec<Vec<f64>>,
    cu: Vec<f64>,
    rx: Cholesky<f64, Dyn>,
    beta: DVector<f64>,
    pub(super) criterion: Criterion,
}

impl Solved {
    /// (RX' RX)^-1: the fixed effects' covariance over the residual variance.
    pub(super) fn fixed_inverse(&self) -> DMatrix<f64> {
        self.rx.inverse()
    }
}

impl CrossProducts {
    pub(super) fn new(
        y: &[f64],
        fixed: &[Vec<f64>],
        terms: &[Term],
    ) -> Result<CrossProducts, MixedError> {
        let p = fixed.len();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let xx = DMatrix::from_fn(p, p, |i, j| dot(&fixed[i], &fixed[j]));
        let scaled = DMatrix::from_fn(p, p, |i, j| xx[(i, j)] / (xx[(i, i)] * xx[(j, j)]).sqrt());
        if scaled.iter().any(|x| !x.is_finite())
            || scaled.symmetric_eigenvalues().iter().any(|&value| value < RANK_SHARE)
        {
            return Err(MixedError::Rank);
        }
        let xy = DVector::from_fn(p, |i, _| dot(&fixed[i], y));
        let least_squares = Cholesky::new(xx.clone()).ok_or(MixedError::Rank)?.solve(&xy);
        let residual: Vec<f64> = (0..y.len())
            .map(|row| y[row] - (0..p).map(|i| least_squares[i] * fixed[i][row]).sum::<f64>())
            .collect();
        let mut cross = CrossProducts {
            rows: y.len(),
            least_squares,
            raw_squares: dot(y, y),
            xx,
            yy: dot(&residual, &residual),
            terms: Vec::new(),
            order: Vec::new(),
            zx: Vec::new(),
            zy: Vec::new(),
            pattern: Pattern::of(&[]),
            columns: Vec::new(),
        };
        cross.read(&residual, fixed, terms);
        Ok(cross)
    }

    fn read(&mut self, residual: &[f64], fixed: &[Vec<f64>], terms: &[Term]) {
        let mut order: Vec<usize> = (0..terms.len()).collect();
        order.sort_by_key(|&t| std::cmp::Reverse(levels(&terms[t])));
        let mut theta = 0;
        self.terms = terms
            .iter()
            .map(|term| {
                let (effects, levels) = (term.columns.len(), levels(term));
                let begins = theta;
                theta += effects * (effects + 1) / 2;
                let squares = within(term, levels);
                let meets = vec![Vec::new(); levels];
                Own { effects, levels, offset: 0, squares, meets, theta: begins }
            })
            .collect();
        let mut scalars = 0;
        for (place, &t) in order.iter().enumerate() {
            self.terms[t].offset = scalars;
            scalars += self.terms[t].levels * self.terms[t].effects;
            for &s in &order[..place] {
                for ((level, other), block) in between(&terms[s], &terms[t]) {
                    let meets = Meets { term: s, level: other as usize, block };
                    self.terms[t].meets[level as usize].push(meets);
                }
            }
        }
        self.zy = self.along(residual, terms, scalars);
        self.zx = fixed.iter().map(|column| self.along(column, terms, scalars)).collect();
        self.columns = order.iter().flat_map(|&t| self.columns_of(t)).collect();
        self.pattern = Pattern::of(&self.columns);
        self.order = order;
    }

    /// Z' of a column.
    fn along(&self, column: &[f64], terms: &[Term], scalars: usize) -> Vec<f64> {
        let mut sums = vec![0.0; scalars];
        for (own, term) in self.terms.iter().zip(terms) {
            for (effect, z) in term.columns.iter().enumerate() {
                for ((&level, z), x) in term.level.iter().zip(z).zip(column) {
                    sums[own.offset + level as usize * own.effects + effect] += z * x;
                }
            }
        }
        sums
    }

    /// Of each scalar of a term its columns left of the diagonal.
    fn columns_of(&self, t: usize) -> Vec<Vec<u32>> {
        let own = &self.terms[t];
        let number = |place: usize| u32::try_from(place).unwrap_or(u32::MAX);
        let mut rows = Vec::with_capacity(own.levels * own.effects);
        for level in 0..own.levels {
            let mut columns = Vec::new();
            for meets in &own.meets[level] {
                let other = &self.terms[meets.term];
                let from = other.offset + meets.level * other.effects;
                columns.extend((from..from + other.effects).map(number));
            }
            let from = own.offset + level * own.effects;
            for effect in 0..own.effects {
                rows.push(columns.clone());
                columns.push(number(from + effect));
            }
        }
        rows
    }

    /// The lower triangle of a term's relative factor.
    fn lambda(own: &Own, theta: &[f64]) -> DMatrix<f64> {
        let mut next = theta[own.theta..].iter();
        let mut lambda = DMatrix::zeros(own.effects, own.effects);
        for column in 0..own.effects {
            for row in column..own.effects {
                lambda[(row, column)] = next.next().copied().unwrap_or(0.0);
            }
        }
        lambda
    }

    fn lambdas(&self, theta: &[f64]) -> Vec<DMatrix<f64>> {
        self.terms.iter().map(|own| CrossProducts::lambda(own, theta)).collect()
    }

    /// Lambda' of a column over all scalars.
    fn relative(&self, column: &[f64], lambdas: &[DMatrix<f64>]) -> Vec<f64> {
        let mut out = vec![0.0; column.len()];
        for (own, lambda) in self.terms.iter().zip(lambdas) {
            for level in 0..own.levels {
                let from = own.offset + level * own.effects;
                for i in 0..own.effects {
                    out[from + i] =
                        (i..own.effects).map(|j| lambda[(j, i)] * column[from + j]).sum();
                }
            }
        }
        out
    }

    /// Lambda' Z'Z Lambda + I, its lower half.
    fn penalised(&self, lambdas: &[DMatrix<f64>]) -> Lower {
        let mut lower = Lower { columns: self.columns.clone(), ..Lower::default() };
        for &t in &self.order {
            let (own, lambda) = (&self.terms[t], &lambdas[t]);
            let q = own.effects;
            for level in 0..own.levels {
                let mut rows: Vec<Vec<f64>> = vec![Vec::new(); q];
                for meets in &own.meets[level] {
                    let other = self.terms[meets.term].effects;
                    let block = DMatrix::from_row_slice(other, q, &meets.block);
                    let block = lambdas[meets.term].transpose() * block * lambda;
                    for (effect, row) in rows.iter_mut().enumerate() {
                        row.extend(block.column(effect).iter());
                    }
                }
                let squares = DMatrix::from_row_slice(q, q, &own.squares[level * q * q..][..q * q]);
                let squares = lambda.transpose() * squares * lambda;
                for (effect, mut row) in rows.into_iter().enumerate() {
                    row.extend((0..effect).map(|before| squares[(effect, before)]));
                    lower.values.push(row);
                    lower.diagonal.push(squares[(effect, effect)] + 1.0);
                }
            }
        }
        lower
    }

    /// The penalised least squares at these factors; `None` where they are not finite.
    pub(super) fn solve(&self, theta: &[f64]) -> Option<Solved> {
        let lambdas = self.lambdas(theta);
        let factor = self.pattern.factor(&self.penalised(&lambdas))?;
        let through = |column: &[f64]| {
            let mut column = self.relative(column, &lambdas);
            factor.forward(&mut column);
            column
        };
        let cu = through(&self.zy);
        let rzx: Vec<Vec<f64>> = self.zx.iter().map(|column| through(column)).collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let p = self.fixed();
        let left = DMatrix::from_fn(p, p, |i, j| self.xx[(i, j)] - dot(&rzx[i], &rzx[j]));
        let rx = Cholesky::new(left)?;
        let right = DVector::from_fn(p, |i, _| -dot(&rzx[i], &cu));
        let beta = rx.solve(&right);
        let r_squared = self.yy - dot(&cu, &cu) - right.dot(&beta);
        let log_rx = 2.0 * rx.l_dirty().diagonal().iter().map(|&d| libm::log(d)).sum::<f64>();
        let criterion = Criterion { log_l: factor.log_determinant(), log_rx, r_squared };
        Some(Solved { factor, rzx, cu, rx, beta, criterion })
    }

    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    pub(super) fn fixed(&self) -> usize {
        self.xx.nrows()
    }

    /// How many relative factors there are.
    pub(super) fn factors(&self) -> usize {
        self.terms.iter().map(|own| own.effects * (own.effects + 1) / 2).sum()
    }

    pub(super) fn no_spread(&self) -> bool {
        self.yy <= NO_SPREAD_SHARE * self.raw_squares
    }

    /// Where the search begins: every random effect as spread out as the residual.
    pub(super) fn start(&self) -> Vec<f64> {
        let mut theta = Vec::with_capacity(self.factors());
        for own in &self.terms {
            for column in 0..own.effects {
                theta.extend((column..own.effects).map(|row| f64::from(u8::from(row == column))));
            }
        }
        theta
    }

    /// The same covariances with no negative diagonal.
    pub(super) fn upright(&self, theta: &[f64]) -> Vec<f64> {
        let mut theta = theta.to_vec();
        for own in &self.terms {
            let mut at = own.theta;
            for column in 0..own.effects {
                let length = own.effects - column;
                if theta[at] < 0.0 {
                    theta[at..at + length].iter_mut().for_each(|x| *x = -*x);
                }
                at += length;
            }
        }
        theta
    }

    pub(super) fn covariances(&self, theta: &[f64], sigma: f64) -> Vec<DMatrix<f64>> {
        let covariance = |l: DMatrix<f64>| &l * l.transpose() * (sigma * sigma);
        self.lambdas(theta).into_iter().map(covariance).collect()
    }

    pub(super) fn fixed_effects(&self, solved: &Solved) -> Vec<f64> {
        (&self.least_squares + &solved.beta).iter().copied().collect()
    }

    /// Conditional modes of the random effects.
    pub(super) fn effects(&self, theta: &[f64], solved: &Solved) -> Vec<Vec<Vec<f64>>> {
        let mut u = solved.cu.clone();
        for (column, beta) in solved.rzx.iter().zip(solved.beta.iter()) {
            for (u, x) in u.iter_mut().zip(column) {
                *u -= x * beta;
            }
        }
        solved.factor.backward(&mut u);
        let lambdas = self.lambdas(theta);
        let of_term = |(own, lambda): (&Own, &DMatrix<f64>)| {
            let level = |level: usize| {
                let from = own.offset + level * own.effects;
                let row = |i: usize| (0..=i).map(|j| lambda[(i, j)] * u[from + j]).sum::<f64>();
                (0..own.effects).map(row).collect()
            };
            (0..own.levels).map(level).collect()
        };
        self.terms.iter().zip(&lambdas).map(of_term).collect()
    }

    /// Variance of the error of fixed `weights` and the effects of one level, over the residual
    /// variance.
    pub(super) fn spread(
        &self,
        theta: &[f64],
        solved: &Solved,
        weights: &[f64],
        (term, level, of): (usize, usize, &[f64]),
    ) -> f64 {
        let own = &self.terms[term];
        let mut column = vec![0.0; self.zy.len()];
        let from = own.offset + level * own.effects;
        for (place, w) in column[from..].iter_mut().zip(of.iter().take(own.effects)) {
            *place = *w;
        }
        let mut a = self.relative(&column, &self.lambdas(theta));
        solved.factor.forward(&mut a);
        let dot = |b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let left = DVector::from_fn(self.fixed(), |i, _| weights[i] - dot(&solved.rzx[i]));
        let fixed = left.dot(&solved.rx.solve(&left));
        dot(&a) + fixed
    }
}

/// Z'Z within each level of a term.
fn within(term: &Term, levels: usize) -> Vec<f64> {
    let q = term.columns.len();
    let mut squares = vec![0.0; levels * q * q];
    for i in 0..q {
        for j in 0..q {
            let columns = term.columns[i].iter().zip(&term.columns[j]);
            for (&level, (a, b)) in term.level.iter().zip(columns) {
                squares[level as usize * q * q + i * q + j] += a * b;
            }
        }
    }
    squares
}

/// Z_s'Z_t by (level of t, level of s): rows that follow each other share both, as a rule.
fn between(s: &Term, t: &Term) -> BTreeMap<(u32, u32), Vec<f64>> {
    let (q, r) = (s.columns.len(), t.columns.len());
    let mut blocks: BTreeMap<(u32, u32), Vec<f64>> = BTreeMap::new();
    let mut row = 0;
    while row < t.level.len() {
        let key = (t.level[row], s.level[row]);
        let block = blocks.entry(key).or_insert_with(|| vec![0.0; q * r]);
        while row < t.level.len() && (t.level[row], s.level[row]) == key {
            for i in 0..q {
                for j in 0..r {
                    block[i * r + j] += s.columns[i][row] * t.columns[j][row];
                }
            }
            row += 1;
        }
    }
    blocks
}
