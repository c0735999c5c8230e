//! The comparison by hand and by its promises; outside values stand in the integration tests.

use super::*;
use crate::analysis::Verdict;

/// Blocks of two conditions in the given order, two a cycle.
fn two_holds(places: &[usize], values: &[f64]) -> Vec<BlockRow> {
    places
        .iter()
        .zip(values)
        .enumerate()
        .map(|(i, (&condition, &value))| BlockRow {
            session: 0,
            cycle: i / 2,
            position: i as f64 + 1.0,
            condition,
            value,
        })
        .collect()
}

const SPEC: CompareSpec =
    CompareSpec { family: Family::All, confidence: 0.95, smallest_change: 5.0 };

/// Every order of `cycles` cycles of two.
fn every_order(cycles: u32) -> Box<dyn Iterator<Item = Vec<u8>>> {
    Box::new((0..1_u32 << cycles).map(move |bits| {
        (0..cycles).flat_map(|cycle| if bits >> cycle & 1 == 0 { [0, 1] } else { [1, 0] }).collect()
    }))
}

const PLACES: [usize; 12] = [0, 1, 1, 0, 1, 0, 0, 1, 0, 1, 1, 0];
const VALUES: [f64; 12] =
    [221.0, 233.5, 229.0, 219.5, 236.0, 218.0, 224.5, 231.0, 220.5, 238.0, 230.5, 222.0];

#[test]
fn intervals_stand_around_the_difference() {
    let rows = two_holds(&PLACES, &VALUES);
    let pairs = compare(&rows, 2, &SPEC, Redraws::None).expect("a table");
    let fit = pairs[0].fit.expect("can be told");
    assert_eq!((pairs.len(), pairs[0].a, pairs[0].b), (1, 0, 1));
    assert!((fit.df - 4.0).abs() < 1e-12);
    // Two holds: the family is one pair, so both intervals are the plain t interval (2.776 on 4).
    assert!((fit.high - fit.difference - 2.776_445 * fit.standard_error).abs() < 1e-5);
    assert!((fit.low - fit.low_single).abs() < 1e-9 && (fit.p_t - fit.p_adjusted).abs() < 1e-12);
    assert!((fit.equivalence_high - fit.difference - 2.131_847 * fit.standard_error).abs() < 1e-5);
    // Flat prior: chance of being faster is one minus half the two-sided p.
    assert!((fit.chance_a_faster - (1.0 - fit.p_t / 2.0)).abs() < 1e-12);
    assert!(fit.chance_a_faster_by_enough < fit.chance_a_faster);
    assert_eq!(pairs[0].verdict, Verdict::AFasterByEnough);
    assert_eq!((pairs[0].p_randomization, pairs[0].attainable_p), (None, None));
}

#[test]
fn the_exact_p_is_a_count_of_orders() {
    let rows = two_holds(&PLACES, &VALUES);
    let exact = Redraws::Exact { orders: every_order(6), attainable_p: 2.0 / 64.0 };
    let pairs = compare(&rows, 2, &SPEC, exact).expect("a table");
    let p = pairs[0].p_randomization.expect("there are other draws");
    // The mirror image of the observed order has the same |t|.
    assert!(p >= 2.0 / 64.0 && (p * 64.0 - (p * 64.0).round()).abs() < 1e-9, "{p}");
    assert!((pairs[0].attainable_p.expect("said") - 2.0 / 64.0).abs() < 1e-15);
    assert!(p < 0.1, "{p}");
    // The same orders as if drawn at random: one more in both counts.
    let drawn = Redraws::MonteCarlo { orders: every_order(6), attainable_p: 2.0 / 64.0 };
    let sampled = compare(&rows, 2, &SPEC, drawn).expect("a table")[0].p_randomization;
    assert!((sampled.expect("drawn") - (p * 64.0 + 1.0) / 65.0).abs() < 1e-12);
}

