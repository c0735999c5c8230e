//! Hick's line and pointing, against scipy and Fitts's own table.

use super::super::checks::{Case, walk};
use tautline::analysis::hick::{entropy_bits, hick_bits, hick_line, hyman_bits, transmitted_bits};
use tautline::analysis::pointing::{
    Movement, Place, along_axis, fitts_bits, shannon_bits, throughput, width_by_misses,
};
use tautline::analysis::slope;

#[test]
fn choice() {
    walk("hick", &[], |case| {
        let counts = || case.list("n").into_iter().map(whole);
        match case.id() {
            "equiprobable" => {
                case.expect_list("log2_n", &counts().map(hyman_bits).collect::<Vec<f64>>());
                case.expect_list("log2_n_plus_1", &counts().map(hick_bits).collect::<Vec<f64>>());
            }
            "unequal" => {
                let bits: Vec<f64> = case.table("p").iter().map(|p| entropy_bits(p)).collect();
                case.expect_list("bits", &bits);
            }
            "transmitted" => case.expect("bits", transmitted_bits(&case.table("table"))),
            "fit_example" => {
                let bits: Vec<f64> = counts().map(hyman_bits).collect();
                let line = hick_line(&bits, &case.list("rt_ms")).unwrap();
                case.expect("intercept", line.intercept);
                case.expect("slope", line.slope);
                case.expect_list("se", &[line.intercept_se, line.slope_se]);
            }
            _ => return false,
        }
        true
    });
}

fn whole(x: f64) -> usize {
    format!("{x:.0}").parse().unwrap()
}

/// Amplitudes, widths and times of Fitts's 16 conditions.
const AMPLITUDES: [f64; 4] = [2.0, 4.0, 8.0, 16.0];
const WIDTHS: [f64; 4] = [0.25, 0.5, 1.0, 2.0];
const TIMES_MS: [f64; 16] = [
    392.0, 484.0, 580.0, 731.0, 281.0, 372.0, 469.0, 595.0, 212.0, 260.0, 357.0, 481.0, 180.0,
    203.0, 279.0, 388.0,
];

#[test]
fn pointing() {
    walk("pointing", &[], |case| {
        match case.id() {
            "fitts_1954_tapping_1oz" => fitts(case, &fitts_bits),
            "fitts_1954_shannon" => fitts(case, &shannon_bits),
            "published_fitts_1954" => {
                let bits: Vec<f64> =
                    WIDTHS.iter().flat_map(|&w| AMPLITUDES.map(|a| fitts_bits(a, w))).collect();
                let rate: Vec<f64> =
                    bits.iter().zip(TIMES_MS).map(|(bits, ms)| 1000.0 * bits / ms).collect();
                case.expect_list("ip_bits_per_s", &rate);
                let line = slope::line(&bits, &TIMES_MS).unwrap();
                case.expect("intercept_ms", line.intercept);
                case.expect("slope_ms", line.slope);
            }
            "effective_throughput" => effective(case),
            "constants" => {
                let w = case.number("w");
                let we: Vec<f64> = case
                    .list("error_rates")
                    .into_iter()
                    .map(|share| width_by_misses(w, share))
                    .collect();
                // Theirs by 2.066, ours by the half of 4.133.
                case.within("we", &we, 2.5e-4);
            }
            _ => return false,
        }
        true
    });
}

fn fitts(case: &Case, bits: &dyn Fn(f64, f64) -> f64) {
    let bits: Vec<f64> =
        case.list("a_inch").into_iter().zip(case.list("w_inch")).map(|(a, w)| bits(a, w)).collect();
    case.expect_list("id", &bits);
    assert_eq!(case.list("mt_ms"), TIMES_MS);
    let line = slope::line(&bits, &TIMES_MS).unwrap();
    case.expect("intercept_ms", line.intercept);
    case.expect("slope_ms", line.slope);
}

fn effective(case: &Case) {
    let place = |xy: &[f64]| Place { x: xy[0], y: xy[1] };
    let (from, to) = (place(&case.list("from")), place(&case.list("to")));
    let movements: Vec<Movement> = case
        .table("end_points")
        .iter()
        .zip(case.list("mt_ms"))
        .map(|(end, time_ms)| Movement { from, to, end: place(end), time_ms })
        .collect();
    let dx: Vec<f64> = movements.iter().map(|movement| along_axis(movement).unwrap()).collect();
    case.expect_list("dx", &dx);
    let got = throughput(&movements).unwrap();
    case.expect("we", got.effective_width);
    case.expect("ae", got.effective_amplitude);
    case.expect("id_e", got.effective_bits);
    case.expect("mean_mt_ms", got.time_ms);
    case.expect("throughput_bits_per_s", got.bits_per_s);
}
