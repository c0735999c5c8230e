//! The taps of a run: presses one after the other, and how their pace holds.
//!
//! Knows moments only. Room for the taps is made when the attempt starts, so that nothing is
//! allocated while they come.

use super::attempt::Press;
use super::trial::Tapping;
use crate::tasks::Task;
use crate::units::{DeviceId, Nanos, Span, Stamp};

/// A press this soon after a release is chatter of the switch and no tap: fingers lift for longer
/// (common practice, no source).
const CHATTER_WITHIN: Span = Span::from_ms(10);
/// Taps that one run can hold: 60 s at twice the pace of any finger.
const MOST_TAPS: usize = 2_048;
/// Fewer taps have no pace.
const LEAST_TAPS: usize = 5;

/// Presses of one run.
#[derive(Debug, Clone, Default)]
pub(super) struct Taps {
    times: Vec<Nanos>,
    first: Option<(Stamp, DeviceId)>,
    last_release: Option<Nanos>,
}

impl Taps {
    /// Room for the taps of a task that counts them; none for any other.
    pub(super) fn for_task(task: &dyn Task) -> Taps {
        let counts = task.run().is_some_and(|run| run.taps);
        Taps { times: Vec::with_capacity(if counts { MOST_TAPS } else { 0 }), ..Taps::default() }
    }

    /// Takes a press; says whether it was chatter.
    pub(super) fn pressed(&mut self, press: Press) -> bool {
        let t = press.stamp.t;
        if self.last_release.is_some_and(|up| t >= up && t - up < CHATTER_WITHIN) {
            return true;
        }
        if self.times.len() < self.times.capacity() {
            self.times.push(t);
            self.first.get_or_insert((press.stamp, press.device));
        }
        false
    }

    pub(super) fn released(&mut self, t: Nanos) {
        if !self.times.is_empty() {
            self.last_release = Some(t);
        }
    }

    /// Whether there is a pace to speak of.
    pub(super) fn are_enough(&self) -> bool {
        self.times.len() >= LEAST_TAPS
    }

    /// The first tap: its stamp and whose it was.
    pub(super) fn first(&self) -> Option<(Stamp, DeviceId)> {
        self.first
    }

    /// What the taps from the onset to the end of the run say.
    ///
    /// ```text
    /// interval = (last - first) / (taps - 1);  slowing = least squares slope of the intervals over
    /// the moments at which they ended, ms a second
    /// ```
    pub(super) fn tapping(&self, onset: Nanos, ends: Nanos) -> Option<Tapping> {
        let times: Vec<Nanos> =
            self.times.iter().copied().filter(|t| onset <= *t && *t < ends).collect();
        let (first, last) = (*times.first()?, *times.last()?);
        let count = u32::try_from(times.len()).ok()?;
        if times.len() < LEAST_TAPS {
            return Some(Tapping { count, interval: None });
        }
        let intervals =
            || times.windows(2).map(|pair| ((pair[1] - onset).s(), (pair[1] - pair[0]).ms()));
        let n = intervals().count() as f64;
        let mean_ms = (last - first).ms() / n;
        let mean_s = intervals().map(|(at_s, _)| at_s).sum::<f64>() / n;
        let (mut squares, mut cross, mut spread) = (0.0, 0.0, 0.0);
        for (at_s, ms) in intervals() {
            squares += (ms - mean_ms) * (ms - mean_ms);
            cross += (at_s - mean_s) * (ms - mean_ms);
            spread += (at_s - mean_s) * (at_s - mean_s);
        }
        let sd_ms = libm::sqrt(squares / (n - 1.0));
        let slowing_ms_per_s = if spread > 0.0 { cross / spread } else { 0.0 };
        let interval = Some(super::trial::TapInterval { mean_ms, sd_ms, slowing_ms_per_s });
        Some(Tapping { count, interval })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Button, StampSource};

    fn taps(at_ms: &[f64]) -> Taps {
        let mut taps = Taps { times: Vec::with_capacity(64), ..Taps::default() };
        for ms in at_ms {
            let t = Nanos(0) + Span::from_ms_f64(*ms);
            let stamp = Stamp { t, source: StampSource::Simulated, sd: Span::ZERO };
            taps.pressed(Press { stamp, button: Button::Left, device: DeviceId(1) });
        }
        taps
    }

    #[test]
    fn the_pace_and_its_decline_by_hand() {
        // Intervals of 100, 110, 120, 130 ms, ending at 0.1, 0.21, 0.33, 0.46 s.
        let told = taps(&[0.0, 100.0, 210.0, 330.0, 460.0]).tapping(Nanos(0), Nanos(1_000_000_000));
        let told = told.unwrap();
        assert_eq!(told.count, 5);
        let pace = told.interval.unwrap();
        assert!((pace.mean_ms - 115.0).abs() < 1e-9);
        assert!((pace.sd_ms - 12.909_944).abs() < 1e-6);
        // By hand, about means of 0.275 s and 115 ms: cross sum 6, sum of squares 0.0721.
        assert!((pace.slowing_ms_per_s - 6.0 / 0.0721).abs() < 1e-9, "{pace:?}");
    }

    #[test]
    fn few_taps_have_no_pace_and_chatter_is_no_tap() {
        let mut few = taps(&[0.0, 100.0]);
        few.released(Nanos(150_000_000));
        let stamp = Stamp { t: Nanos(155_000_000), source: StampSource::Simulated, sd: Span::ZERO };
        assert!(few.pressed(Press { stamp, button: Button::Left, device: DeviceId(1) }));
        let told = few.tapping(Nanos(0), Nanos(1_000_000_000)).unwrap();
        assert_eq!((told.count, told.interval), (2, None));
    }
}
