//! How long the inference takes, beside scipy, statsmodels and lme4 on the same data.
//!
//! `cargo bench --bench inference` writes the data under `target/inference`, times ours, then runs
//! `peers.py` and `peers.R` on the same files; a peer that is not installed is skipped and named.
//! Each figure is the least of some runs, so that a busy machine disturbs it least.

#![expect(clippy::disallowed_methods, reason = "a stopwatch: times of the program, not of events")]
#![expect(clippy::print_stdout, reason = "the figures are the output")]
#![expect(clippy::unwrap_used, reason = "a bench that cannot go on says where by its panic")]

use rand::SeedableRng;
use rand_chacha::ChaCha12Rng;
use rand_distr::{Distribution, Exp1, StandardNormal};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;
use tautline::analysis::bootstrap::by_blocks;
use tautline::analysis::mixed::{Likelihood, Mixed, Term};
use tautline::analysis::{BlockRow, CompareSpec, Family, Redraws, compare, exgauss, shift};

const HOLDS: usize = 3;
const CYCLES: usize = 10;
const TRIALS: usize = 20;
const REDRAWS: usize = 10_000;
const FITS: usize = 100;
const PLAYERS: u32 = 200;
const PLAYER_TRIALS: u32 = 600;

fn main() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/inference");
    std::fs::create_dir_all(&folder).unwrap();
    let mut words = ChaCha12Rng::seed_from_u64(2026);

    let (table, trials) = blocks(&mut words);
    write(
        &folder.join("blocks.csv"),
        "cycle,position,hold,value",
        table
            .iter()
            .map(|row| format!("{},{},{},{}", row.cycle, row.position, row.condition, row.value)),
    );
    told("re-randomisation, 10,000 orders, t of 3 pairs refitted", 5, || {
        let mut orders = ChaCha12Rng::seed_from_u64(1);
        let spec = CompareSpec { family: Family::All, confidence: 0.95, smallest_change: 5.0 };
        let orders = (0..REDRAWS).map(move |_| order(&mut orders));
        let redraws = Redraws::MonteCarlo { orders: Box::new(orders), attainable_p: 1e-4 };
        compare(&table, HOLDS, &spec, redraws).unwrap();
    });
    told("block bootstrap, 10,000 draws, BCa of 3 pairs", 5, || {
        let of = |hold: usize| -> Vec<f64> {
            table.iter().filter(|row| row.condition == hold).map(|row| row.value).collect()
        };
        let values = [of(0), of(1), of(2)];
        let draws = by_blocks(&[CYCLES; 3], REDRAWS, 1, |chosen| {
            let mean = |hold: usize| {
                chosen[hold].iter().map(|&i| values[hold][i]).sum::<f64>() / CYCLES as f64
            };
            let m = [mean(0), mean(1), mean(2)];
            [m[0] - m[1], m[0] - m[2], m[1] - m[2]]
        });
        for draws in draws.unwrap() {
            draws.bca(0.95).unwrap();
        }
    });

    let lines = trials.iter().flat_map(|blocks| blocks.iter().enumerate()).map(|(cycle, times)| {
        let times: Vec<String> = times.iter().map(f64::to_string).collect();
        format!("{cycle},{}", times.join(","))
    });
    write(&folder.join("trials.csv"), "", lines);
    told("block bootstrap, 10,000 draws, nine deciles of 200 trials, 3 pairs", 3, || {
        let of = |hold: usize| {
            let blocks: Vec<&[f64]> = trials[hold].iter().map(Vec::as_slice).collect();
            shift::by_blocks(&blocks, REDRAWS, hold as u64).unwrap()
        };
        let drawn = [of(0), of(1), of(2)];
        for (a, b) in [(0, 1), (0, 2), (1, 2)] {
            for decile in drawn[a].less(&drawn[b]).each().unwrap() {
                decile.percentile(0.95);
            }
        }
    });

    let samples: Vec<Vec<f64>> = (0..FITS).map(|_| skewed(&mut words, 200)).collect();
    let lines = samples
        .iter()
        .map(|sample| sample.iter().map(f64::to_string).collect::<Vec<_>>().join(","));
    write(&folder.join("samples.csv"), "", lines);
    told("ex-Gaussian, 100 fits of 200 times", 3, || {
        let fitted = samples.iter().filter(|sample| exgauss::fit(sample).is_ok()).count();
        assert!(fitted > FITS / 2);
    });

    let Players { y, hold, player } = players(&mut words);
    let rows = (0..y.len()).map(|i| format!("{},{},{}", y[i], hold[i], player[i]));
    write(&folder.join("players.csv"), "y,hold,player", rows);
    told("mixed model, 200 players x 600 trials, random intercept and slope", 3, || {
        let fixed = [vec![1.0; y.len()], hold.clone()];
        let terms = [Term::slope(player.clone(), hold.clone())];
        let fit = Mixed::new(&y, &fixed, &terms, Likelihood::Restricted).unwrap().fit().unwrap();
        let found = fit.contrast(&[0.0, 1.0]);
        assert!((found.estimate + 10.0).abs() < 3.0 && found.df.unwrap() > 100.0, "{found:?}");
    });

    println!();
    peer("python3", &["-c", "import numpy, scipy"], "peers.py", &folder);
    peer("Rscript", &["-e", "library(lme4)"], "peers.R", &folder);
}

