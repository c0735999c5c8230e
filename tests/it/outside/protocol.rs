//! The draw against published laws and squares: Williams (1949), the truncated exponential of scipy,
//! and the block model fitted by general linear algebra.

#![expect(clippy::unwrap_used, reason = "test helpers: a fault must fail the test")]

use super::checks::walk;
use nalgebra::{DMatrix, DVector};
use tautline::protocol::{
    Design, Foreperiod, Order, OtherDraws, Part, Protocol, attainable_p, draw, mean_wait_ms,
    other_draws, read, shipped, trend_widens, williams_rows,
};

#[test]
fn williams_sets() {
    walk("williams", &[], |case| {
        let published = case.id() == "published_n4";
        let rows: Vec<Vec<usize>> = if published {
            // What counts is the property, so the counting itself is held to a printed square.
            let whole = |x: &f64| format!("{x:.0}").parse().unwrap();
            case.table("square").iter().map(|row| row.iter().map(whole).collect()).collect()
        } else {
            williams_rows(format!("{:.0}", case.number("n")).parse().unwrap())
        };
        let n = rows[0].len();
        for (key, counts) in
            [("times_each_ordered_pair", pairs(&rows, n)), ("times_each_place", places(&rows, n))]
        {
            for count in counts {
                case.expect(key, f64::from(count));
            }
        }
        if !published {
            case.expect("sequences", rows.len() as f64);
        }
        true
    });
}

/// How often each hold directly precedes each other one.
fn pairs(rows: &[Vec<usize>], n: usize) -> Vec<u32> {
    let mut counts = vec![0; n * n];
    for pair in rows.iter().flat_map(|row| row.windows(2)) {
        counts[pair[0] * n + pair[1]] += 1;
    }
    (0..n * n).filter(|i| i / n != i % n).map(|i| counts[i]).collect()
}

/// How often each hold stands at each place.
fn places(rows: &[Vec<usize>], n: usize) -> Vec<u32> {
    let mut counts = vec![0; n * n];
    for row in rows {
        for (place, hold) in row.iter().enumerate() {
            counts[place * n + hold] += 1;
        }
    }
    counts
}

fn with(law: Foreperiod) -> Protocol {
    let mut protocol = read(shipped::find("two-holds").unwrap().text, "two-holds").unwrap();
    protocol.foreperiod = law;
    protocol.design.cycles = 40;
    protocol.design.trials = 100;
    protocol
}

/// Waits of main trials in seconds, a block of one hold a list (the other holds get the same).
fn waits_s(protocol: &Protocol, seeds: u64) -> Drawn {
    let mut drawn = Drawn { blocks: Vec::new(), empty: 0, runs: Vec::new() };
    for block in (0..seeds).flat_map(|seed| draw(protocol, seed).blocks) {
        if block.condition != 0 {
            continue;
        }
        let (mut waits, mut run) = (Vec::new(), 0u32);
        for trial in &block.trials {
            match trial.part {
                Part::Main => {
                    waits.push(trial.foreperiod_ms / 1e3);
                    drawn.runs.push(run + 1);
                    run = 0;
                }
                Part::Catch => {
                    drawn.empty += 1;
                    run += 1;
                }
                Part::WarmUp | Part::Feel => {}
            }
        }
        waits.sort_by(f64::total_cmp);
        drawn.blocks.push(waits);
    }
    drawn
}

struct Drawn {
    blocks: Vec<Vec<f64>>,
    empty: usize,
    /// Steps up to and with each main trial.
    runs: Vec<u32>,
}

impl Drawn {
    /// Of all trials, empty ones too, the share that lasts at least `t_s`.
    fn lasting(&self, t_s: f64) -> f64 {
        let longer = self.blocks.iter().flatten().filter(|wait| **wait >= t_s).count();
        (longer + self.empty) as f64
    }

    /// Rate of stimuli around `t_s` among the trials that have lasted so long.
    fn hazard(&self, t_s: f64, half_s: f64) -> f64 {
        let from = (t_s - half_s).max(0.0);
        let to = t_s + half_s;
        (self.lasting(from) / self.lasting(to)).ln() / (to - from)
    }
}

