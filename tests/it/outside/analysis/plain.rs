//! One sample, and frames.

use super::super::checks::{read_sheet, walk};
use tautline::analysis::describe::{MAD_NORMAL, mad, mean, median, quantile, sd, trimmed_mean};
use tautline::analysis::frames;
use tautline::analysis::order::{harrell_davis, quantile_with_error};
use tautline::analysis::winsor::winsorized_variance;

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
                case.expect("winvar20", winsorized_variance(&x, 0.2).unwrap());
                let p = case.list("p");
                let hd: Vec<f64> = p.iter().map(|&p| harrell_davis(&x, p).unwrap()).collect();
                case.expect_list("hd", &hd);
                let se = |&p: &f64| quantile_with_error(&x, p).unwrap().standard_error;
                case.expect_list("hd_se_jackknife", &p.iter().map(se).collect::<Vec<f64>>());
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
fn frame_counts() {
    let sheppard = (
        "the step's share stands in the error budget; no sd is freed of it",
        ["sheppard"].as_slice(),
    );
    walk("frames", &[sheppard], |case| {
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
