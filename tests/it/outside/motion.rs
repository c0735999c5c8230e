//! The low-pass and Welch's spectrum against scipy, and by it against R.

use super::checks::{read_sheet, walk};
use crate::onset::movements::Profile;
use tautline::motion::{LowPass, Spectrum};

#[test]
fn filters() {
    let second = ("the low-pass is of order 2 alone", ["butter_4_10", "butter_4_12"].as_slice());
    let stated = (
        "20 Hz is where each pass is down by 3 dB: nothing is corrected",
        ["dual_pass_cutoff"].as_slice(),
    );
    let smooth = [
        "sg_w5_p2_d0",
        "sg_w5_p2_d1",
        "sg_w7_p2_d0",
        "sg_w7_p2_d1",
        "sg_w9_p2_d1",
        "sg_w5_p4_d1",
        "sg_w7_p4_d1",
        "sg_w7_p2_d2",
        "sg_w11_p3_d1",
    ];
    let smooth =
        ("speed is smoothed by the low-pass, not by Savitzky and Golay's", smooth.as_slice());
    walk("spectrum", &[second, stated, smooth], |case| {
        match case.id() {
            "butter_2_10" | "butter_2_12" => {
                let filter =
                    LowPass::butterworth(case.number("cutoff"), case.number("fs")).unwrap();
                case.expect_list("b", &filter.b);
                case.expect_list("a", &filter.a);
                case.expect_list("zi", &filter.steady_state());
            }
            "welch_two_sines" => {
                let x = case.sheet().column("x");
                let got = Spectrum::welch(&x, case.number("fs"), 1024).unwrap();
                case.expect_list("psd_first", &got.density[..41]);
                case.expect("df", got.bin_hz);
            }
            "band_power_8_12" => {
                let got = Spectrum::welch(&case.sheet().column("x"), 1000.0, 1024).unwrap();
                case.expect("sum_df", got.power(case.number("low"), case.number("high")));
                case.expect("total_sum_df", got.power(0.0, 500.0));
            }
            "filtfilt_minjerk" => {
                let sheet = read_sheet("minjerk.csv");
                let noisy = sheet.column("noisy");
                for (key, cutoff_hz) in [("o2_f10", 10.0), ("o2_f12", 12.0)] {
                    let got = LowPass::butterworth(cutoff_hz, 1000.0).unwrap().zero_phase(&noisy);
                    let every: Vec<f64> = got.iter().copied().step_by(50).collect();
                    case.expect_list(key, &every);
                    for (got, expect) in got.iter().zip(sheet.column(key)) {
                        assert!((got - expect).abs() < 1e-6, "{key}: {got} for {expect}");
                    }
                }
            }
            "minimum_jerk" => {
                // The movements by which the definitions of onset are judged.
                let done = |u: f64| Profile::MinimumJerk.done(u);
                let each = |f: &dyn Fn(f64) -> f64| -> Vec<f64> {
                    case.list("u").into_iter().map(f).collect()
                };
                case.expect_list("position", &each(&done));
            }
            _ => return false,
        }
        true
    });
}
