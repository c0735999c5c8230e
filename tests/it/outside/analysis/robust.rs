//! Two samples: t, trimmed means, ranks, effects.

use super::super::checks::{Case, walk};
use tautline::analysis::dominance::{brunner_munzel, cliffs_delta, superiority};
use tautline::analysis::signed_rank::{hodges_lehmann, signed_rank};
use tautline::analysis::winsor::{trimmed_t, yuen, yuen_matched};
use tautline::analysis::{effect, naive};

#[test]
fn two_samples() {
    let left = ["mann_whitney", "hollander_wolfe_permeability", "mann_whitney_ties"];
    let left = ("blocks are matched by cycle: signed ranks, not rank sums", left.as_slice());
    walk("robust", &[left], |case| {
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
            "signed_rank" | "hollander_wolfe_depression" | "signed_rank_ties" => by_ranks(case),
            "dominance" | "dominance_ties" => {
                let (a, b) = (case.list("a"), case.list("b"));
                case.expect("superiority", superiority(&a, &b).unwrap());
                case.expect("cliff_delta", cliffs_delta(&a, &b).unwrap());
            }
            "brunner_munzel" => {
                // Ours is P(a > b), theirs P(b > a).
                let test = brunner_munzel(&case.list("b"), &case.list("a")).unwrap();
                case.expect("superiority_b", test.difference + 0.5);
                case.expect("W", test.t());
                case.expect("p", test.p());
            }
            "effect_sizes_paired" => {
                let got = effect::matched(&case.list("a"), &case.list("b"), 0.95).unwrap();
                case.expect("dz", got.d_z.estimate);
                case.expect_list("dz_interval95", &[got.d_z.low, got.d_z.high]);
                case.expect("dav", got.d_av);
                case.expect("dav_rms", got.d_av_rms);
                case.expect("drm", got.d_rm);
                case.expect("gz", got.g_z);
                case.expect("J", effect::small_sample_factor(11.0));
            }
            "effect_sizes_unpaired" => {
                let got = effect::independent(&case.list("a"), &case.list("b"), 0.95).unwrap();
                case.expect("ds", got.d_s.estimate);
                case.expect_list("ds_interval95", &[got.d_s.low, got.d_s.high]);
                case.expect("gs", got.g_s);
                case.expect("glass_b", got.glass_b);
                case.expect("J", effect::small_sample_factor(24.0));
            }
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

/// The signed-rank test, and the interval that belongs to it.
fn by_ranks(case: &Case) {
    let differences: Vec<f64> = if case.id() == "signed_rank_ties" {
        case.list("d")
    } else {
        case.list("a").iter().zip(case.list("b")).map(|(a, b)| a - b).collect()
    };
    let test = signed_rank(&differences).unwrap();
    case.expect("V", test.v);
    if case.id() == "hollander_wolfe_depression" {
        case.expect("p_greater", test.p_above);
        return;
    }
    case.expect("p", test.p);
    if case.id() == "signed_rank" {
        let got = hodges_lehmann(&differences, 0.95).unwrap();
        case.expect("hl", got.interval.estimate);
        case.expect_list("interval", &[got.interval.low, got.interval.high]);
        case.expect("achieved_level", got.confidence);
    }
}
