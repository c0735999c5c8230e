//! The block model: y = condition + cycle + linear trend in position, by ordinary least squares.
//!
//! Cycles and trend belong to a session each. They are taken out of everything first (they are
//! the same in every redraw), so that fitting another order of the conditions costs a few hundred
//! multiplications. Rank is found, never assumed; a difference that the rows cannot tell is `None`.

use super::BlockRow;
use std::collections::BTreeMap;

/// Why rows are no block table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum ModelError {
    /// A comparison needs two conditions, and an order holds at most 256.
    #[error("{conditions} conditions: from 2 to 256 can be compared")]
    Conditions {
        /// How many were said.
        conditions: usize,
    },
    /// A row's condition is not among them.
    #[error("row {row} is of condition {condition}, of {conditions}")]
    Condition {
        /// Row, from 0.
        row: usize,
        /// Its condition.
        condition: usize,
        /// How many there are.
        conditions: usize,
    },
    /// A value or a position is not a finite number.
    #[error("row {row} holds a value or position that is not finite")]
    NotFinite {
        /// Row, from 0.
        row: usize,
    },
}

/// Below this share of the number of rows a pivot counts as zero.
const RANK_TOLERANCE: f64 = 1e-9;
/// Below this share of the sum of squared values the residuals are rounding, not spread.
const NO_SPREAD_SHARE: f64 = 1e-20;
/// The same, of what cycles and trends leave: residuals come from it by subtraction.
const NO_SPREAD_SHARE_LEFT: f64 = 1e-12;

/// The part of the model that no redraw changes.
#[derive(Debug, Clone)]
pub struct Model {
    conditions: usize,
    /// Which cycle (of which session) a row is in.
    group: Vec<usize>,
    /// Rows in each of these.
    group_size: Vec<f64>,
    /// Which session a row is in.
    session: Vec<usize>,
    /// How many sessions there are.
    sessions: usize,
    /// Position less its cycle's mean, of length 1 within a session (or all 0).
    trend: Vec<f64>,
    /// The value less cycles and trends.
    left: Vec<f64>,
    /// Sum of the squares of `left`.
    left_squares: f64,
    /// Below this a sum of squared residuals is rounding.
    no_spread: f64,
    /// Columns that cycles and trends span.
    nuisance_rank: usize,
}

/// The model fitted to one order of the conditions.
#[derive(Debug, Clone)]
pub struct Fit {
    /// One a condition, some of them set to 0 where only differences can be told.
    effects: Vec<f64>,
    /// Conditions' cross-products, less cycles and trends.
    cross: Square,
    /// A generalised inverse of them: the effects' covariance over the residual variance.
    inverse: Square,
    /// Rows less rank.
    pub df: usize,
    /// Residual variance; `None` without degrees of freedom or without any spread.
    pub variance: Option<f64>,
}

/// A difference of two conditions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contrast {
    /// a - b.
    pub estimate: f64,
    /// Its standard error.
    pub standard_error: f64,
}

impl Contrast {
    /// Estimate over standard error.
    pub fn t(&self) -> f64 {
        self.estimate / self.standard_error
    }
}

impl Model {
    /// Takes cycles and trends out of `rows`.
    ///
    /// `rows`: one a block, in any order that the orders given to [`Model::fit`] share.
    /// # Errors
    /// [`ModelError`]: the rows are no block table of `conditions` conditions.
    pub fn new(rows: &[BlockRow], conditions: usize) -> Result<Model, ModelError> {
        check(rows, conditions)?;
        let group = numbered(rows.iter().map(|row| (row.session, row.cycle)));
        let session = numbered(rows.iter().map(|row| row.session));
        let groups = group.iter().max().map_or(0, |last| last + 1);
        let sessions = session.iter().max().map_or(0, |last| last + 1);
        let mut group_size = vec![0.0; groups];
        for &g in &group {
            group_size[g] += 1.0;
        }
        let mut left: Vec<f64> = rows.iter().map(|row| row.value).collect();
        centre(&mut left, &group, &group_size);
        let value_squares: f64 = rows.iter().map(|row| row.value * row.value).sum();
        let mut trend: Vec<f64> = rows.iter().map(|row| row.position).collect();
        centre(&mut trend, &group, &group_size);
        let spread: f64 = rows.iter().map(|row| row.position * row.position).sum();
        let mut squares = vec![0.0; sessions];
        for (&s, trend) in session.iter().zip(&trend) {
            squares[s] += trend * trend;
        }
        let runs = |squares: &f64| *squares > RANK_TOLERANCE * spread;
        let trends = squares.iter().filter(|squares| runs(squares)).count();
        let lengths: Vec<f64> =
            squares.iter().map(|q| if runs(q) { q.sqrt() } else { f64::INFINITY }).collect();
        let mut along = vec![0.0; sessions];
        for ((&s, trend), left) in session.iter().zip(&mut trend).zip(&left) {
            *trend /= lengths[s];
            along[s] += left * *trend;
        }
        for ((&s, trend), left) in session.iter().zip(&trend).zip(&mut left) {
            *left -= along[s] * trend;
        }
        let left_squares: f64 = left.iter().map(|y| y * y).sum();
        let no_spread = (NO_SPREAD_SHARE * value_squares).max(NO_SPREAD_SHARE_LEFT * left_squares);
        let nuisance_rank = groups + trends;
        Ok(Model {
            conditions,
            group,
            group_size,
            session,
            sessions,
            trend,
            left,
            left_squares,
            no_spread,
            nuisance_rank,
        })
    }

