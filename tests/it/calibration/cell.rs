//! One cell of the table: one design, one player, one true difference.

use super::naive::{Ends, heap, medians, pooled_t};
use super::percent;
use super::players::{Design, PlayerOf};
use tautline::analysis::{Redraws, Verdict};
use tautline::plan::look;
use tautline::plan::outlook::table;
use tautline::protocol::draw;
use tautline::sim::{Player, quick};

/// What a usual way found.
#[derive(Debug, Default)]
pub(super) struct Usual {
    /// Its interval leaves the truth out.
    pub(super) missed: u32,
    /// It leaves out zero.
    pub(super) apart: u32,
}

impl Usual {
    fn take(&mut self, ends: &Ends, truth: f64) {
        self.missed += u32::from(truth < ends.low || truth > ends.high);
        self.apart += u32::from(ends.low > 0.0 || ends.high < 0.0);
    }
}

/// What was counted. The pair in question: the reference and the last hold.
#[derive(Debug, Default)]
pub(super) struct Cell {
    pub(super) sessions: u32,
    /// The simultaneous intervals of all pairs together leave a truth out.
    pub(super) missed: u32,
    /// The interval of the pair in question leaves the truth out.
    pub(super) pair_missed: u32,
    /// Any pair without a true difference is told apart.
    pub(super) alarms: u32,
    /// The pair in question is told apart.
    pub(super) found: u32,
    /// Verdicts on the pair in question: enough; too little or none; faster, size open; open.
    verdicts: [u32; 4],
    pub(super) half_width_ms: f64,
    pub(super) pooled: Usual,
    pub(super) medians: Usual,
}

impl Cell {
    pub(super) const HEAD: &'static str = "\
| design | player | true ms | coverage, all pairs | of the pair | false alarms | enough | too little \
| size open | open | give or take ms | pooled t: coverage, told apart | medians: coverage, told apart |
|---|---|---|---|---|---|---|---|---|---|---|---|---|";

    pub(super) fn share(&self, count: u32) -> f64 {
        f64::from(count) / f64::from(self.sessions)
    }

    /// Monte-Carlo standard error of a share.
    pub(super) fn se(&self, share: f64) -> f64 {
        (share * (1.0 - share) / f64::from(self.sessions)).sqrt()
    }

    pub(super) fn row(&self, design: &str, player: &str, difference_ms: f64) -> String {
        let held = |missed: u32| percent(1.0 - self.share(missed));
        let usual =
            |usual: &Usual| format!("{}, {}", held(usual.missed), percent(self.share(usual.apart)));
        let verdicts: Vec<String> =
            self.verdicts.iter().map(|count| percent(self.share(*count))).collect();
        format!(
            "| {design} | {player} | {difference_ms} | {} | {} | {} | {} | {:.1} | {} | {} |",
            held(self.missed),
            held(self.pair_missed),
            percent(self.share(self.alarms)),
            verdicts.join(" | "),
            self.half_width_ms,
            usual(&self.pooled),
            usual(&self.medians),
        )
    }

    /// Where the bars are not met: coverage of all pairs within 95 % give or take 4 standard errors,
    /// false alarms at most 5 % and 3.3.
    pub(super) fn faults(&self, design: &str, player: &str, difference_ms: f64) -> Vec<String> {
        let mut faults = Vec::new();
        let place = format!("{design}, {player}, {difference_ms} ms");
        if (self.share(self.missed) - 0.05).abs() > 4.0 * self.se(0.05) {
            faults.push(format!("{place}: coverage {}", percent(1.0 - self.share(self.missed))));
        }
        if self.share(self.alarms) > 0.05 + 3.3 * self.se(0.05) {
            faults.push(format!("{place}: false alarms {}", percent(self.share(self.alarms))));
        }
        faults
    }
}

/// Simulates and analyses a cell.
pub(super) fn run(design: &Design, player: &PlayerOf, difference_ms: f64, sessions: u32) -> Cell {
    let (protocol, truth) = design.with(player, difference_ms);
    let last = protocol.conditions.len() - 1;
    let level = look::level_at(&protocol, protocol.design.cycles).unwrap();
    let mut cell = Cell { sessions, ..Cell::default() };
    for seed in 0..u64::from(sessions) {
        let schedule = draw(&protocol, seed);
        let blocks = quick(&protocol, &schedule, &mut Player::new(truth.clone(), seed));
        let rows = table(&protocol, &blocks);
        let pairs = look::compare_rows(&protocol, &rows, &level, Redraws::None).unwrap();
        let (mut missed, mut alarm) = (false, false);
        for pair in &pairs {
            let fit = pair.fit.unwrap();
            let true_ms = truth.differences_ms[pair.a] - truth.differences_ms[pair.b];
            let (out, apart) =
                (true_ms < fit.low || true_ms > fit.high, fit.low > 0.0 || fit.high < 0.0);
            missed |= out;
            alarm |= apart && true_ms.abs() < 1e-9;
            if (pair.a, pair.b) == (0, last) {
                cell.pair_missed += u32::from(out);
                cell.found += u32::from(apart);
                cell.verdicts[kind(pair.verdict)] += 1;
                cell.half_width_ms += (fit.high - fit.low) / 2.0 / f64::from(sessions);
            }
        }
        cell.missed += u32::from(missed);
        cell.alarms += u32::from(alarm);
        let (a, b) = (heap(&blocks, 0), heap(&blocks, last));
        cell.pooled.take(&pooled_t(&a, &b), -difference_ms);
        cell.medians.take(&medians(&a, &b, seed), -difference_ms);
    }
    cell
}

fn kind(verdict: Verdict) -> usize {
    match verdict {
        Verdict::AFasterByEnough | Verdict::BFasterByEnough => 0,
        Verdict::AFasterTooLittle
        | Verdict::BFasterTooLittle
        | Verdict::NoDifferenceThatMatters => 1,
        Verdict::AFasterSizeOpen | Verdict::BFasterSizeOpen => 2,
        Verdict::Open | Verdict::Withheld => 3,
    }
}
