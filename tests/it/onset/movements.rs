//! Simulated movements of known start, as a mouse of whole counts would report them.

use std::f64::consts::PI;
use tautline::motion::Step;
use tautline::units::{Nanos, Span};

/// Shapes of a movement: the share of the way that is done at each share of its time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Profile {
    /// Flash & Hogan (1985).
    MinimumJerk,
    /// Speed u² (1 − u)⁴: its peak comes at a third of the time.
    EarlyPeak,
    /// Three quarters of the way by minimum jerk in the first 60 % of the time, and the rest by
    /// a second one in the last 50 %.
    TwoStages,
    /// Speed u³ (1 − u)²: a start that is softer by one order.
    SoftStart,
}

impl Profile {
    pub(super) const ALL: [Profile; 4] =
        [Profile::MinimumJerk, Profile::EarlyPeak, Profile::TwoStages, Profile::SoftStart];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Profile::MinimumJerk => "minimum jerk",
            Profile::EarlyPeak => "early peak",
            Profile::TwoStages => "two stages",
            Profile::SoftStart => "soft start",
        }
    }

    /// Share of the way done at a share of the time.
    pub(crate) fn done(self, share: f64) -> f64 {
        let u = share.clamp(0.0, 1.0);
        let (u3, u4, u5) = (u.powi(3), u.powi(4), u.powi(5));
        match self {
            Profile::MinimumJerk => 10.0 * u3 - 15.0 * u4 + 6.0 * u5,
            Profile::EarlyPeak => {
                let high = -2.0 * u.powi(6) / 3.0 + u.powi(7) / 7.0;
                105.0 * (u3 / 3.0 - u4 + 6.0 * u5 / 5.0 + high)
            }
            Profile::TwoStages => {
                let jerk = |share: f64| Profile::MinimumJerk.done(share);
                0.75 * jerk(u / 0.6) + 0.25 * jerk((u - 0.5) / 0.5)
            }
            Profile::SoftStart => 60.0 * (u4 / 4.0 - 2.0 * u5 / 5.0 + u.powi(6) / 6.0),
        }
    }
}

/// One movement and the mouse that reports it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Movement {
    pub(super) profile: Profile,
    pub(super) long_ms: f64,
    pub(super) counts: f64,
    pub(super) report_ms: f64,
    /// Height of a tremor of 9.5 Hz along the movement, all through the trial, counts.
    pub(super) shake_counts: f64,
    /// Which of [`PLACES`]: where the start falls between two reports, the rest between two
    /// counts, and the tremor in its period.
    pub(super) place: u32,
}

/// Places for each kind of movement.
pub(super) const PLACES: u32 = 20;
/// When the stimulus is there, ms after the wait's begin.
pub(super) const STIMULUS_MS: f64 = 1_000.0;

impl Movement {
    /// When it starts, ms.
    pub(super) fn begins_ms(&self) -> f64 {
        STIMULUS_MS + 200.0 + self.between(0.618_033_988_749_894_9) * self.report_ms
    }

    /// When the press comes, ms.
    pub(super) fn press_ms(&self) -> f64 {
        self.begins_ms() + self.long_ms + 150.0
    }

    /// Points that fill an interval evenly: multiples of an irrational number.
    fn between(&self, step: f64) -> f64 {
        (f64::from(self.place + 1) * step).fract()
    }

    fn counts_at(&self, ms: f64) -> f64 {
        let turn = ms * 9.5 / 1_000.0 + self.between(0.569_840_290_998_053_3);
        let shake = self.shake_counts * libm::sin(2.0 * PI * turn);
        let done = self.profile.done((ms - self.begins_ms()) / self.long_ms);
        (self.counts * done + shake + self.between(0.754_877_666_246_692_8)).floor()
    }

    /// The reports from the wait's begin to the press.
    pub(super) fn steps(&self) -> Vec<Step> {
        let mut told = self.counts_at(0.0);
        let mut steps = Vec::new();
        for ms in (1u32..)
            .map(|report| f64::from(report) * self.report_ms)
            .take_while(|ms| *ms < self.press_ms())
        {
            let now = self.counts_at(ms);
            if (now - told).abs() > 0.5 {
                steps.push(Step { t: at(ms), dx: now - told, dy: 0.0 });
                told = now;
            }
        }
        steps
    }
}

pub(super) fn at(ms: f64) -> Nanos {
    Nanos(0) + Span::from_ms_f64(ms)
}