    /// Rows of the table.
    pub fn rows(&self) -> usize {
        self.left.len()
    }

    /// Fits the conditions as `order` places them: one a row, each below the number of
    /// conditions.
    pub fn fit(&self, order: &[u8]) -> Fit {
        let c = self.conditions;
        let groups = self.group_size.len();
        let mut in_group = vec![0.0; c * groups];
        let mut along_trend = vec![0.0; c * self.sessions];
        let mut cross = Square::zero(c);
        let mut sums = vec![0.0; c];
        for (row, &condition) in order.iter().enumerate() {
            let k = usize::from(condition);
            *cross.at(k, k) += 1.0;
            in_group[k * groups + self.group[row]] += 1.0;
            along_trend[k * self.sessions + self.session[row]] += self.trend[row];
            sums[k] += self.left[row];
        }
        for (j, in_j) in in_group.chunks(groups.max(1)).enumerate() {
            for (k, in_k) in in_group.chunks(groups.max(1)).enumerate() {
                let both = in_j.iter().zip(in_k).zip(&self.group_size);
                *cross.at(j, k) -= both.map(|((x, y), size)| x * y / size).sum::<f64>();
            }
        }
        for (j, along_j) in along_trend.chunks(self.sessions.max(1)).enumerate() {
            for (k, along_k) in along_trend.chunks(self.sessions.max(1)).enumerate() {
                let both = along_j.iter().zip(along_k);
                *cross.at(j, k) -= both.map(|(x, y)| x * y).sum::<f64>();
            }
        }
        self.solve(cross, &sums)
    }

    fn solve(&self, cross: Square, sums: &[f64]) -> Fit {
        let (inverse, rank) = cross.swept(RANK_TOLERANCE * self.rows() as f64);
        let effects: Vec<f64> = (0..sums.len())
            .map(|j| inverse.row(j).iter().zip(sums).map(|(v, s)| v * s).sum())
            .collect();
        let df = self.rows().saturating_sub(self.nuisance_rank + rank);
        let explained: f64 = effects.iter().zip(sums).map(|(e, s)| e * s).sum();
        let squares = (self.left_squares - explained).max(0.0);
        let variance = (df > 0 && squares > self.no_spread).then(|| squares / df as f64);
        Fit { effects, cross, inverse, df, variance }
    }
}

impl Fit {
    /// a - b; `None` where the rows cannot tell it, or leave nothing to judge it by.
    pub fn contrast(&self, a: usize, b: usize) -> Option<Contrast> {
        let variance = self.variance?;
        self.can_tell(a, b).then(|| Contrast {
            estimate: self.effects[a] - self.effects[b],
            standard_error: (variance * self.covariance((a, b), (a, b))).sqrt(),
        })
    }

    /// Correlation of the estimates of two differences, each (a, b) for a - b.
    pub fn correlation(&self, one: (usize, usize), other: (usize, usize)) -> f64 {
        self.covariance(one, other)
            / (self.covariance(one, one) * self.covariance(other, other)).sqrt()
    }

