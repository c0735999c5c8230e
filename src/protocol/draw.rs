//! Draws a schedule from a protocol and a seed.
//!
//! A pure function: the order of blocks from one stream of words, everything about the
//! trials from another. Foreperiods are rounded to 0.1 ms and use one maths library, so the
//! schedule is the same on every machine and in every release.

use super::words_drawn::{Drawn, Stream};
use super::{Block, Foreperiod, Part, PlannedTrial, Protocol, Schedule, orders};

/// The newest rule that schedules are drawn by. Old rules are kept: rule 1 draws a session as one,
/// rule 2 each stretch between planned looks by itself ([`super::Design::draw_rule`]).
pub const DRAW_RULE: u32 = 2;

/// Draws the schedule of `protocol` for `seed`.
///
/// # Panics
/// When no order meets the restrictions; the checker lets no such protocol through.
pub fn draw(protocol: &Protocol, seed: u64) -> Schedule {
    let holds = protocol.conditions.len();
    let draw_rule = protocol.design.draw_rule();
    let mut for_orders = Drawn::new(seed, draw_rule, Stream::Orders);
    let order = orders::draw(&protocol.design, holds, &mut for_orders)
        .expect("the checker has tried that an order can be drawn");
    let mut drawn = Drawn::new(seed, draw_rule, Stream::Trials);
    let mut blocks = Vec::with_capacity(order.len());
    for (cycle, row) in order.chunks(holds).enumerate() {
        let waits = Waits::draw(protocol, &mut drawn);
        for hold in row {
            let position = blocks.len() + 1;
            blocks.push(block(
                protocol,
                &waits,
                position,
                cycle + 1,
                usize::from(*hold),
                &mut drawn,
            ));
        }
    }
    Schedule { draw_rule, seed, blocks }
}

/// The waits of one cycle, the same set for every hold.
struct Waits {
    /// One a main trial, ms, by stratum.
    main_ms: Vec<f64>,
    /// Empty waits before each main trial.
    empty_before: Vec<usize>,
}

impl Waits {
    fn draw(protocol: &Protocol, drawn: &mut Drawn) -> Waits {
        let trials = protocol.design.trials;
        let main_ms = (0..trials)
            .map(|stratum| {
                let quantile = (stratum as f64 + drawn.share()) / trials as f64;
                wait_ms(&protocol.foreperiod, quantile)
            })
            .collect();
        let share = protocol.foreperiod.catch_share();
        let empty_before = (0..trials).map(|_| geometric(share, drawn)).collect();
        Waits { main_ms, empty_before }
    }
}

fn block(
    protocol: &Protocol,
    waits: &Waits,
    position: usize,
    cycle: usize,
    condition: usize,
    drawn: &mut Drawn,
) -> Block {
    let design = &protocol.design;
    let task = protocol.task.task();
    let warm_up = if cycle == 1 { design.warm_up } else { design.warm_up_later };
    let mut trials = Vec::new();
    let mut add = |part, foreperiod_ms, stimulus| {
        let number = trials.len() + 1;
        trials.push(PlannedTrial { part, number, foreperiod_ms, stimulus });
    };
    let mut stimuli = task.stimuli(warm_up);
    drawn.shuffle(&mut stimuli);
    for stimulus in stimuli {
        add(Part::WarmUp, wait_ms(&protocol.foreperiod, drawn.share()), stimulus);
    }
    let (mut main_ms, mut empty_before) = (waits.main_ms.clone(), waits.empty_before.clone());
    let mut stimuli = task.stimuli(design.trials);
    drawn.shuffle(&mut main_ms);
    drawn.shuffle(&mut empty_before);
    drawn.shuffle(&mut stimuli);
    for ((foreperiod_ms, empty), stimulus) in main_ms.into_iter().zip(empty_before).zip(stimuli) {
        for _ in 0..empty {
            add(Part::Catch, rounded(protocol.foreperiod.longest_ms()), stimulus);
        }
        add(Part::Main, foreperiod_ms, stimulus);
    }
    let spare_foreperiods_ms =
        (0..design.trials / 2).map(|_| wait_ms(&protocol.foreperiod, drawn.share())).collect();
    Block { position, cycle, condition, trials, spare_foreperiods_ms }
}

/// The wait at a quantile (0 to 1) of the law below its longest, ms, rounded to 0.1.
fn wait_ms(law: &Foreperiod, quantile: f64) -> f64 {
    rounded(match *law {
        Foreperiod::Exponential { min_ms, mean_ms, .. } => {
            let below_max = 1.0 - law.catch_share();
            min_ms - mean_ms * libm::log(1.0 - quantile * below_max)
        }
        Foreperiod::Uniform { min_ms, max_ms, .. } => min_ms + quantile * (max_ms - min_ms),
        Foreperiod::Fixed { ms, .. } => ms,
        // Nobody knows beforehand when the partner will end it: what the plan reckons with.
        Foreperiod::Partner { min_ms, mean_ms, .. } => min_ms + mean_ms,
    })
}

fn rounded(ms: f64) -> f64 {
    libm::round(ms * 10.0) / 10.0
}

/// How many draws in a row were empty waits, each with this share: P(n) = share^n (1 - share).
fn geometric(share: f64, drawn: &mut Drawn) -> usize {
    // A run this long has a chance below 1e-10 at the largest share that is allowed.
    const LONGEST_RUN: usize = 20;
    let mut run = 0;
    while run < LONGEST_RUN && drawn.share() < share {
        run += 1;
    }
    run
}
