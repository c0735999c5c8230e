//! How long a protocol takes, and how long the hand is under each hold.
//!
//! Expected times, from the laws of the waits; the times of a press, a card and a rating are common
//! practice, no source.

use super::{Foreperiod, Protocol, Tension};

/// From the onset to the next wait, s: reaction, press, the empty field between trials.
const BESIDE_WAIT_S: f64 = 0.95;
/// The empty field after a trial of a set time, s.
const AFTER_RUN_S: f64 = 0.6;
/// After an empty wait a word stands on the field, s.
const AFTER_EMPTY_WAIT_S: f64 = 0.9;
/// Reading a card and settling in, s.
const CARD_S: f64 = 8.0;
/// Giving the ratings of one screen, s.
const RATINGS_S: f64 = 6.0;
/// No option removes this rest, s.
const LEAST_REST_S: f64 = 5.0;

/// How long a protocol takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Minutes {
    /// From the first card to the last rating, rests included, minutes.
    pub elapsed: f64,
    /// Under each hold, by index of condition, minutes, without repeats.
    pub under_hold: Vec<f64>,
    /// Under firm holds, minutes, with every repeat that may come.
    pub firm_at_most: f64,
    /// Longest block under a firm hold, s, with every repeat that may come.
    pub longest_firm_block_s: f64,
    /// Presses asked of the hand (main and warm-up trials).
    pub presses: usize,
    /// Presses asked under firm holds.
    pub firm_presses: usize,
    /// Mean wait before a stimulus, ms.
    pub mean_wait_ms: f64,
    /// Empty waits expected in a session.
    pub empty_waits: f64,
}

/// Mean wait before a stimulus (empty waits apart), ms.
///
/// ```text
/// exponential below max: min + mean - (max - min) share / (1 - share),  share = exp(-(max - min)/mean)
/// ```
pub fn mean_wait_ms(law: &Foreperiod) -> f64 {
    match *law {
        Foreperiod::Exponential { min_ms, mean_ms, max_ms } => {
            let share = law.catch_share();
            min_ms + mean_ms - (max_ms - min_ms) * share / (1.0 - share).max(1e-9)
        }
        Foreperiod::Uniform { min_ms, max_ms, .. } => (min_ms + max_ms) / 2.0,
        Foreperiod::Fixed { ms, .. } => ms,
        Foreperiod::Partner { min_ms, mean_ms, .. } => min_ms + mean_ms,
    }
}

/// How long `protocol` takes.
pub fn minutes(protocol: &Protocol) -> Minutes {
    let design = &protocol.design;
    let holds = protocol.conditions.len();
    let wait_ms = mean_wait_ms(&protocol.foreperiod);
    let all_repeats = design.trials / 2;
    let (mut under_s, mut firm_s) = (0.0, 0.0);
    let mut longest_s: f64 = 0.0;
    for cycle in 0..design.cycles {
        under_s += block_s(protocol, cycle, 0);
        let with_repeats_s = block_s(protocol, cycle, all_repeats);
        firm_s += with_repeats_s;
        longest_s = longest_s.max(with_repeats_s);
    }
    let before_s = if protocol.ask.before.is_empty() { 0.0 } else { RATINGS_S };
    let is_firm = |tension| tension == Tension::Firm;
    let firm_holds = protocol.conditions.iter().filter(|c| is_firm(c.tension)).count();
    let presses_of_hold = design.cycles * design.trials
        + design.warm_up
        + design.cycles.saturating_sub(1) * design.warm_up_later;
    Minutes {
        elapsed: before_s / 60.0 + minutes_from(protocol, 0),
        under_hold: vec![under_s / 60.0; holds],
        firm_at_most: firm_holds as f64 * firm_s / 60.0,
        longest_firm_block_s: if firm_holds > 0 { longest_s } else { 0.0 },
        presses: presses_of_hold * holds,
        firm_presses: presses_of_hold * firm_holds,
        mean_wait_ms: wait_ms,
        empty_waits: empty_in_block(protocol) * (design.cycles * holds) as f64,
    }
}

/// How long it takes from the card of a block (index) to the end, rests included, minutes; 0 behind
/// the last block.
pub fn minutes_from(protocol: &Protocol, block: usize) -> f64 {
    let (design, holds) = (&protocol.design, protocol.conditions.len());
    let blocks = design.cycles * holds;
    let elapsed_s = |block: usize| {
        let expected_s = block_s(protocol, block / holds, 0);
        let last_of_cycle = (block + 1).is_multiple_of(holds);
        let asks = &protocol.ask;
        let rated = !asks.after_block.is_empty() || (last_of_cycle && !asks.after_cycle.is_empty());
        let ratings_s = if rated { RATINGS_S } else { 0.0 };
        // The ratings are part of the rest, and after the last block there is none.
        let after_s = if block + 1 < blocks {
            rest_s(protocol, block + 1, expected_s).max(ratings_s)
        } else {
            ratings_s
        };
        CARD_S + expected_s + after_s
    };
    (block..blocks).map(elapsed_s).sum::<f64>() / 60.0
}

/// Empty waits expected in a block.
fn empty_in_block(protocol: &Protocol) -> f64 {
    let share = protocol.foreperiod.catch_share();
    protocol.design.trials as f64 * share / (1.0 - share).max(1e-9)
}

/// Time under the hold in a block of a cycle (index), s.
fn block_s(protocol: &Protocol, cycle: usize, repeats: usize) -> f64 {
    let design = &protocol.design;
    let warm_up = if cycle == 0 { design.warm_up } else { design.warm_up_later };
    // A trial of a set time takes that, and the empty field after it.
    let beside_s =
        protocol.task.task().run().map_or(BESIDE_WAIT_S, |run| run.lasts.s() + AFTER_RUN_S);
    let trial_s = mean_wait_ms(&protocol.foreperiod) / 1e3 + beside_s;
    let empty_s = protocol.foreperiod.longest_ms() / 1e3 + AFTER_EMPTY_WAIT_S;
    (warm_up + design.trials + repeats) as f64 * trial_s + empty_in_block(protocol) * empty_s
}

fn rest_s(protocol: &Protocol, after_block: usize, under_hold_s: f64) -> f64 {
    let rest = &protocol.rest;
    let mut floor_s = LEAST_REST_S.max(under_hold_s / 2.0);
    if rest.every_blocks > 0 && after_block.is_multiple_of(rest.every_blocks) {
        floor_s = floor_s.max(rest.min_s);
    }
    if let Some(standing) = rest.standing_break.filter(|b| b.after_block == after_block) {
        floor_s = floor_s.max(standing.min_s);
    }
    floor_s
}
