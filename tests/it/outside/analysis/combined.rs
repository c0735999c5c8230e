//! Sessions taken together, against statsmodels.

use super::super::checks::walk;
use tautline::analysis::combine::combine;

#[test]
fn random_effects() {
    walk("combine", &[], |case| {
        if !matches!(case.id(), "five_sessions" | "four_alike") {
            return false;
        }
        let got = combine(&case.list("y"), &case.list("s"), 0.95).unwrap();
        case.expect("mean", got.mean.estimate);
        case.expect("between", got.between);
        case.expect("factor", got.factor);
        case.expect("q", got.q);
        case.expect_list("interval95", &[got.mean.low, got.mean.high]);
        if case.id() == "five_sessions" {
            case.expect("standard_error", got.standard_error);
            case.expect("i_squared", got.i_squared);
        }
        true
    });
}
