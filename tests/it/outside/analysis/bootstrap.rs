//! The bootstrap against full enumeration, scipy and the published spatial test.

use super::super::checks::{Case, walk};
use tautline::analysis::bootstrap::{Bootstrap, by_blocks};
use tautline::analysis::describe::{mean, median, sd};

/// Draws of the check values.
const DRAWS: usize = 99_999;

#[test]
fn bootstrap() {
    walk("bootstrap", &[], |case| {
        match case.id() {
            "exact_mean_n6" => exact_mean(case),
            "exact_median_n7" => exact_median(case),
            "spatial_test" => {
                let x = case.list("x");
                let [got] = by_blocks(&[26], DRAWS, 1, |chosen| {
                    let chosen = pick(&x, &chosen[0]);
                    let n = chosen.len() as f64;
                    [sd(&chosen).unwrap().powi(2) * (n - 1.0) / n]
                })
                .unwrap();
                case.expect("theta", got.estimate());
                case.expect("a", got.acceleration());
                case.expect("theta_published", got.estimate());
                case.expect("a_published", got.acceleration());
                // Their 90 % interval with 2000 draws, from memory; 5 at each end. That few draws
                // alone move its upper end by an sd of 4.3 (scipy 1.10, 60 repeats), so ours has more.
                let bca = got.bca(0.9).unwrap();
                assert!((bca.low - 115.8).abs() < 5.0 && (bca.high - 259.6).abs() < 5.0, "{bca:?}");
            }
            "bca_mean_n20" => {
                let got = one_sample(case, mean);
                case.expect("a", got.acceleration());
                bca(case, &got);
            }
            "bca_median_n20" => percentile(case, &one_sample(case, median)),
            "bca_two_sample_mean" => {
                let got = two_samples(case, mean);
                case.expect("a", got.acceleration());
                bca(case, &got);
            }
            "percentile_two_sample_median" => percentile(case, &two_samples(case, median)),
            _ => return false,
        }
        true
    });
}

fn pick(x: &[f64], chosen: &[usize]) -> Vec<f64> {
    chosen.iter().map(|&i| x[i]).collect()
}

fn one_sample(case: &Case, statistic: fn(&[f64]) -> Option<f64>) -> Bootstrap {
    let x = case.list("x");
    let draw = |chosen: &[Vec<usize>]| [statistic(&pick(&x, &chosen[0])).unwrap()];
    let [got] = by_blocks(&[x.len()], DRAWS, 1000, draw).unwrap();
    got
}

fn two_samples(case: &Case, statistic: fn(&[f64]) -> Option<f64>) -> Bootstrap {
    let (x1, x2) = (case.list("x1"), case.list("x2"));
    let of = |x: &[f64], chosen: &[usize]| statistic(&pick(x, chosen)).unwrap();
    let draw = |chosen: &[Vec<usize>]| [of(&x1, &chosen[0]) - of(&x2, &chosen[1])];
    let [got] = by_blocks(&[x1.len(), x2.len()], DRAWS, 1000, draw).unwrap();
    got
}

fn percentile(case: &Case, got: &Bootstrap) {
    case.expect("estimate", got.estimate());
    case.expect("z0", got.bias().unwrap());
    let interval = got.percentile(0.95);
    case.expect_list("percentile95", &[interval.low, interval.high]);
}

fn bca(case: &Case, got: &Bootstrap) {
    percentile(case, got);
    let interval = got.bca(0.95).unwrap();
    case.expect_list("bca95", &[interval.low, interval.high]);
}

/// Every one of the n^n choices, as a bootstrap.
fn enumerated(x: &[f64], statistic: fn(&[f64]) -> Option<f64>) -> Bootstrap {
    let n = x.len();
    let choices = n.pow(u32::try_from(n).unwrap());
    let draws = (0..choices)
        .map(|choice| {
            let chosen: Vec<f64> = (0..x.len())
                .map(|place| x[choice / n.pow(u32::try_from(place).unwrap()) % n])
                .collect();
            statistic(&chosen).unwrap()
        })
        .collect();
    let without = (0..n)
        .map(|out| {
            let mut left = x.to_vec();
            left.remove(out);
            statistic(&left).unwrap()
        })
        .collect();
    Bootstrap::new(statistic(x).unwrap(), draws, vec![without]).unwrap()
}

fn exact_mean(case: &Case) {
    let x = case.list("x");
    let got = enumerated(&x, mean);
    case.expect("z0", got.bias().unwrap());
    case.expect("a", got.acceleration());
    let levels = got.bca_levels(0.95).unwrap();
    case.expect_list("bca_levels", &levels);
    let (interval, bca) = (got.percentile(0.95), got.bca(0.95).unwrap());
    case.expect_list("percentile95", &[interval.low, interval.high]);
    case.expect_list("bca95", &[bca.low, bca.high]);
    // The sd of all of them has divisor n^n.
    let all = 46_656.0_f64;
    case.expect("se", got.standard_error() * ((all - 1.0) / all).sqrt());
    // Drawn instead of counted out: within four Monte-Carlo standard errors.
    let [drawn] =
        by_blocks(&[6], DRAWS, 7, |chosen| [mean(&pick(&x, &chosen[0])).unwrap()]).unwrap();
    let se = case.expected("se")[0];
    assert!((drawn.standard_error() - se).abs() < 4.0 * se / (2.0 * DRAWS as f64).sqrt());
}

/// The chance of each median, and the mean and sd of them.
fn exact_median(case: &Case) {
    let x = case.list("x");
    let got = enumerated(&x, median);
    let all = 823_543.0_f64;
    case.expect("se", got.standard_error() * ((all - 1.0) / all).sqrt());
}
