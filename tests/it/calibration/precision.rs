//! Precision for the effort: other block statistics, times freed of what the wait and the trial
//! before explain, and the mixed model of single trials, against the declared analysis on the same
//! presses. Intervals of the pair by itself, since the mixed model has no others.

use super::players::{Design, PLAYERS, PlayerOf};
use super::{SESSIONS, percent, slow};
use tautline::analysis::adjusted::adjusted;
use tautline::analysis::describe::{BlockStatistic, block_statistic};
use tautline::analysis::mixed::{Likelihood, Mixed, MixedError, Term};
use tautline::analysis::{BlockRow, Redraws, student};
use tautline::plan::look;
use tautline::protocol::draw;
use tautline::sim::{Player, QuickBlock, Truth, quick};

/// A way to a block's value.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Way {
    Declared,
    Mean,
    Median,
    FreedOfWait,
    FreedOfBoth,
    /// REML: hold and trend, cycle and block within cycle random; Satterthwaite.
    Mixed,
}

const WAYS: [(Way, &str); 6] = [
    (Way::Declared, "trimmed mean (declared)"),
    (Way::Mean, "mean"),
    (Way::Median, "median"),
    (Way::FreedOfWait, "trimmed mean, freed of the wait"),
    (Way::FreedOfBoth, "trimmed mean, freed of wait and trial before"),
    (Way::Mixed, "mixed model of single trials"),
];

/// Who reacts sooner after a long wait, as people do.
const WAITS: PlayerOf = PlayerOf {
    name: "wait matters",
    truth: |holds| Truth { wait_ms_per_s: -25.0, ..Truth::quiet(holds) },
    few_cycles: false,
};

#[derive(Debug, Default, Clone, Copy)]
struct Found {
    missed: u32,
    /// Sessions of which the model tells nothing; in no figure.
    no_fit: u32,
    half_width_ms: f64,
}

/// Each block's value by one way.
fn rows(way: Way, blocks: &[QuickBlock], within_ms: f64) -> Vec<BlockRow> {
    let times: Vec<Vec<f64>> = blocks.iter().map(|block| block.hits_ms.clone()).collect();
    let waits: Vec<Vec<f64>> = blocks.iter().map(|block| block.waits_ms.clone()).collect();
    // The trial before, about its block's mean; none before the first.
    let before: Vec<Vec<f64>> = times
        .iter()
        .map(|list| {
            let middle = list.iter().sum::<f64>() / list.len() as f64;
            let own = list.iter().map(|ms| ms - middle);
            std::iter::once(0.0).chain(own).take(list.len()).collect()
        })
        .collect();
    let times = match way {
        Way::Declared | Way::Mean | Way::Median | Way::Mixed => times,
        Way::FreedOfWait => adjusted(&times, &[&waits]).unwrap().times,
        Way::FreedOfBoth => adjusted(&times, &[&waits, &before]).unwrap().times,
    };
    let statistic = match way {
        Way::Mean => BlockStatistic::Mean,
        Way::Median => BlockStatistic::Median,
        Way::Declared | Way::FreedOfWait | Way::FreedOfBoth | Way::Mixed => {
            BlockStatistic::TrimmedMean
        }
    };
    blocks
        .iter()
        .zip(&times)
        .map(|(block, times)| BlockRow {
            session: 0,
            cycle: block.cycle - 1,
            position: block.position as f64,
            condition: block.condition,
            value: block_statistic(times, block.misses, statistic, within_ms).unwrap(),
        })
        .collect()
}