/// Under "no hold matters" each order is as likely: over all orders of one set of values the
/// exact p must be at or below x in at most a share x of them.
#[test]
fn the_exact_p_keeps_its_level() {
    let mut ps = Vec::new();
    for order in every_order(6) {
        let places: Vec<usize> = order.iter().map(|&k| usize::from(k)).collect();
        let rows = two_holds(&places, &VALUES);
        let exact = Redraws::Exact { orders: every_order(6), attainable_p: 2.0 / 64.0 };
        let pair = compare(&rows, 2, &SPEC, exact).expect("a table")[0];
        ps.push(pair.p_randomization.filter(|_| pair.fit.is_some()).unwrap_or(1.0));
    }
    for &level in &ps {
        let share = ps.iter().filter(|&&p| p <= level + 1e-12).count() as f64 / ps.len() as f64;
        assert!(share <= level + 1e-9, "p <= {level} in {share}");
    }
}

/// The pair's t forgives a third hold far off; the raw difference would not.
#[test]
fn a_third_hold_far_off_hides_nothing() {
    let cycles = [[0, 1, 2], [2, 1, 0], [1, 2, 0], [0, 2, 1], [2, 0, 1], [1, 0, 2]];
    let noise = [0.4, -1.1, 0.9, -0.3, 1.2, -0.8, 0.2, 0.7, -1.3];
    let mut rows = Vec::new();
    for (cycle, conditions) in cycles.iter().enumerate() {
        for &condition in conditions {
            let i = rows.len();
            let value = 220.0 + [0.0, 8.0, 40.0][condition] + noise[i % 9];
            rows.push(BlockRow { session: 0, cycle, position: i as f64 + 1.0, condition, value });
        }
    }
    // A seeded shuffle of each cycle: a plain linear congruential generator will do.
    let mut state = 20_u64;
    let orders = (0..999).map(move |_| {
        let mut order = Vec::new();
        for _ in 0..6 {
            let mut cycle = [0_u8, 1, 2];
            for i in (1..3).rev() {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                cycle.swap(i, (state >> 33) as usize % (i + 1));
            }
            order.extend(cycle);
        }
        order
    });
    let redraws = Redraws::MonteCarlo { orders: Box::new(orders), attainable_p: 2.0 / 46_656.0 };
    let pairs = compare(&rows, 3, &SPEC, redraws).expect("a table");
    assert_eq!(pairs.iter().map(|p| (p.a, p.b)).collect::<Vec<_>>(), [(0, 1), (0, 2), (1, 2)]);
    let p = pairs[0].p_randomization.expect("drawn");
    assert!(p < 0.05, "{p}");
    let fit = pairs[0].fit.expect("can be told");
    assert!(fit.low < fit.low_single && fit.p_adjusted > fit.p_t, "three pairs widen each other");
}

#[test]
fn a_reference_keeps_the_pairs_that_hold_it() {
    let of = |reference| pairs_of(Family::Reference(reference), 4);
    assert_eq!(of(0), [(0, 1), (0, 2), (0, 3)]);
    assert_eq!(of(2), [(0, 2), (1, 2), (2, 3)]);
    assert_eq!(pairs_of(Family::All, 3), [(0, 1), (0, 2), (1, 2)]);
}

#[test]
fn too_few_blocks_withhold_the_verdict() {
    // Two holds, 3 cycles: 6 rows, rank 3 + 1 + 1 leaves 1 degree of freedom.
    let rows = two_holds(&PLACES[..6], &VALUES[..6]);
    let exact = Redraws::Exact { orders: every_order(3), attainable_p: 0.25 };
    let pair = compare(&rows, 2, &SPEC, exact).expect("a table")[0];
    assert_eq!((pair.fit, pair.p_randomization), (None, None));
    assert_eq!(pair.verdict, Verdict::Withheld);
}

