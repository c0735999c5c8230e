//! One sample, two samples, a line, frames.

use super::super::checks::{read_sheet, walk};
use tautline::analysis::describe::{MAD_NORMAL, mad, mean, median, quantile, sd, trimmed_mean};
use tautline::analysis::{frames, naive, slope};

#[test]
fn descriptive() {
    walk("descriptive", &[], |case| {
        match case.id() {
            "rt10" | "rt7" | "ties12" | "rt101" => {
                let x = case.list("x");
                case.expect("mean", mean(&x).unwrap());
                case.expect("median", median(&x).unwrap());
                case.expect("sd", sd(&x).unwrap());
                case.expect("mad_raw", mad(&x).unwrap());
                case.expect("mad_normal", MAD_NORMAL * mad(&x).unwrap());
                case.expect("trim20", trimmed_mean(&x).unwrap());
                let quantiles: Vec<f64> =
                    case.list("p").iter().map(|&p| quantile(&x, p).unwrap()).collect();
                case.expect_list("quantile7", &quantiles);
            }
            "nist_michelson" => {
                let x: Vec<f64> = read_sheet("../open/morley.csv")
                    .column("Speed")
                    .iter()
                    .map(|speed| speed / 1000.0 + 299.0)
                    .collect();
                case.expect("mean", mean(&x).unwrap());
                case.expect("sd", sd(&x).unwrap());
            }
            "nist_numacc1" => {
                let x = case.list("x");
                case.expect("mean", mean(&x).unwrap());
                case.expect("sd", sd(&x).unwrap());
            }
            "nist_numacc3" => {
                let mut x = vec![case.number("first")];
                for _ in 0..500 {
                    x.extend(case.list("pair"));
                }
                case.expect("mean", mean(&x).unwrap());
                case.expect("sd", sd(&x).unwrap());
            }
            _ => return false,
        }
        true
    });
}

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

#[test]
fn frame_counts() {
    walk("frames", &["sheppard"], |case| {
        let each = |key: &str, f: &dyn Fn(f64) -> f64| -> Vec<f64> {
            case.list(key).into_iter().map(f).collect()
        };
        match case.id() {
            "one_end" => {
                case.expect_list("frame_ms", &each("hz", &|hz| frames::ms(1.0, hz)));
                let sd = each("hz", &|hz| frames::one_end_sd(frames::ms(1.0, hz)));
                case.expect_list("sd_ms", &sd);
            }
            "both_ends" => {
                let sd = each("hz", &|hz| {
                    let frame = frames::ms(1.0, hz);
                    frames::both_ends_sd(frame, frame)
                });
                case.expect_list("sd_ms", &sd);
            }
            "two_rates" => {
                let (one, other) = (case.list("hz1"), case.list("hz2"));
                let sd: Vec<f64> = one
                    .iter()
                    .zip(&other)
                    .map(|(&a, &b)| frames::both_ends_sd(frames::ms(1.0, a), frames::ms(1.0, b)))
                    .collect();
                case.expect_list("sd_ms", &sd);
            }
            // 25.2 frames at 120 a second are 210 ms: common practice, no source.
            "counts" => {
                let ms: Vec<f64> = case
                    .list("frames")
                    .iter()
                    .zip(case.list("rate"))
                    .map(|(&n, rate)| frames::ms(n, rate))
                    .collect();
                case.expect_list("ms", &ms);
            }
            "mean_of_counts" => {
                let frame = frames::ms(1.0, case.number("hz"));
                let sd = each("n", &|n| frames::both_ends_sd(frame, frame) / n.sqrt());
                case.expect_list("sd_ms", &sd);
            }
            _ => return false,
        }
        true
    });
}

#[test]
fn two_samples() {
    let left = [
        "yuen_20",
        "yuen_10",
        "yuen_paired_20",
        "trimmed_one_sample_20",
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
