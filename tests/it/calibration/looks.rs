//! Planned looks: false alarms over the whole procedure, and what it saves.

use super::players::{PLAYERS, PlayerOf, protocol};
use super::{SESSIONS, percent, slow};
use tautline::analysis::Redraws;
use tautline::analysis::looks::{Look, Spending, bounds};
use tautline::plan::look::{self, Level};
use tautline::plan::outlook::{simulate, through_looks};
use tautline::protocol::{Order, Protocol};
use tautline::sim::Truth;

#[derive(Debug, Default)]
struct Cell {
    sessions: u32,
    /// At some look, the end among them, an interval leaves out a true zero: false alarms of whoever
    /// stops at the first difference.
    at_any_look: u32,
    /// The same with the bounds in z put to t itself, as they must not be.
    by_z: u32,
    /// Where the session ends, an interval leaves out a true zero.
    at_the_end: u32,
    /// Where the session ends, an interval leaves its truth out.
    missed: u32,
    /// A look ended it.
    early: u32,
    cycles: usize,
}

impl Cell {
    fn share(&self, count: u32) -> f64 {
        f64::from(count) / f64::from(self.sessions)
    }

    /// 5 % and 3.3 Monte-Carlo standard errors.
    fn bar(&self) -> f64 {
        0.05 + 3.3 * (0.05 * 0.95 / f64::from(self.sessions)).sqrt()
    }
}

/// The protocol with these cycles and looks.
fn planned(id: &str, order: Order, cycles: usize, looks: &[usize]) -> Protocol {
    let mut protocol = protocol(id);
    protocol.design.order = order;
    protocol.design.cycles = cycles;
    protocol.design.looks = looks.to_vec();
    protocol
}

fn run(protocol: &Protocol, player: &PlayerOf, difference_ms: f64, sessions: u32) -> Cell {
    let holds = protocol.conditions.len();
    let mut truth: Truth = (player.truth)(holds);
    truth.differences_ms = vec![0.0; holds];
    truth.differences_ms[holds - 1] = difference_ms;
    let levels = look::levels(protocol).unwrap();
    let information: Vec<f64> =
        levels.iter().map(|level| level.cycle as f64 / level.of as f64).collect();
    let in_z = bounds(&information, 0.05, Spending::Late).unwrap();
    let mut cell = Cell { sessions, ..Cell::default() };
    for seed in 0..u64::from(sessions) {
        let rows = simulate(protocol, &truth, seed);
        let alarm_at = |level: &Level| {
            let seen = look::rows_until(&rows, level.cycle);
            let pairs = look::compare_rows(protocol, &seen, level, Redraws::None).unwrap();
            pairs.iter().any(|pair| {
                let fit = pair.fit.unwrap();
                let same = truth.differences_ms[pair.a] - truth.differences_ms[pair.b];
                same.abs() < 1e-9 && (fit.low > 0.0 || fit.high < 0.0)
            })
        };
        cell.at_any_look += u32::from(levels.iter().any(alarm_at));
        let past_z = |(level, bound): (&Level, &Look)| {
            let seen = look::rows_until(&rows, level.cycle);
            let pairs = look::compare_rows(protocol, &seen, level, Redraws::None).unwrap();
            pairs.iter().any(|pair| {
                let fit = pair.fit.unwrap();
                let same = truth.differences_ms[pair.a] - truth.differences_ms[pair.b];
                same.abs() < 1e-9 && (fit.difference / fit.standard_error).abs() >= bound.z
            })
        };
        cell.by_z += u32::from(levels.iter().zip(&in_z).any(past_z));
        let told = through_looks(protocol, &rows, &levels).unwrap();
        cell.early += u32::from(told.cycle < protocol.design.cycles);
        cell.cycles += told.cycle;
        let (mut alarm, mut missed) = (false, false);
        for pair in &told.pairs {
            let fit = pair.fit.unwrap();
            let true_ms = truth.differences_ms[pair.a] - truth.differences_ms[pair.b];
            alarm |= true_ms.abs() < 1e-9 && (fit.low > 0.0 || fit.high < 0.0);
            missed |= true_ms < fit.low || true_ms > fit.high;
        }
        cell.at_the_end += u32::from(alarm);
        cell.missed += u32::from(missed);
    }
    cell
}

#[test]
fn all_looks_together_err_no_more_often_than_one() {
    let protocol = planned("two-holds", Order::Shuffled, 8, &[6]);
    let cell = run(&protocol, &PLAYERS[2], 0.0, 600);
    assert!(cell.share(cell.at_any_look) <= cell.bar(), "{cell:?}");
    assert!(cell.at_any_look >= cell.at_the_end, "{cell:?}");
    // Bounds in z put to t itself err more often: the level is what holds.
    assert!(cell.by_z > cell.at_any_look, "{cell:?}");
}

#[test]
#[expect(clippy::print_stdout, reason = "the table that the docs carry")]
fn the_table_of_looks() {
    if !slow() {
        return;
    }
    println!(
        "| design | looks after | player | true ms | apart at any look | apart at the end \
         | coverage | ended early | mean cycles | apart, z put to t |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    let mut failed = Vec::new();
    for (id, order, cycles, looks) in [
        ("two-holds", Order::Shuffled, 8, vec![6]),
        ("two-holds", Order::Shuffled, 12, vec![6, 9]),
        ("two-holds", Order::Shuffled, 12, vec![6, 8, 10]),
        ("three-holds", Order::Williams, 12, vec![6]),
    ] {
        let protocol = planned(id, order, cycles, &looks);
        for player in &PLAYERS[..5] {
            for difference_ms in [0.0, 12.0, 40.0] {
                let cell = run(&protocol, player, difference_ms, SESSIONS);
                println!(
                    "| {id}, {cycles} cycles | {} | {} | {difference_ms} | {} | {} | {} | {} | {:.1} | {} |",
                    looks.iter().map(usize::to_string).collect::<Vec<_>>().join(", "),
                    player.name,
                    percent(cell.share(cell.at_any_look)),
                    percent(cell.share(cell.at_the_end)),
                    percent(1.0 - cell.share(cell.missed)),
                    percent(cell.share(cell.early)),
                    cell.cycles as f64 / f64::from(cell.sessions),
                    percent(cell.share(cell.by_z)),
                );
                if cell.share(cell.at_any_look) > cell.bar() {
                    failed
                        .push(format!("{id} {looks:?} {} {difference_ms}: {cell:?}", player.name));
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
