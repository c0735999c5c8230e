//! Go/no-go: signal detection against scipy.

use super::super::checks::walk;
use tautline::analysis::normal;
use tautline::analysis::sdt::{Counts, detection};

#[test]
fn signal_detection() {
    walk("sdt", &[], |case| {
        match case.id() {
            "quantiles" => {
                let each = |key: &str, f: fn(f64) -> f64| -> Vec<f64> {
                    case.list(key).into_iter().map(f).collect()
                };
                case.expect_list("quantile", &each("p", normal::quantile));
                case.expect_list("cdf", &each("z", normal::below));
            }
            "typical" | "perfect_hits" | "go_no_go" | "at_chance" => {
                let count = |key| format!("{:.0}", case.number(key)).parse().unwrap();
                let got = detection(Counts {
                    hits: count("hits"),
                    misses: count("misses"),
                    false_alarms: count("false_alarms"),
                    correct_rejections: count("correct_rejections"),
                })
                .unwrap();
                case.expect("hit_rate", got.hit_share);
                case.expect("fa_rate", got.false_alarm_share);
                case.expect("d_prime", got.d_prime);
                case.expect("criterion", got.criterion);
                case.expect("ln_beta", got.ln_beta);
            }
            _ => return false,
        }
        true
    });
}
