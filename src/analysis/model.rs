//! The block model: y = condition + cycle + linear trend in position, by ordinary least squares.
//!
//! Cycles and trend belong to a session each. They are taken out of everything first (they are
//! the same in every redraw), so that fitting another order of the conditions costs a few hundred
//! multiplications. Rank is found, never assumed; a difference that the rows cannot tell is `None`.

use super::BlockRow;
use square::{Square, Sweep, part};
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
        let mut refit = self.refit();
        refit.fit(order);
        refit.fit
    }

    /// Room to fit one order after another: nothing is allocated for the next.
    pub(super) fn refit(&self) -> Refit<'_> {
        let c = self.conditions;
        let fit = Fit {
            effects: vec![0.0; c],
            cross: Square::zero(c),
            inverse: Square::zero(c),
            df: 0,
            variance: None,
        };
        Refit {
            model: self,
            in_group: vec![0; c * self.group_size.len()],
            known: vec![0; c * self.group_size.len()],
            within: Square::zero(c),
            along_trend: vec![0.0; c * self.sessions],
            sums: vec![0.0; c],
            sweep: Sweep::of(c),
            fit,
        }
    }
}

/// Fits of many orders, one at a time.
pub(super) struct Refit<'a> {
    model: &'a Model,
    /// Blocks of a condition in each group, condition by condition.
    in_group: Vec<u32>,
    /// Those that `within` was worked out for.
    known: Vec<u32>,
    /// Conditions' cross-products less cycles: an order that only shuffles cycles keeps them.
    within: Square,
    /// Trend summed over a condition's blocks in each session, condition by condition.
    along_trend: Vec<f64>,
    /// Each condition's sum of what cycles and trends leave.
    sums: Vec<f64>,
    sweep: Sweep,
    fit: Fit,
}

impl Refit<'_> {
    /// As [`Model::fit`].
    pub(super) fn fit(&mut self, order: &[u8]) -> &Fit {
        let Model { conditions, group_size, sessions, .. } = self.model;
        let (c, groups, sessions) = (*conditions, group_size.len(), *sessions);
        self.in_group.fill(0);
        self.along_trend.fill(0.0);
        self.sums.fill(0.0);
        let rows = order.iter().zip(&self.model.group).zip(&self.model.session);
        let rows = rows.zip(&self.model.trend).zip(&self.model.left);
        for ((((&condition, group), session), trend), left) in rows {
            let k = usize::from(condition);
            self.in_group[k * groups + group] += 1;
            self.along_trend[k * sessions + session] += trend;
            self.sums[k] += left;
        }
        if self.in_group != self.known {
            self.known.copy_from_slice(&self.in_group);
            for j in 0..c {
                for k in 0..=j {
                    let (in_j, in_k) = (part(&self.known, j, groups), part(&self.known, k, groups));
                    let both = in_j.iter().zip(in_k).zip(group_size);
                    let shared: f64 =
                        both.map(|((x, y), size)| f64::from(*x) * f64::from(*y) / size).sum();
                    let own = f64::from(if j == k { in_j.iter().sum::<u32>() } else { 0 });
                    *self.within.at(j, k) = own - shared;
                }
            }
        }
        for j in 0..c {
            for k in 0..=j {
                let (along_j, along_k) =
                    (part(&self.along_trend, j, sessions), part(&self.along_trend, k, sessions));
                let along: f64 = along_j.iter().zip(along_k).map(|(x, y)| x * y).sum();
                let both = self.within.row(j)[k] - along;
                *self.fit.cross.at(j, k) = both;
                *self.fit.cross.at(k, j) = both;
            }
        }
        self.solve();
        &self.fit
    }

    fn solve(&mut self) {
        let Refit { model, sums, sweep, fit, .. } = self;
        fit.inverse.cells.copy_from_slice(&fit.cross.cells);
        let rank = fit.inverse.sweep(RANK_TOLERANCE * model.rows() as f64, sweep);
        for (j, effect) in fit.effects.iter_mut().enumerate() {
            *effect = fit.inverse.row(j).iter().zip(&*sums).map(|(v, s)| v * s).sum();
        }
        fit.df = model.rows().saturating_sub(model.nuisance_rank + rank);
        let explained: f64 = fit.effects.iter().zip(&*sums).map(|(e, s)| e * s).sum();
        let squares = (model.left_squares - explained).max(0.0);
        let told = fit.df > 0 && squares > model.no_spread;
        fit.variance = told.then(|| squares / fit.df as f64);
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
        let (of_a, of_b) = (self.inverse.row(a), self.inverse.row(b));
        (0..self.effects.len()).all(|i| {
            let weights = of_a.iter().zip(of_b).map(|(x, y)| x - y);
            let kept: f64 = weights.enumerate().map(|(j, w)| w * self.cross.row(j)[i]).sum();
            let wanted = f64::from(u8::from(i == a)) - f64::from(u8::from(i == b));
            (kept - wanted).abs() < 1e-6
        })
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

mod square;
#[cfg(test)]
mod tests;
