//! Pursuit: keep the view on a target that goes to and fro by a sum of sines.
//!
//! Measures following: how far off the target the view is, how large the hand's movement is against
//! the target's, and how far it is behind. The path looks unforeseeable and is not the same from
//! trial to trial, but each hold gets the same paths. It measures no reaction and no clicking.

use super::simple::wait_mark;
use super::steadiness::aim_mark;
use super::{AnsweredBy, Given, Judged, Run, Stimulus, Task, View};
use crate::scene::{Mark, Marks, Place, Side};
use crate::units::Span;
use serde::Serialize;
use std::borrow::Cow;
use std::f64::consts::TAU;

/// Follow the target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pursuit {
    /// For how long, s.
    pub run_s: f64,
    /// How far from the middle the target can get, mm.
    pub reach_mm: f64,
}

/// Cycles of the sines in 20 s: primes, so that none is a harmonic of another (0.1 to 0.65 Hz).
const CYCLES_IN_20_S: [f64; 4] = [2.0, 5.0, 7.0, 13.0];
/// Share of the reach of each; the quick ones are smaller.
const SHARES: [f64; 4] = [0.4, 0.3, 0.2, 0.1];
/// The path grows from nothing over this time, which does not enter the measures.
const LEAD_IN: Span = Span::from_ms(2_000);
/// Paths to choose from.
const PATHS: u16 = 8;
/// Spreads the phases of the paths evenly: the golden ratio's fraction.
const GOLDEN: f64 = 0.618_033_988_749_895;

impl Pursuit {
    /// Where the target is from the middle, as a share of the reach, -1 to 1.
    fn share(path: u16, since_onset: Span) -> f64 {
        let t_s = since_onset.max(Span::ZERO).s();
        let mut phase = f64::from(path) * GOLDEN;
        let mut sum = 0.0;
        for (cycles, share) in CYCLES_IN_20_S.iter().zip(SHARES) {
            phase += GOLDEN;
            sum += share * libm::sin(TAU * (cycles * t_s / 20.0 + phase));
        }
        // Smooth from 0 to 1 (no jump of place or speed at either end).
        let z = (t_s / LEAD_IN.s()).min(1.0);
        sum * z * z * (3.0 - 2.0 * z)
    }
}

impl Task for Pursuit {
    fn stimuli(&self, count: usize) -> Vec<Stimulus> {
        (0..PATHS).cycle().take(count).map(Stimulus::Path).collect()
    }

    fn wait(&self, view: &View) -> Marks {
        Marks::of(&[wait_mark(view), aim_mark(view)])
    }

    fn target(&self, stimulus: Stimulus, view: &View) -> Marks {
        let (at, size_px) = self.place(stimulus, view);
        let contrast_share = view.look.contrast_share;
        let target = Mark::Target { at, size_px, notch: Side::Up, contrast_share };
        Marks::of(&[target, aim_mark(view)])
    }

    fn animated(&self) -> bool {
        true
    }

    fn answered_by(&self) -> AnsweredBy {
        AnsweredBy::Run
    }

    fn expected(&self, _: Stimulus) -> Cow<'static, str> {
        "on_target".into()
    }

    fn judge(&self, _: Stimulus, _: Given, _: &View) -> Judged {
        Judged::Wrong
    }

    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64) {
        let path = match stimulus {
            Stimulus::Path(path) => path,
            // A schedule made by `stimuli` holds nothing else.
            _ => 0,
        };
        let centre = view.canvas.centre();
        let away_px = view.canvas.px(self.reach_mm) * Self::share(path, view.since_onset);
        let at = Place {
            x_px: centre.x_px + away_px - view.aim.x_px,
            y_px: centre.y_px - view.aim.y_px,
        };
        (at, view.canvas.px(view.look.size_mm))
    }

    fn turns(&self) -> bool {
        true
    }

    fn run(&self) -> Option<Run> {
        let lasts = Span::from_ms_f64(self.run_s * 1e3);
        Some(Run { lasts, taps: false, still: false, tracks: true })
    }

    fn lead_in(&self) -> Span {
        LEAD_IN
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_starts_in_the_middle_keeps_its_reach_and_goes_both_ways() {
        for path in 0..PATHS {
            let at = |ms: i64| Pursuit::share(path, Span::from_ms(ms));
            assert!(at(0).abs() < 1e-12);
            let all: Vec<f64> = (0..20_000).step_by(5).map(at).collect();
            let (low, high) =
                all.iter().fold((0.0_f64, 0.0_f64), |(l, h), x| (l.min(*x), h.max(*x)));
            assert!(low >= -1.0 && high <= 1.0 && low < -0.3 && high > 0.3, "{path}: {low} {high}");
            // No jump: at most 2 pi x sum of share x frequency a second, and the lead-in's own.
            let fastest = all.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
            assert!(fastest < 0.02, "{path}: {fastest} in 5 ms");
        }
    }
}