#[test]
fn waits_follow_their_laws() {
    let other = (
        "the checker refuses catch trials of another share",
        ["hazard_with_other_catch"].as_slice(),
    );
    walk("foreperiod", &[other], |case| {
        let law = |case: &super::checks::Case| {
            let (mean_ms, max_ms) = (case.number("tau") * 1e3, case.number("T") * 1e3);
            Foreperiod::Exponential { min_ms: 0.0, mean_ms, max_ms }
        };
        match case.id() {
            "truncated_exponential" => {
                case.expect("mean", mean_wait_ms(&law(case)) / 1e3);
                let drawn = waits_s(&with(law(case)), 20);
                let quantile = |p: f64| {
                    // 100 strata a block: the quantile lies between two neighbours of every block.
                    let at: usize = format!("{:.0}", p * 100.0).parse().unwrap();
                    let both = drawn.blocks.iter().map(|b| (b[at - 1] + b[at]) / 2.0);
                    both.sum::<f64>() / drawn.blocks.len() as f64
                };
                let got: Vec<f64> = case.list("p").into_iter().map(quantile).collect();
                case.within("quantile", &got, 0.005);
                let cdf = |t: f64| {
                    let all: Vec<_> = drawn.blocks.iter().flatten().collect();
                    all.iter().filter(|wait| ***wait < t).count() as f64 / all.len() as f64
                };
                let got: Vec<f64> = case.list("t").into_iter().map(cdf).collect();
                case.within("cdf", &got, 0.005);
            }
            "constant_with_catch" => {
                let catch = law(case).catch_share();
                assert!((catch - case.number("catch")).abs() < 1e-12, "{catch}");
                let drawn = waits_s(&with(law(case)), 100);
                let got: Vec<f64> =
                    case.list("t").into_iter().map(|t| drawn.hazard(t, 0.08)).collect();
                // At 3.9 s about 8,000 of 400,000 trials are left, 1,300 of them end: 3 % is one se.
                case.within("hazard", &got, 0.1);
            }
            "uniform_hazard_rises" => {
                let max_ms = case.number("T") * 1e3;
                let law = Foreperiod::Uniform { min_ms: 0.0, max_ms, catch_share: 0.0 };
                let drawn = waits_s(&with(law), 100);
                let got: Vec<f64> =
                    case.list("t").into_iter().map(|t| drawn.hazard(t, 0.02)).collect();
                case.within("hazard", &got, 0.05);
            }
            "geometric" => {
                let catch_share = 1.0 - case.number("p");
                let law = Foreperiod::Uniform { min_ms: 500.0, max_ms: 900.0, catch_share };
                let drawn = waits_s(&with(law), 50);
                let all = drawn.runs.len() as f64;
                let share = |from: f64, to: f64| {
                    let within = |run: &&u32| (from..=to).contains(&f64::from(**run));
                    drawn.runs.iter().filter(within).count() as f64 / all
                };
                let steps = case.list("k");
                let pmf: Vec<f64> = steps.iter().map(|k| share(*k, *k)).collect();
                case.within("pmf", &pmf, 0.05);
                let hazard: Vec<f64> =
                    steps.iter().map(|k| share(*k, *k) / share(*k, f64::INFINITY)).collect();
                case.within("hazard", &hazard, 0.05);
                let mean = drawn.runs.iter().map(|run| f64::from(*run)).sum::<f64>() / all;
                // A run is cut at 20 empty waits, which this share (never allowed) would pass.
                case.within("mean", &[mean], 0.02);
            }
            _ => return false,
        }
        true
    });
}

fn design(order: Order, cycles: usize) -> Design {
    let mut design = read(shipped::find("two-holds").unwrap().text, "two-holds").unwrap().design;
    design.order = order;
    design.cycles = cycles;
    design
}

/// Columns of holds and cycles, and the trend last.
fn model(order: &[u8], holds: usize) -> DMatrix<f64> {
    let cycles = order.len() / holds;
    DMatrix::from_fn(order.len(), holds + cycles, |row, column| {
        let hold = usize::from(order[row]);
        let is = |yes: bool| if yes { 1.0 } else { 0.0 };
        match column {
            c if c < holds => is(hold == c),
            c if c < holds + cycles - 1 => is(row / holds == c - holds + 1),
            _ => row as f64 - (order.len() - 1) as f64 / 2.0,
        }
    })
}

/// Squared standard error of a - b, in units of the residual variance.
fn variance(x: &DMatrix<f64>, a: usize, b: usize) -> f64 {
    let inverse = (x.transpose() * x).try_inverse().unwrap();
    inverse[(a, a)] + inverse[(b, b)] - 2.0 * inverse[(a, b)]
}

#[test]
fn the_trend_widens_by_as_much_as_least_squares_say() {
    for (order, holds, cycles) in
        [(Order::Shuffled, 2, 6), (Order::Shuffled, 3, 3), (Order::Williams, 3, 6)]
    {
        let OtherDraws::Exact(list) = other_draws(&design(order, cycles), holds) else { panic!() };
        for order in list.iter().step_by(7) {
            let x = model(order, holds);
            let without = x.columns(0, x.ncols() - 1).into_owned();
            let widest = (0..holds)
                .flat_map(|a| (0..a).map(move |b| (a, b)))
                .map(|(a, b)| (variance(&x, a, b) / variance(&without, a, b)).sqrt() - 1.0)
                .fold(0.0, f64::max);
            let got = trend_widens(order, holds).unwrap();
            assert!((got - widest).abs() < 1e-9, "{order:?}: {got} for {widest}");
        }
    }
}

/// The smallest p that any of the orders gives on arbitrary data, counted with t from general least
/// squares, is the one that is told beforehand.
#[test]
fn attainable_p_is_what_counting_gives() {
    for (order, holds, cycles, alike) in [
        (Order::Shuffled, 2, 4, 2),
        (Order::Shuffled, 2, 6, 2),
        (Order::Shuffled, 3, 3, 2),
        (Order::Williams, 3, 6, 2),
        // Renaming the two holds that are not compared changes nothing: four orders are alike.
        (Order::Williams, 4, 4, 4),
        (Order::Mirrored, 3, 4, 2),
    ] {
        let design = design(order, cycles);
        let OtherDraws::Exact(list) = other_draws(&design, holds) else { panic!("{order:?}") };
        let y = DVector::from_fn(holds * cycles, |i, _| (1.7 * (i * i) as f64).sin() * 10.0);
        let t: Vec<f64> = list
            .iter()
            .map(|order| {
                let x = model(order, holds);
                let fit = (x.transpose() * &x).try_inverse().unwrap() * x.transpose() * &y;
                let left = (&y - &x * &fit).norm_squared() / (x.nrows() - x.ncols()) as f64;
                (fit[0] - fit[1]) / (left * variance(&x, 0, 1)).sqrt()
            })
            .collect();
        let extreme = t.iter().fold(0.0f64, |most, t| most.max(t.abs()));
        let counted = t.iter().filter(|t| t.abs() >= extreme - 1e-9).count();
        assert_eq!(counted, alike, "{order:?} {holds} x {cycles}");
        let told = attainable_p(&design, holds).unwrap();
        assert!((told - counted as f64 / list.len() as f64).abs() < 1e-12, "{told}");
    }
}
