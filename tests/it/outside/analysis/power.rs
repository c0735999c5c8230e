//! Power and sample size of t tests by the noncentral t, against scipy, R and Cohen's table; and
//! methods that the program does without.

use super::super::checks::walk;
use tautline::analysis::{noncentral, student};

/// Chance that a t test of `n` (pairs, or in each of two groups) tells an effect of `d` sd, two-sided at 5 %.
fn power(groups: f64, n: f64, d: f64) -> f64 {
    let (df, delta) = (groups * (n - 1.0), d * (n / groups).sqrt());
    let critical = student::critical(0.95, df);
    1.0 - noncentral::below(critical, df, delta) + noncentral::below(-critical, df, delta)
}

/// The least n, as a fraction, of that power.
fn needed(groups: f64, d: f64, wished: f64) -> f64 {
    let (mut low, mut high) = (2.0, 10_000.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if power(groups, middle, d) < wished { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

#[test]
fn power_of_t_tests() {
    walk("power", &[], |case| {
        let d = case.list("d");
        match case.id() {
            "paired_n" | "two_sample_n" => {
                let groups = if case.id() == "paired_n" { 1.0 } else { 2.0 };
                let wished = case.list("power");
                let n: Vec<f64> =
                    d.iter().zip(&wished).map(|(&d, &power)| needed(groups, d, power)).collect();
                case.expect_list("n", &n);
                case.expect_list("n_up", &n.iter().map(|n| n.ceil()).collect::<Vec<f64>>());
            }
            "paired_power" => {
                let got = d.iter().zip(case.list("n")).map(|(&d, n)| power(1.0, n, d));
                case.expect_list("power", &got.collect::<Vec<f64>>());
            }
            "paired_power_one_sided" => {
                let one_sided = |(&d, n): (&f64, f64)| {
                    let (df, delta) = (n - 1.0, d * n.sqrt());
                    1.0 - noncentral::below(student::critical(0.9, df), df, delta)
                };
                let got = d.iter().zip(case.list("n")).map(one_sided);
                case.expect_list("power", &got.collect::<Vec<f64>>());
            }
            "published_cohen" => {
                let n: Vec<f64> = d.iter().map(|&d| needed(2.0, d, 0.8).ceil()).collect();
                case.expect_list("n", &n);
            }
            _ => return false,
        }
        true
    });
}

#[test]
fn no_bayes_factor_is_told() {
    let all = [
        "jzs_one_sample_r0707",
        "jzs_one_sample_r1",
        "jzs_two_sample_r0707",
        "student_sleep_paired",
        "published_rouder_2009",
        "normal_prior",
    ];
    let why =
        "chances are read off the t of the estimate under a flat prior, which has no such factor";
    walk("bayes", &[(why, all.as_slice())], |_| false);
}