    /// Covariance of two differences, over the residual variance.
    fn covariance(&self, (a, b): (usize, usize), (c, d): (usize, usize)) -> f64 {
        let (of_a, of_b) = (self.inverse.row(a), self.inverse.row(b));
        of_a[c] - of_a[d] - of_b[c] + of_b[d]
    }

    /// Whether the contrast lies in what the rows tell: inverse times cross-products must leave
    /// it as it is.
    fn can_tell(&self, a: usize, b: usize) -> bool {
        let difference = self.inverse.row(a).iter().zip(self.inverse.row(b)).map(|(x, y)| x - y);
        let mut kept = vec![0.0; self.effects.len()];
        for (j, weight) in difference.enumerate() {
            for (kept, cross) in kept.iter_mut().zip(self.cross.row(j)) {
                *kept += weight * cross;
            }
        }
        kept[a] -= 1.0;
        kept[b] += 1.0;
        kept.iter().all(|rest| rest.abs() < 1e-6)
    }
}

/// A small square matrix, row by row: plain loops, because it is made anew for every redraw.
#[derive(Debug, Clone)]
struct Square {
    size: usize,
    cells: Vec<f64>,
}

impl Square {
    fn zero(size: usize) -> Square {
        Square { size, cells: vec![0.0; size * size] }
    }

    fn at(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.cells[row * self.size + column]
    }

    fn row(&self, row: usize) -> &[f64] {
        &self.cells[row * self.size..(row + 1) * self.size]
    }

    /// A generalised inverse of a symmetric, non-negative matrix, and its rank.
    ///
    /// Pivots at or below `least` are passed over; their rows and columns come back as 0.
    /// # Source
    /// The sweep operator: Goodnight (1979) The American Statistician 33:149 (from memory).
    fn swept(&self, least: f64) -> (Square, usize) {
        let n = self.size;
        let mut swept = self.clone();
        let mut used = vec![false; n];
        for _ in 0..n {
            // The largest pivot left, so that rounding in a small one spoils nothing.
            let free = (0..n).filter(|&k| !used[k]);
            let pivot = free.max_by(|&j, &k| swept.row(j)[j].total_cmp(&swept.row(k)[k]));
            let Some(k) = pivot.filter(|&k| swept.row(k)[k] > least) else { break };
            used[k] = true;
            let pivot = swept.row(k)[k];
            let along: Vec<f64> = swept.row(k).iter().map(|x| x / pivot).collect();
            for j in (0..n).filter(|&j| j != k) {
                let factor = swept.row(j)[k];
                for (i, step) in along.iter().enumerate() {
                    *swept.at(j, i) -= factor * step;
                }
                *swept.at(j, k) = -factor / pivot;
            }
            for (i, step) in along.iter().enumerate() {
                *swept.at(k, i) = *step;
            }
            *swept.at(k, k) = 1.0 / pivot;
        }
        for j in 0..n {
            for i in 0..n {
                if !(used[i] && used[j]) {
                    *swept.at(j, i) = 0.0;
                }
            }
        }
        let rank = used.iter().filter(|&&used| used).count();
        (swept, rank)
    }
}

fn check(rows: &[BlockRow], conditions: usize) -> Result<(), ModelError> {
    if !(2..=256).contains(&conditions) {
        return Err(ModelError::Conditions { conditions });
    }
    for (row, block) in rows.iter().enumerate() {
        if block.condition >= conditions {
            return Err(ModelError::Condition { row, condition: block.condition, conditions });
        }
        if !(block.value.is_finite() && block.position.is_finite()) {
            return Err(ModelError::NotFinite { row });
        }
    }
    Ok(())
}

/// Each key as its place among the different keys.
fn numbered<K: Ord + Copy>(keys: impl Iterator<Item = K>) -> Vec<usize> {
    let keys: Vec<K> = keys.collect();
    let mut places: BTreeMap<K, usize> = keys.iter().map(|&key| (key, 0)).collect();
    for (number, place) in places.values_mut().enumerate() {
        *place = number;
    }
    keys.iter().map(|key| places[key]).collect()
}

/// Takes each group's mean out.
fn centre(values: &mut [f64], group: &[usize], group_size: &[f64]) {
    let mut means = vec![0.0; group_size.len()];
    for (value, &g) in values.iter().zip(group) {
        means[g] += value / group_size[g];
    }
    for (value, &g) in values.iter_mut().zip(group) {
        *value -= means[g];
    }
}

#[cfg(test)]
mod tests;
