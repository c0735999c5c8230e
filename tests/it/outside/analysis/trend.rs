//! Lines and trends over time.

use super::super::checks::walk;
use tautline::analysis::mann_kendall::{autocorrelation, mann_kendall};
use tautline::analysis::newey_west::newey_west;
use tautline::analysis::slope;

#[test]
fn lines() {
    let left = [
        (
            "a slope is of blocks, with Newey and West's beside it; no AR(1) errors are fitted",
            ["gls_ar1_reml"].as_slice(),
        ),
        (
            "a trend over ordered conditions is not asked; over time it is Mann and Kendall's",
            &["page_small", "page_tiny"],
        ),
    ];
    walk("trend", &left, |case| {
        let ols = |x: &[f64], y: &[f64]| {
            let line = slope::line(x, y).unwrap();
            case.expect_list("coef", &[line.intercept, line.slope]);
            case.expect_list("se", &[line.intercept_se, line.slope_se]);
            case.expect("sigma", line.residual_sd);
        };
        match case.id() {
            "ols" => ols(&case.list("x"), &case.list("y")),
            "nist_norris" => {
                let rows = case.table("yx");
                let column = |i: usize| rows.iter().map(|row| row[i]).collect::<Vec<f64>>();
                ols(&column(1), &column(0));
            }
            "newey_west_lag1" | "newey_west_lag4" => {
                let lag = if case.id() == "newey_west_lag1" { 1 } else { 4 };
                let got = newey_west(&case.list("x"), &case.list("y"), lag).unwrap();
                case.expect_list("se_corrected", &[got.intercept_se, got.slope_se]);
            }
            "mann_kendall" | "mann_kendall_ties" => {
                let got = mann_kendall(&case.list("y")).unwrap();
                case.expect("S", got.s);
                case.expect("var_s", got.variance);
                case.expect("z", got.z);
                case.expect("p", got.p);
                case.expect("tau", got.tau);
            }
            "mann_kendall_exact_small" => {
                let got = mann_kendall(&case.list("y")).unwrap();
                case.expect("tau", got.tau);
                case.expect("p", got.p_exact.unwrap());
            }
            "autocorrelation" => {
                case.expect_list("acf_1_5", &autocorrelation(&case.list("y"), 5).unwrap());
            }
            "theil_sen" => {
                let got = slope::theil_sen(&case.list("x"), &case.list("y"), 0.95).unwrap();
                case.expect("slope", got.estimate);
                case.expect_list("slope_interval95", &[got.low, got.high]);
            }
            _ => return false,
        }
        true
    });
}
