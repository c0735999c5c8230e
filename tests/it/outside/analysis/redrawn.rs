//! Re-randomisation against full enumerations by other programs.
//!
//! Those count raw differences, ours the pair's t. Without a trend and with two conditions |t|
//! rises with |difference| (the total sum of squares stays), so the counts must be the same.

use super::super::checks::{Case, walk};
use super::{SPEC, matched, unmatched};
use tautline::analysis::describe::{BlockStatistic, block_statistic};
use tautline::analysis::max_t::{MaxT, Observed};
use tautline::analysis::{BlockRow, Redraws, compare};

#[test]
fn permutation() {
    walk("permutation", &[], |case| {
        match case.id() {
            "sign_flip_darwin" | "sign_flip_n8" | "sign_flip_n10_ties" => {
                let d = case.list("d");
                case.expect("p_two", swapped_in_pairs(&d, &vec![0.0; d.len()]));
            }
            "blocks_4_pairs" | "blocks_7_pairs" => {
                let means = |key: &str| -> Vec<f64> {
                    let mean = BlockStatistic::Mean;
                    let of = |block: &Vec<f64>| block_statistic(block, 0, mean, 1500.0).unwrap();
                    case.table(key).iter().map(of).collect()
                };
                case.expect("p_two_mean", swapped_in_pairs(&means("a"), &means("b")));
            }
            "two_sample_5_5" | "two_sample_4_6" => two_samples(case),
            "three_conditions_superblocks" => family_of_three(case),
            "monte_carlo_p" => {
                let (b, m) = (case.list("b"), case.list("m"));
                let p: Vec<f64> = b.iter().zip(&m).map(|(&b, &m)| sampled(b, m)).collect();
                case.expect_list("p", &p);
            }
            _ => return false,
        }
        true
    });
}

fn exact(rows: &[BlockRow], orders: Vec<Vec<u8>>) -> f64 {
    let attainable_p = 2.0 / orders.len() as f64;
    let redraws = Redraws::Exact { orders: Box::new(orders.into_iter()), attainable_p };
    compare(rows, 2, &SPEC, redraws).unwrap()[0].p_randomization.unwrap()
}

/// Both labels of a pair swap together, all 2^n ways.
fn swapped_in_pairs(a: &[f64], b: &[f64]) -> f64 {
    let orders = (0..1_u32 << a.len())
        .map(|bits| {
            (0..a.len())
                .flat_map(|pair| if bits >> pair & 1 == 0 { [0, 1] } else { [1, 0] })
                .collect()
        })
        .collect();
    exact(&matched(&[a, b]), orders)
}

/// Three conditions in every order of every cycle. The case counts differences of means, so the
/// family's own count is fed with them: ours feeds it with t.
fn family_of_three(case: &Case) {
    let table = case.table("block_means");
    const ORDERS: [[usize; 3]; 6] =
        [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    let differences = |orders: usize| -> Vec<f64> {
        let mut sums = [0.0; 3];
        let mut rest = orders;
        for cycle in &table {
            for (place, &condition) in ORDERS[rest % 6].iter().enumerate() {
                sums[condition] += cycle[place];
            }
            rest /= 6;
        }
        vec![sums[0] - sums[1], sums[0] - sums[2], sums[1] - sums[2]]
    };
    let mut family = MaxT::new(&differences(0));
    let all = 6_usize.pow(u32::try_from(table.len()).unwrap());
    for orders in 0..all {
        family.count(&differences(orders));
    }
    let p = family.p(Observed::Among);
    case.expect("n_total", family.redraws() as f64);
    let counts = |p: &[f64]| p.iter().map(|p| p * all as f64).collect::<Vec<f64>>();
    case.expect_list("n_single", &counts(&p.alone));
    case.expect_list("n_max", &counts(&p.single_step));
    case.expect_list("p_max", &p.single_step);
}

/// All ways to part n values into samples of the observed sizes.
fn two_samples(case: &Case) {
    let (a, b) = (case.list("a"), case.list("b"));
    let n = a.len() + b.len();
    let orders: Vec<Vec<u8>> = (0..1_u32 << n)
        .filter(|bits| bits.count_ones() as usize == b.len())
        .map(|bits| (0..n).map(|i| u8::from(bits >> i & 1 == 1)).collect())
        .collect();
    case.expect("n_total", orders.len() as f64);
    case.expect("p_two_abs", exact(&unmatched(&[&a, &b]), orders));
}

/// p of `m` drawn orders of which `b` reach the observed t: copies of the observed one and of one
/// that does not.
fn sampled(b: f64, m: f64) -> f64 {
    let a_values = [10.0, 12.0, 11.0, 14.0, 10.5];
    let b_values = [20.0, 23.0, 19.0, 25.0, 21.5];
    let rows = matched(&[&a_values, &b_values]);
    let observed = vec![0, 1, 0, 1, 0, 1, 0, 1, 0, 1];
    let weaker = vec![1, 0, 0, 1, 1, 0, 0, 1, 0, 1];
    let mut redraw = 0.0;
    let orders = std::iter::from_fn(move || {
        redraw += 1.0;
        let order = if redraw <= b { &observed } else { &weaker };
        (redraw <= m).then(|| order.clone())
    });
    let redraws = Redraws::MonteCarlo { orders: Box::new(orders), attainable_p: 2.0 / 32.0 };
    compare(&rows, 2, &SPEC, redraws).unwrap()[0].p_randomization.unwrap()
}
