//! Laws of reaction times against mpmath, scipy and R.

use super::super::checks::{Case, read_sheet, walk};
use tautline::analysis::exgauss::{self, ExGaussian};
use tautline::analysis::later::{self, Later};

#[test]
fn laws_of_times() {
    let kinds =
        ["lognormal_shift_fit", "wald_shift_fit", "wald_noshift_fit", "lognormal_noshift_fit"];
    let others: Vec<String> = kinds
        .iter()
        .flat_map(|kind| ["s1", "s2", "s3"].map(|sample| format!("{kind}_{sample}")))
        .chain(["wald_density", "lognormal_density", "later_two_units"].map(String::from))
        .collect();
    let left: Vec<&str> = others.iter().map(String::as_str).collect();
    let left =
        ("times are fitted by the ex-Gaussian and by LATER's main unit alone", left.as_slice());
    walk("rt_models", &[left], |case| {
        match case.id() {
            "exgauss_density_typical"
            | "exgauss_density_small_tau"
            | "exgauss_density_large_tau" => {
                let law = ExGaussian {
                    mu: case.number("mu"),
                    sigma: case.number("sigma"),
                    tau: case.number("tau"),
                };
                let each = |f: &dyn Fn(f64) -> f64| -> Vec<f64> {
                    case.list("x").into_iter().map(f).collect()
                };
                case.expect_list("pdf", &each(&|x| law.density(x)));
                case.expect_list("log_pdf", &each(&|x| law.log_density(x)));
                case.expect_list("cdf", &each(&|x| law.below(x)));
            }
            "exgauss_fit_s1" | "exgauss_fit_s2" | "exgauss_fit_s3" => {
                let got = exgauss::fit(&sample(case)).unwrap();
                case.expect("mu", got.law.mu);
                case.expect("sigma", got.law.sigma);
                case.expect("tau", got.law.tau);
                case.expect("loglik", got.log_likelihood);
                case.expect_list("se", &got.standard_errors);
            }
            "later_fit_s1" | "later_fit_s2" | "later_fit_s3" => {
                let times = sample(case);
                let law = later::fit(&times).unwrap();
                case.expect("mu", law.mu);
                case.expect("sigma", law.sigma);
                case.expect("median_rt_ms", law.median_ms());
                case.expect("loglik", law.log_likelihood(&times));
            }
            "later_density" => {
                // Theirs in seconds.
                let law = Later { mu: case.number("mu"), sigma: case.number("sigma") };
                let each = |f: &dyn Fn(f64) -> f64| -> Vec<f64> {
                    case.list("t").into_iter().map(|t| f(1000.0 * t)).collect()
                };
                case.expect_list("pdf", &each(&|t| 1000.0 * law.density(t)));
                case.expect_list("cdf", &each(&|t| law.below(t)));
                case.expect_list("reciprobit_y", &each(&|t| law.probit(t)));
                case.expect("median", law.median_ms() / 1000.0);
            }
            _ => return false,
        }
        true
    });
}

fn sample(case: &Case) -> Vec<f64> {
    let name = case.text("sample");
    let sheet = read_sheet("rt_samples.csv");
    let of_it = sheet.rows().filter(|row| row.at("sample") == name);
    of_it.map(|row| row.at("rt_ms").parse().unwrap()).collect()
}