/// The interval of the first hold less the last by a mixed model of single trials; nothing where the
/// model finds no top of its likelihood.
fn by_mixed_model(blocks: &[QuickBlock], last: usize) -> Option<(f64, f64)> {
    let mut y = Vec::new();
    let mut fixed: Vec<Vec<f64>> = vec![Vec::new(); last + 2];
    let (mut cycles, mut numbers) = (Vec::new(), Vec::new());
    for (number, block) in (0_u32..).zip(blocks) {
        for &ms in &block.hits_ms {
            y.push(ms);
            fixed[0].push(1.0);
            for (hold, column) in fixed.iter_mut().enumerate().take(last + 1).skip(1) {
                column.push(f64::from(u8::from(hold == block.condition)));
            }
            fixed[last + 1].push(block.position as f64);
            cycles.push(u32::try_from(block.cycle - 1).unwrap());
            numbers.push(number);
        }
    }
    let terms = [Term::intercept(cycles), Term::intercept(numbers)];
    let fit = match Mixed::new(&y, &fixed, &terms, Likelihood::Restricted).unwrap().fit() {
        Ok(fit) => fit,
        Err(MixedError::NoTop) => return None,
        Err(other) => panic!("{other:?}"),
    };
    let mut weights = vec![0.0; last + 2];
    weights[last] = -1.0;
    let found = fit.contrast(&weights);
    let half = student::critical(0.95, found.df.unwrap()) * found.standard_error;
    Some((found.estimate - half, found.estimate + half))
}

fn run(design: &Design, player: &PlayerOf, sessions: u32) -> Vec<Found> {
    let (protocol, truth) = design.with(player, 6.0);
    let last = protocol.conditions.len() - 1;
    let level = look::level_at(&protocol, protocol.design.cycles).unwrap();
    let mut found = vec![Found::default(); WAYS.len()];
    for seed in 0..u64::from(sessions) {
        let schedule = draw(&protocol, seed);
        let blocks = quick(&protocol, &schedule, &mut Player::new(truth.clone(), seed));
        for ((way, _), found) in WAYS.iter().zip(&mut found) {
            let (low, high) = if *way == Way::Mixed {
                let Some(interval) = by_mixed_model(&blocks, last) else {
                    found.no_fit += 1;
                    continue;
                };
                interval
            } else {
                let rows = rows(*way, &blocks, protocol.respond_within_ms);
                let pairs = look::compare_rows(&protocol, &rows, &level, Redraws::None).unwrap();
                let pair = pairs.iter().find(|pair| (pair.a, pair.b) == (0, last)).unwrap();
                let fit = pair.fit.unwrap();
                (fit.low_single, fit.high_single)
            };
            found.missed += u32::from(-6.0 < low || -6.0 > high);
            found.half_width_ms += (high - low) / 2.0;
        }
    }
    for found in &mut found {
        found.half_width_ms /= f64::from(sessions - found.no_fit);
    }
    found
}

/// The wait explains single trials, not blocks: every hold gets the same waits in a cycle.
#[test]
fn balanced_waits_leave_little_for_a_covariate_to_take_out() {
    let found = run(&Design::two_holds(), &WAITS, 150);
    let gain = 1.0 - found[3].half_width_ms / found[0].half_width_ms;
    assert!(gain.abs() < 0.10, "{found:?}");
}

#[test]
#[expect(clippy::print_stdout, reason = "the table that the docs carry")]
fn the_table_of_precision() {
    if !slow() {
        return;
    }
    println!(
        "| design | player | block value | coverage of the pair | give or take ms | narrower by |"
    );
    println!("|---|---|---|---|---|---|");
    let designs = [Design::two_holds(), Design::three_holds()];
    let players: Vec<&PlayerOf> = PLAYERS[..5].iter().chain([&WAITS]).collect();
    // A thread a cell: a mixed model of every session takes its time.
    let rows: Vec<String> = std::thread::scope(|scope| {
        let cells: Vec<_> = designs
            .iter()
            .flat_map(|design| players.iter().map(move |player| (design, *player)))
            .map(|(design, player)| scope.spawn(move || cell(design, player)))
            .collect();
        cells.into_iter().map(|cell| cell.join().unwrap()).collect()
    });
    println!("{}", rows.concat());
}

/// The rows of a design and a player, a line each.
fn cell(design: &Design, player: &PlayerOf) -> String {
    let found = run(design, player, SESSIONS);
    let row = |((_, name), own): (&(Way, &str), &Found)| {
        format!(
            "| {} | {} | {name}{} | {} | {:.2} | {} |\n",
            design.name,
            player.name,
            if own.no_fit > 0 { format!(" ({} without a fit)", own.no_fit) } else { String::new() },
            percent(1.0 - f64::from(own.missed) / f64::from(SESSIONS - own.no_fit)),
            own.half_width_ms,
            percent(1.0 - own.half_width_ms / found[0].half_width_ms),
        )
    };
    WAYS.iter().zip(&found).map(row).collect()
}
