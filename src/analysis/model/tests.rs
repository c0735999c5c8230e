//! The block model against the whole design matrix solved by singular values, and by hand.

use super::*;
use nalgebra::{DMatrix, DVector};

fn row(session: usize, cycle: usize, position: f64, condition: usize, value: f64) -> BlockRow {
    BlockRow { session, cycle, position, condition, value }
}

fn order(rows: &[BlockRow]) -> Vec<u8> {
    rows.iter().map(|row| u8::try_from(row.condition).expect("few conditions")).collect()
}

/// Conditions in a given order, cycle by cycle, with values that follow no pattern.
fn table(sessions: &[&[&[usize]]]) -> Vec<BlockRow> {
    let mut rows = Vec::new();
    let mut wobble = 0.37_f64;
    for (session, cycles) in sessions.iter().enumerate() {
        let mut position = 0.0;
        for (cycle, conditions) in cycles.iter().enumerate() {
            for &condition in *conditions {
                position += 1.0;
                wobble = (wobble * 37.91 + 0.113).fract();
                let effect = [0.0, 6.0, -3.0, 11.0][condition];
                let value = 230.0 + effect + 1.5 * position + 14.0 * wobble;
                rows.push(row(session, cycle, position, condition, value));
            }
        }
    }
    rows
}

/// The other route: every column written out, solved and ranked by singular values.
struct Whole {
    effects: DVector<f64>,
    inverse: DMatrix<f64>,
    df: usize,
    variance: f64,
}

fn whole(rows: &[BlockRow], conditions: usize) -> Whole {
    let cycles: Vec<(usize, usize)> = {
        let mut all: Vec<_> = rows.iter().map(|r| (r.session, r.cycle)).collect();
        all.dedup();
        all
    };
    let sessions = rows.iter().map(|r| r.session).max().expect("rows") + 1;
    let x = DMatrix::from_fn(rows.len(), conditions + cycles.len() + sessions, |i, j| {
        let r = rows[i];
        let one = |yes: bool| f64::from(u8::from(yes));
        if j < conditions {
            one(r.condition == j)
        } else if j < conditions + cycles.len() {
            one((r.session, r.cycle) == cycles[j - conditions])
        } else {
            one(r.session == j - conditions - cycles.len()) * r.position
        }
    });
    let y = DVector::from_iterator(rows.len(), rows.iter().map(|r| r.value));
    let rank = x.clone().svd(false, false).rank(1e-9);
    let pinv = x.clone().pseudo_inverse(1e-9).expect("a tolerance above 0");
    let effects = &pinv * &y;
    let rest = &y - &x * &effects;
    let df = rows.len() - rank;
    Whole {
        effects,
        inverse: &pinv * pinv.transpose(),
        df,
        variance: rest.norm_squared() / df as f64,
    }
}

#[test]
fn the_same_as_the_whole_design_matrix() {
    let complete: &[&[usize]] = &[&[0, 1, 2], &[2, 0, 1], &[1, 0, 2], &[2, 1, 0]];
    let partial: &[&[usize]] = &[&[0, 1, 2], &[2, 1], &[1, 0, 2], &[0], &[2, 0, 1]];
    let two: &[&[usize]] = &[&[0, 1], &[1, 0], &[1, 0], &[0, 1], &[0, 1]];
    let cases: [(&[&[&[usize]]], usize); 4] =
        [(&[complete], 3), (&[partial], 3), (&[two], 2), (&[complete, partial], 3)];
    for (sessions, conditions) in cases {
        let rows = table(sessions);
        let fit = Model::new(&rows, conditions).expect("a block table").fit(&order(&rows));
        let other = whole(&rows, conditions);
        assert_eq!(fit.df, other.df);
        let variance = fit.variance.expect("spread");
        assert!((variance / other.variance - 1.0).abs() < 1e-9);
        for a in 0..conditions {
            for b in a + 1..conditions {
                let got = fit.contrast(a, b).expect("can be told");
                let v = &other.inverse;
                let se = (other.variance * (v[(a, a)] + v[(b, b)] - 2.0 * v[(a, b)])).sqrt();
                assert!((got.estimate - (other.effects[a] - other.effects[b])).abs() < 1e-9);
                assert!((got.standard_error - se).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn a_complete_table_has_the_stated_degrees_of_freedom() {
    let rows = table(&[&[&[0, 1], &[1, 0], &[0, 1], &[1, 0], &[1, 0], &[0, 1]]]);
    let fit = Model::new(&rows, 2).expect("a block table").fit(&order(&rows));
    assert_eq!(fit.df, 4, "(C - 1)(K - 1) - 1");
}

#[test]
fn a_fixed_order_tells_nothing_beside_a_trend() {
    let rows = table(&[&[&[0, 1], &[0, 1], &[0, 1], &[0, 1]]]);
    let fit = Model::new(&rows, 2).expect("a block table").fit(&order(&rows));
    assert_eq!(fit.contrast(0, 1), None);
    // With three, A B C each time: only what is free of the trend could be told, and no pair is.
    let rows = table(&[&[&[0, 1, 2], &[0, 1, 2], &[0, 1, 2], &[0, 1, 2]]]);
    let fit = Model::new(&rows, 3).expect("a block table").fit(&order(&rows));
    for (a, b) in [(0, 1), (0, 2), (1, 2)] {
        assert_eq!(fit.contrast(a, b), None);
    }
}

#[test]
fn a_condition_without_blocks_cannot_be_told_and_the_others_can() {
    let rows = table(&[&[&[0, 1], &[1, 0], &[1, 0], &[0, 1], &[0, 1]]]);
    let fit = Model::new(&rows, 3).expect("a block table").fit(&order(&rows));
    assert_eq!(fit.contrast(0, 2), None);
    assert!(fit.contrast(0, 1).is_some());
}

#[test]
fn a_straight_drift_costs_nothing() {
    // Mirrored twice: A B B A; a true difference of 6 and a drift of 2 a block, no noise but one.
    let places = [0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0];
    let rows: Vec<BlockRow> = places
        .iter()
        .enumerate()
        .map(|(i, &condition)| {
            let position = i as f64 + 1.0;
            let value = 200.0 + 2.0 * position + if condition == 1 { 6.0 } else { 0.0 };
            row(0, i / 2, position, condition, value)
        })
        .collect();
    let model = Model::new(&rows, 2).expect("a block table");
    assert_eq!(model.fit(&order(&rows)).variance, None, "nothing is left over");
    let mut rows = rows;
    rows[0].value += 1e-3;
    let fit = Model::new(&rows, 2).expect("a block table").fit(&order(&rows));
    let got = fit.contrast(0, 1).expect("can be told");
    assert!((got.estimate + 6.0).abs() < 1e-3, "{got:?}");
}

#[test]
fn what_is_no_block_table_is_refused() {
    let good = row(0, 0, 1.0, 0, 200.0);
    assert_eq!(Model::new(&[good], 1).err(), Some(ModelError::Conditions { conditions: 1 }));
    let strange = row(0, 0, 2.0, 2, 200.0);
    assert_eq!(
        Model::new(&[good, strange], 2).err(),
        Some(ModelError::Condition { row: 1, condition: 2, conditions: 2 })
    );
    let blank = row(0, 0, 2.0, 1, f64::NAN);
    assert_eq!(Model::new(&[good, blank], 2).err(), Some(ModelError::NotFinite { row: 1 }));
}
