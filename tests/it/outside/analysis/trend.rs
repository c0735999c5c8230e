//! Lines and trends over time.

use super::super::checks::walk;
use tautline::analysis::slope;

#[test]
fn lines() {
    let left = [
        "newey_west_lag1",
        "newey_west_lag4",
        "gls_ar1_reml",
        "mann_kendall",
        "mann_kendall_ties",
        "mann_kendall_exact_small",
        "page_small",
        "page_tiny",
        "autocorrelation",
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