/// The least of some runs, in milliseconds.
fn told(what: &str, runs: usize, work: impl Fn()) {
    let least = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .fold(f64::INFINITY, f64::min);
    println!("tautline    {least:10.2} ms  {what}");
}

fn write(path: &Path, head: &str, lines: impl Iterator<Item = String>) {
    let mut text = if head.is_empty() { String::new() } else { format!("{head}\n") };
    for line in lines {
        writeln!(text, "{line}").unwrap();
    }
    std::fs::write(path, text).unwrap();
}

fn peer(program: &str, ready: &[&str], script: &str, folder: &Path) {
    let there = Command::new(program).args(ready).output();
    if !there.is_ok_and(|output| output.status.success()) {
        println!("{program}: skipped, it or its libraries are not installed");
        return;
    }
    let script = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("benches").join(script);
    let status = Command::new(program).arg(script).arg(folder).status().unwrap();
    assert!(status.success());
}

/// An order of the holds, shuffled in each cycle.
fn order(words: &mut ChaCha12Rng) -> Vec<u8> {
    use rand::seq::SliceRandom;
    let mut order = Vec::with_capacity(HOLDS * CYCLES);
    for _ in 0..CYCLES {
        let mut cycle = [0, 1, 2];
        cycle.shuffle(words);
        order.extend(cycle);
    }
    order
}

fn skewed(words: &mut ChaCha12Rng, n: usize) -> Vec<f64> {
    (0..n)
        .map(|_| {
            let normal: f64 = StandardNormal.sample(words);
            let tail: f64 = Exp1.sample(words);
            200.0 + 18.0 * normal + 30.0 * tail
        })
        .collect()
}

/// The block table, and each hold's trials block by block.
fn blocks(words: &mut ChaCha12Rng) -> (Vec<BlockRow>, Vec<Vec<Vec<f64>>>) {
    let drawn = order(words);
    let mut trials = vec![Vec::new(); HOLDS];
    let table = (0..HOLDS * CYCLES)
        .map(|place| {
            let condition = usize::from(drawn[place]);
            let mut times = skewed(words, TRIALS);
            trials[condition].push(times.clone());
            times.sort_by(f64::total_cmp);
            let cut = TRIALS / 5;
            let kept = &times[cut..TRIALS - cut];
            let value = kept.iter().sum::<f64>() / kept.len() as f64 - 6.0 * condition as f64;
            let (cycle, position) = (place / HOLDS, (place + 1) as f64);
            BlockRow { session: 0, cycle, position, condition, value }
        })
        .collect();
    (table, trials)
}

struct Players {
    y: Vec<f64>,
    hold: Vec<f64>,
    player: Vec<u32>,
}

fn players(words: &mut ChaCha12Rng) -> Players {
    let mut all = Players { y: Vec::new(), hold: Vec::new(), player: Vec::new() };
    for player in 0..PLAYERS {
        let (level, slope): (f64, f64) =
            (StandardNormal.sample(words), StandardNormal.sample(words));
        for (trial, time) in skewed(words, PLAYER_TRIALS as usize).into_iter().enumerate() {
            let hold = if trial % 2 == 0 { 0.0 } else { 1.0 };
            all.y.push(time + 25.0 * level + (8.0 * slope - 10.0) * hold);
            all.hold.push(hold);
            all.player.push(player);
        }
    }
    all
}
