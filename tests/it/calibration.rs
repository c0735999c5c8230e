//! Whether the analysis keeps its word: sessions with a known truth, by the thousand.
//!
//! Fixed seeds. The naive way (all presses of a hold in one heap, two-sample t) stands beside it,
//! on the same presses. `SLOW=1` adds cells and prints the table of docs/calibration.md.

use tautline::analysis::naive;
use tautline::analysis::{CompareSpec, Family, Redraws, compare};
use tautline::plan;
use tautline::protocol::{OtherDraws, Protocol, attainable_p, draw, other_draws, read, shipped};
use tautline::sim::{Player, Truth, quick};

/// What a cell of the table found.
#[derive(Debug, Default)]
struct Cell {
    sessions: u32,
    /// The simultaneous interval leaves the truth out.
    missed: u32,
    /// The simultaneous interval leaves out zero.
    apart: u32,
    /// p by re-randomisation at or below 0.05.
    by_order: u32,
    /// The naive pooled t says 0.05 or less.
    naive: u32,
    half_width_ms: f64,
}

impl Cell {
    fn share(&self, count: u32) -> f64 {
        f64::from(count) / f64::from(self.sessions)
    }

    /// Monte-Carlo standard error of a share.
    fn se(&self, share: f64) -> f64 {
        (share * (1.0 - share) / f64::from(self.sessions)).sqrt()
    }
}

fn protocol(id: &str) -> Protocol {
    read(shipped::find(id).unwrap().text, id).unwrap()
}

/// `sessions` sessions in which the last hold truly differs by `difference_ms`.
fn cell(protocol: &Protocol, truth: &Truth, difference_ms: f64, sessions: u32) -> Cell {
    let holds = protocol.conditions.len();
    let orders = match other_draws(&protocol.design, holds) {
        OtherDraws::Exact(list) => list,
        OtherDraws::None | OtherDraws::Sampled => vec![],
    };
    let attainable = attainable_p(&protocol.design, holds).unwrap();
    let mut truth = truth.clone();
    truth.differences_ms[holds - 1] = difference_ms;
    let spec = CompareSpec { family: Family::Reference(0), confidence: 0.95, smallest_change: 5.0 };
    let mut cell = Cell { sessions, ..Cell::default() };
    for seed in 0..u64::from(sessions) {
        let rows = plan::simulate(protocol, &truth, seed);
        let redraws = if orders.is_empty() {
            Redraws::None
        } else {
            Redraws::Exact { orders: Box::new(orders.iter().cloned()), attainable_p: attainable }
        };
        let pairs = compare(&rows, holds, &spec, redraws).unwrap();
        // All pairs of the family at once; the truth of each pair is the difference of its holds.
        let value = |hold: usize| truth.differences_ms[hold];
        let (mut missed, mut apart, mut by_order) = (false, false, false);
        for pair in &pairs {
            let fit = pair.fit.unwrap();
            let difference = value(pair.a) - value(pair.b);
            missed |= difference < fit.low || difference > fit.high;
            apart |= fit.low > 0.0 || fit.high < 0.0;
            by_order |= pair.p_randomization.is_some_and(|p| p <= 0.05);
            cell.half_width_ms +=
                (fit.high - fit.low) / 2.0 / f64::from(sessions) / pairs.len() as f64;
        }
        cell.missed += u32::from(missed);
        cell.apart += u32::from(apart);
        cell.by_order += u32::from(by_order);
        cell.naive += u32::from(naive_p(protocol, &truth, seed) <= 0.05);
    }
    cell
}

/// The usual way: every press of a hold in one heap.
fn naive_p(protocol: &Protocol, truth: &Truth, seed: u64) -> f64 {
    let schedule = draw(protocol, seed);
    let blocks = quick(protocol, &schedule, &mut Player::new(truth.clone(), seed));
    let heap = |hold: usize| -> Vec<f64> {
        blocks.iter().filter(|b| b.condition == hold).flat_map(|b| b.hits_ms.clone()).collect()
    };
    naive::pooled(&heap(0), &heap(protocol.conditions.len() - 1)).unwrap().p()
}

#[test]
fn without_a_difference_one_session_in_twenty_errs() {
    let protocol = protocol("two-holds");
    let cell = cell(&protocol, &Truth::usual(2), 0.0, 1_000);
    // 5 % give or take three standard errors of 1,000 sessions.
    assert!((cell.share(cell.missed) - 0.05).abs() <= 0.021, "{cell:?}");
    assert!(cell.share(cell.by_order) <= 0.071, "{cell:?}");
    // And the naive way errs more often on the very same presses.
    assert!(cell.naive > cell.apart, "{cell:?}");
}

#[test]
fn a_true_difference_lies_in_the_interval_as_often_as_promised() {
    let protocol = protocol("three-holds");
    let cell = cell(&protocol, &Truth::usual(3), 12.0, 400);
    let share = cell.share(cell.missed);
    assert!((share - 0.05).abs() <= 4.0 * cell.se(0.05), "{cell:?}");
}

#[test]
#[expect(clippy::print_stdout, reason = "the table that the docs carry")]
fn the_table() {
    if std::env::var_os("SLOW").is_none() {
        return;
    }
    let quiet = Truth::quiet;
    type Make = fn(usize) -> Truth;
    let cells: [(&str, Make); 5] = [
        ("quiet", quiet),
        ("drift", |holds| Truth {
            drift_ms_per_10min: 12.0,
            practice_ms: 20.0,
            ..Truth::quiet(holds)
        }),
        ("block shifts", |holds| Truth { block_sd_ms: 6.0, ..Truth::quiet(holds) }),
        ("neighbours alike", |holds| Truth { autocorrelation: 0.3, ..Truth::quiet(holds) }),
        ("usual", Truth::usual),
    ];
    println!(
        "| protocol | player | true ms | outside | apart from 0 | by order | pooled t | give or take ms |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    let mut failed = Vec::new();
    for id in ["first-look", "two-holds", "three-holds"] {
        let protocol = protocol(id);
        for (name, truth) in &cells {
            for difference_ms in [0.0, 6.0, 12.0] {
                let truth = truth(protocol.conditions.len());
                let cell = cell(&protocol, &truth, difference_ms, 1_000);
                let share = |count| format!("{:.1} %", cell.share(count) * 100.0);
                println!(
                    "| {id} | {name} | {difference_ms} | {} | {} | {} | {} | {:.1} |",
                    share(cell.missed),
                    share(cell.apart),
                    share(cell.by_order),
                    share(cell.naive),
                    cell.half_width_ms,
                );
                if (cell.share(cell.missed) - 0.05).abs() > 4.0 * cell.se(0.05) {
                    failed.push(format!("{id} {name} {difference_ms}: {cell:?}"));
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
