//! Who the simulated player is: reaction times of an ex-Gaussian shape with practice, fatigue,
//! block shifts, early presses, lapses and wrong choices.
//!
//! Draws only; what the player sees and when stands in `desk.rs`.

use crate::units::Span;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Exp, Normal};
use serde::{Deserialize, Serialize};

/// The truth behind a simulated session. Times in ms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// How much slower each hold is than the player's own level, by index of condition.
    pub differences_ms: Vec<f64>,
    /// Mean of the normal part.
    pub mu_ms: f64,
    /// Standard deviation of the normal part.
    pub sigma_ms: f64,
    /// Mean of the exponential part.
    pub tau_ms: f64,
    /// How much slower the very first trial is; wears off with `practice_trials`.
    pub practice_ms: f64,
    /// Trials after which practice has worn off to a third.
    pub practice_trials: f64,
    /// Slowing with time on the task, ms per 10 minutes.
    pub drift_ms_per_10min: f64,
    /// Standard deviation of a block's own shift.
    pub block_sd_ms: f64,
    /// Correlation of neighbouring trials' normal part, 0 to below 1.
    pub autocorrelation: f64,
    /// Share of trials with a press before the stimulus.
    pub early_share: f64,
    /// Share of trials with a lapse.
    pub lapse_share: f64,
    /// What a lapse adds.
    pub lapse_ms: f64,
    /// Share of wrong choices.
    pub wrong_share: f64,
    /// How long a movement of the hand lasts, mean.
    pub movement_ms: f64,
    /// Interval between the mouse's reports.
    pub report_ms: f64,
    /// How much slower each second of waiting beyond the first makes (negative: sooner). Left out of
    /// a record where it is 0, so that older records read.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub wait_ms_per_s: f64,
}

fn is_nothing(value: &f64) -> bool {
    value.abs() <= 0.0
}

impl Truth {
    /// A quiet player of round figures, no hold differing.
    pub fn quiet(conditions: usize) -> Truth {
        Truth {
            differences_ms: vec![0.0; conditions],
            mu_ms: 190.0,
            sigma_ms: 18.0,
            tau_ms: 30.0,
            practice_ms: 0.0,
            practice_trials: 40.0,
            drift_ms_per_10min: 0.0,
            block_sd_ms: 0.0,
            autocorrelation: 0.0,
            early_share: 0.0,
            lapse_share: 0.0,
            lapse_ms: 300.0,
            wrong_share: 0.0,
            movement_ms: 200.0,
            report_ms: 1.0,
            wait_ms_per_s: 0.0,
        }
    }

    /// A player as people are: practice, drift, block shifts, some early presses and lapses.
    pub fn usual(conditions: usize) -> Truth {
        Truth {
            practice_ms: 20.0,
            drift_ms_per_10min: 6.0,
            block_sd_ms: 4.0,
            autocorrelation: 0.2,
            early_share: 0.02,
            lapse_share: 0.02,
            wrong_share: 0.03,
            ..Truth::quiet(conditions)
        }
    }
}

/// How a simulated player meets one stimulus.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reaction {
    pub(super) rt: Span,
    pub(super) wrong: bool,
    pub(super) press_for: Span,
}

/// The player's chance and memory.
#[derive(Debug, Clone)]
pub struct Player {
    pub(super) truth: Truth,
    random: ChaCha8Rng,
    normal: Normal<f64>,
    tail: Exp<f64>,
    trials_seen: f64,
    block_shift_ms: f64,
    condition: usize,
    carried: f64,
}

impl Player {
    /// A player of this truth; the same seed plays the same.
    ///
    /// # Panics
    /// When the truth's spreads are negative or not finite: a caller's mistake.
    pub fn new(truth: Truth, seed: u64) -> Player {
        let random = ChaCha8Rng::seed_from_u64(seed);
        let normal = Normal::new(0.0, 1.0).expect("a unit normal is always valid");
        let tail = Exp::new(1.0 / truth.tau_ms.max(1e-9)).expect("tau is finite and not negative");
        Player {
            truth,
            random,
            normal,
            tail,
            trials_seen: 0.0,
            block_shift_ms: 0.0,
            condition: 0,
            carried: 0.0,
        }
    }

    /// Takes up a hold for a block.
    pub(super) fn take_hold(&mut self, condition: usize) {
        self.condition = condition;
        self.block_shift_ms = self.normal.sample(&mut self.random) * self.truth.block_sd_ms;
    }

    /// Whether this wait is broken by an early press, and at which share of `longest`.
    pub(super) fn breaks_the_wait(&mut self) -> Option<f64> {
        let breaks = self.random.random::<f64>() < self.truth.early_share;
        let share = self.random.random::<f64>();
        breaks.then_some(share)
    }

    /// The reaction to a stimulus that came after `wait_ms`, `minutes` into the session.
    pub(super) fn react(&mut self, minutes: f64, wait_ms: f64) -> Reaction {
        let truth = &self.truth;
        let fresh = self.normal.sample(&mut self.random);
        let kept = truth.autocorrelation;
        self.carried = kept * self.carried + (1.0 - kept * kept).max(0.0).sqrt() * fresh;
        let practice = truth.practice_ms * (-self.trials_seen / truth.practice_trials).exp();
        let mut rt_ms = truth.mu_ms
            + truth.sigma_ms * self.carried
            + self.tail.sample(&mut self.random)
            + truth.differences_ms.get(self.condition).copied().unwrap_or(0.0)
            + practice
            + truth.drift_ms_per_10min * minutes / 10.0
            + truth.wait_ms_per_s * (wait_ms / 1e3 - 1.0)
            + self.block_shift_ms;
        if self.random.random::<f64>() < truth.lapse_share {
            rt_ms += truth.lapse_ms;
        }
        self.trials_seen += 1.0;
        let wrong = self.random.random::<f64>() < truth.wrong_share;
        let press_ms = (90.0 + 15.0 * self.normal.sample(&mut self.random)).max(30.0);
        Reaction {
            rt: Span::from_ms_f64(rt_ms.max(1.0)),
            wrong,
            press_for: Span::from_ms_f64(press_ms),
        }
    }

    /// From one tap to the next, `since_s` into the run: round figures, a little slower with time.
    pub(super) fn tap_interval(&mut self, since_s: f64) -> Span {
        let own = self.truth.differences_ms.get(self.condition).copied().unwrap_or(0.0);
        let ms = 160.0 + own + 1.5 * since_s + 8.0 * self.normal.sample(&mut self.random);
        Span::from_ms_f64((ms + self.block_shift_ms).max(60.0))
    }

    /// How far a hand that keeps still shakes, counts: round figures, more with a slower hold.
    pub(super) fn shake_counts(&mut self) -> f64 {
        let own = self.truth.differences_ms.get(self.condition).copied().unwrap_or(0.0);
        (2.0 + own / 20.0 + 0.2 * self.normal.sample(&mut self.random)).max(0.6)
    }

    /// How hastily a hand follows, about 1; less with a slower hold.
    pub(super) fn haste(&self) -> f64 {
        let own = self.truth.differences_ms.get(self.condition).copied().unwrap_or(0.0);
        (1.0 - (own + self.block_shift_ms) / 100.0).clamp(0.5, 1.2)
    }

    /// A share between 0 and 1, for what has no law of its own.
    pub(super) fn share(&mut self) -> f64 {
        self.random.random::<f64>()
    }
}