#[test]
fn what_cannot_be_is_refused() {
    let rows = two_holds(&PLACES, &VALUES);
    let with = |spec: CompareSpec| compare(&rows, 2, &spec, Redraws::None).err();
    assert_eq!(
        with(CompareSpec { confidence: 1.0, ..SPEC }),
        Some(CompareError::Confidence { confidence: 1.0 })
    );
    assert_eq!(
        with(CompareSpec { smallest_change: -1.0, ..SPEC }),
        Some(CompareError::SmallestChange { smallest_change: -1.0 })
    );
    assert_eq!(
        with(CompareSpec { family: Family::Reference(2), ..SPEC }),
        Some(CompareError::Reference { reference: 2, conditions: 2 })
    );
    let redraw = |orders: Vec<Vec<u8>>| {
        let orders = Box::new(orders.into_iter());
        compare(&rows, 2, &SPEC, Redraws::Exact { orders, attainable_p: 0.5 }).err()
    };
    assert_eq!(
        redraw(vec![vec![0, 1]]),
        Some(CompareError::Order { redraw: 0, places: 2, rows: 12 })
    );
    // Its t is smaller than the observed one, and the observed order is not in the list.
    assert_eq!(
        redraw(vec![vec![0, 1, 0, 1, 1, 0, 0, 1, 1, 0, 1, 0]]),
        Some(CompareError::ObservedNotDrawn)
    );
}

/// Sessions without any true difference, with drift, practice and block noise: the family's
/// intervals must leave out 0 in 5 % of them, within 4 Monte-Carlo standard errors.
#[test]
fn the_family_keeps_its_level() {
    let (sessions, conditions, cycles) = (1000_u32, 3, 6);
    for family in [Family::All, Family::Reference(1)] {
        let spec = CompareSpec { family, ..SPEC };
        let wrong = (0..sessions)
            .filter(|&session| {
                let rows = null_session(u64::from(session), conditions, cycles);
                let pairs = compare(&rows, conditions, &spec, Redraws::None).expect("a table");
                pairs.iter().any(|pair| pair.fit.is_none_or(|fit| fit.low > 0.0 || fit.high < 0.0))
            })
            .count();
        let share = wrong as f64 / f64::from(sessions);
        let se = (0.05 * 0.95 / f64::from(sessions)).sqrt();
        assert!((share - 0.05).abs() < 4.0 * se, "{family:?}: {share}");
    }
}

/// The same for the exact p of two holds, the two orders that could tell nothing left out by the
/// draw.
#[test]
fn the_exact_p_rejects_as_often_as_it_may() {
    let useful = |order: &Vec<u8>| order.chunks(2).any(|cycle| cycle != &order[..2]);
    let observed = |rows: &[BlockRow]| -> Vec<u8> {
        rows.iter().map(|row| u8::from(row.condition == 1)).collect()
    };
    let sessions: Vec<Vec<BlockRow>> = (0..500)
        .map(|seed| null_session(seed, 2, 6))
        .filter(|rows| useful(&observed(rows)))
        .collect();
    let wrong = sessions
        .iter()
        .filter(|rows| {
            let orders = Box::new(every_order(6).filter(useful));
            let exact = Redraws::Exact { orders, attainable_p: 2.0 / 62.0 };
            let pair = compare(rows, 2, &SPEC, exact).expect("a table")[0];
            pair.p_randomization.is_some_and(|p| p <= 0.05)
        })
        .count();
    let n = sessions.len() as f64;
    let share = wrong as f64 / n;
    assert!(share > 0.005 && share < 0.05 + 4.0 * (0.05 * 0.95 / n).sqrt(), "{share}");
}

/// A session in which no hold matters: a bent practice curve, a drift, skewed block noise, each
/// cycle's order shuffled.
fn null_session(seed: u64, conditions: usize, cycles: usize) -> Vec<BlockRow> {
    use rand::{RngExt, SeedableRng};
    let mut rng = rand_chacha::ChaCha12Rng::seed_from_u64(seed);
    let mut rows = Vec::new();
    for cycle in 0..cycles {
        let mut order: Vec<usize> = (0..conditions).collect();
        for i in (1..conditions).rev() {
            order.swap(i, rng.random_range(0..=i));
        }
        for condition in order {
            let i = rows.len() as f64;
            // Three uniforms and an exponential: near normal, a little skewed.
            let even: f64 = (0..3).map(|_| rng.random::<f64>() - 0.5).sum();
            let noise = 10.0 * even - 2.0 * libm::log(1.0 - rng.random::<f64>());
            let value = 230.0 + 12.0 * libm::exp(-i / 3.0) + 0.8 * i + noise;
            rows.push(BlockRow { session: 0, cycle, position: i + 1.0, condition, value });
        }
    }
    rows
}
