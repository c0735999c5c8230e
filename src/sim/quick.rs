//! A session's reaction times without its screen: the same player and schedule, drawn straight
//! away. For thousands of sessions (what a plan can show; the calibration of the analysis), where
//! the engine would only pass the times through.

use super::player::Player;
use crate::protocol::{Part, Protocol, Schedule};

/// What one block of a quick session held.
#[derive(Debug, Clone, PartialEq)]
pub struct QuickBlock {
    /// Place in the session, from 1.
    pub position: usize,
    /// Cycle, from 1.
    pub cycle: usize,
    /// Index of the condition.
    pub condition: usize,
    /// Reaction times of the main trials that were answered in time and not too soon, ms.
    pub hits_ms: Vec<f64>,
    /// The wait before each of these, ms.
    pub waits_ms: Vec<f64>,
    /// Main trials not answered in time.
    pub misses: usize,
    /// Main trials answered too soon.
    pub early: usize,
}

/// Time from the onset to the next wait, beside the wait itself, s: the press, the gap.
const TRIAL_BESIDE_WAIT_S: f64 = 0.8;
/// Time for a card and ratings around each block, s.
const BLOCK_BESIDE_TRIALS_S: f64 = 12.0;

/// Plays `schedule` without a screen.
pub fn quick(protocol: &Protocol, schedule: &Schedule, player: &mut Player) -> Vec<QuickBlock> {
    let mut clock_s = 0.0;
    let rules = &protocol.analysis;
    let mut blocks = Vec::with_capacity(schedule.blocks.len());
    for block in &schedule.blocks {
        player.take_hold(block.condition);
        clock_s += BLOCK_BESIDE_TRIALS_S;
        let started_s = clock_s;
        let (mut hits_ms, mut waits_ms, mut misses, mut early) = (Vec::new(), Vec::new(), 0, 0);
        for trial in &block.trials {
            clock_s += trial.foreperiod_ms / 1e3 + TRIAL_BESIDE_WAIT_S;
            if trial.part == Part::Catch || protocol.task.task().withholds(trial.stimulus) {
                continue;
            }
            let broken = player.breaks_the_wait().is_some();
            let rt_ms = player.react(clock_s / 60.0, trial.foreperiod_ms).rt.ms();
            if trial.part != Part::Main {
                continue;
            }
            if broken || rt_ms < rules.anticipation_ms {
                early += 1;
            } else if rt_ms > protocol.respond_within_ms {
                misses += 1;
            } else {
                hits_ms.push(rt_ms);
                waits_ms.push(trial.foreperiod_ms);
            }
        }
        clock_s += ((clock_s - started_s) / 2.0).max(protocol.rest.min_s).max(5.0);
        let (position, cycle, condition) = (block.position, block.cycle, block.condition);
        blocks.push(QuickBlock { position, cycle, condition, hits_ms, waits_ms, misses, early });
    }
    blocks
}
