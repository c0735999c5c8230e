//! Two samples: t, trimmed means, ranks, effects.

use super::super::checks::{Case, walk};
use tautline::analysis::naive;
use tautline::analysis::winsor::{trimmed_t, yuen, yuen_matched};

#[test]
fn two_samples() {
    let left = [
        "signed_rank",
        "mann_whitney",
        "hollander_wolfe_depression",
        "hollander_wolfe_permeability",
        "mann_whitney_ties",
        "signed_rank_ties",
        "dominance",
        "dominance_ties",
        "brunner_munzel",
        "effect_sizes_paired",
        "effect_sizes_unpaired",
    ];
    walk("robust", &left, |case| {
        let id = case.id();
        match id {
            "welch_t" | "student_t" | "student_sleep_welch" => {
                let (a, b) = (case.list("a"), case.list("b"));
                let test =
                    if id == "student_t" { naive::pooled(&a, &b) } else { naive::welch(&a, &b) };
                let test = test.unwrap();
                case.expect("t", test.t());
                case.expect("df", test.df);
                case.expect("p", test.p());
                let interval = test.interval(0.95);
                case.expect_list("interval95", &[interval.low, interval.high]);
            }
            "yuen_20" | "yuen_10" | "yuen_paired_20" | "trimmed_one_sample_20" => trimmed(case),
            "tost_welch" => {
                let test = naive::welch(&case.list("a"), &case.list("b")).unwrap();
                case.expect("p", test.equivalence_p(case.number("low"), case.number("high")));
                let interval = test.interval(0.9);
                case.expect_list("interval90", &[interval.low, interval.high]);
            }
            "paired_t" | "student_sleep_paired" => {
                let fit = super::paired(&case.list("a"), &case.list("b")).fit.unwrap();
                case.expect("t", fit.difference / fit.standard_error);
                case.expect("df", fit.df);
                case.expect("p", fit.p_t);
                case.expect_list("interval95", &[fit.low_single, fit.high_single]);
                // Two conditions: the family is one pair.
                case.expect("p", fit.p_adjusted);
                case.expect_list("interval95", &[fit.low, fit.high]);
            }
            "tost_paired" => {
                let fit = super::paired(&case.list("a"), &case.list("b")).fit.unwrap();
                let interval = [fit.equivalence_low, fit.equivalence_high];
                case.expect_list("interval90", &interval);
            }
            _ => return false,
        }
        true
    });
}

/// Trimmed means: one sample, two, matched ones.
fn trimmed(case: &Case) {
    let (mean, test) = match case.id() {
        "trimmed_one_sample_20" => ("mean", trimmed_t(&case.list("d"), 0.2)),
        "yuen_paired_20" => ("diff", yuen_matched(&case.list("a"), &case.list("b"), 0.2)),
        "yuen_10" => ("diff", yuen(&case.list("a"), &case.list("b"), 0.1)),
        _ => ("diff", yuen(&case.list("a"), &case.list("b"), 0.2)),
    };
    let test = test.unwrap();
    case.expect(mean, test.difference);
    case.expect("se", test.standard_error);
    case.expect("t", test.t());
    case.expect("df", test.df);
    case.expect("p", test.p());
    if case.id() != "trimmed_one_sample_20" {
        let interval = test.interval(0.95);
        case.expect_list("interval95", &[interval.low, interval.high]);
    }
}
