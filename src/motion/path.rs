//! Path and speed: counts summed on an even grid, smoothed, and their peaks.
//!
//! Knows nothing of onsets. The grid is 1 ms, or the report interval if longer; a bin's speed
//! stands at the bin's middle.

use super::Step;
use super::filter::{FilterError, LowPass};
use crate::units::{Nanos, Span};

/// Finest grid of the speed.
const GRID: Span = Span::from_ms(1);
/// A peak of speed counts as a movement of its own when it stands out by this share of the
/// largest above the deeper of what lies on its two sides: common practice, no source.
const PROMINENCE: f64 = 0.1;
/// How much of the wait before the stimulus the grid holds: room for the filter and for motion
/// already under way. Common practice, no source.
const LEAD: Span = Span::from_ms(500);

/// Path length of the steps in [from, until), counts.
pub(super) fn between(steps: &[Step], from: Nanos, until: Nanos) -> f64 {
    steps
        .iter()
        .filter(|step| from <= step.t && step.t < until)
        .map(|step| libm::hypot(step.dx, step.dy))
        .sum()
}

/// What the line of a movement says, counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// Path over the straight line between its ends: 1 at least.
    pub(super) straightness: f64,
    /// How far the movement went past its end, along that straight line.
    pub(super) overshoot_counts: f64,
}

/// The line of the steps in [from, until); `None` where it ends where it began.
pub(super) fn line(steps: &[Step], from: Nanos, until: Nanos) -> Option<Line> {
    let within = || steps.iter().filter(|step| from <= step.t && step.t < until);
    let (x, y) = within().fold((0.0, 0.0), |(x, y), step| (x + step.dx, y + step.dy));
    let straight = libm::hypot(x, y);
    if straight <= 0.0 {
        return None;
    }
    let mut along = 0.0;
    let mut farthest = straight;
    for step in within() {
        along += (step.dx * x + step.dy * y) / straight;
        farthest = farthest.max(along);
    }
    Some(Line {
        // Rounding must not make a straight line shorter than itself.
        straightness: (between(steps, from, until) / straight).max(1.0),
        overshoot_counts: farthest - straight,
    })
}

/// Velocity on an even grid.
#[derive(Debug, Clone)]
pub(super) struct Speed {
    /// Where the first bin begins.
    start: Nanos,
    /// Width of a bin.
    bin: Span,
    /// Counts per second to the right, one value a bin.
    vx: Vec<f64>,
    /// Counts per second down.
    vy: Vec<f64>,
}

/// The largest speed of a grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    /// Its bin.
    pub(super) bin: usize,
    /// Counts per second.
    pub(super) counts_s: f64,
}

impl Speed {
    /// Sums the steps from shortly before the stimulus to the press.
    pub(super) fn new(
        steps: &[Step],
        rest_from: Nanos,
        onset_shown: Nanos,
        press: Nanos,
        report_interval: Option<Span>,
    ) -> Speed {
        let bin = report_interval.map_or(GRID, |interval| interval.max(GRID));
        let start = rest_from.max(onset_shown - LEAD).min(press);
        let bins = bin_of(press - start, bin) + 1;
        let mut speed = Speed { start, bin, vx: vec![0.0; bins], vy: vec![0.0; bins] };
        for step in steps.iter().filter(|step| start <= step.t && step.t <= press) {
            let at = bin_of(step.t - start, bin);
            speed.vx[at] += step.dx / bin.s();
            speed.vy[at] += step.dy / bin.s();
        }
        speed
    }

    /// The same, low-passed without a shift in time.
    pub(super) fn smoothed(&self, low_pass_hz: f64) -> Result<Speed, FilterError> {
        let filter = LowPass::butterworth(low_pass_hz, 1.0 / self.bin.s())?;
        Ok(Speed {
            vx: filter.zero_phase(&self.vx),
            vy: filter.zero_phase(&self.vy),
            start: self.start,
            bin: self.bin,
        })
    }

    /// Speed in a bin, counts per second.
    pub(super) fn at(&self, bin: usize) -> f64 {
        libm::hypot(self.vx[bin], self.vy[bin])
    }

    /// The largest speed from the bin of `from` on; `None` where nothing moved or the grid ends
    /// before.
    pub(super) fn peak(&self, from: Nanos) -> Option<Peak> {
        let first = bin_of(Span::ZERO.max(from - self.start), self.bin);
        (first..self.vx.len())
            .map(|bin| Peak { bin, counts_s: self.at(bin) })
            .filter(|peak| peak.counts_s > 0.0)
            .max_by(|a, b| a.counts_s.total_cmp(&b.counts_s))
    }

    /// The moment `bins` (a fraction is part of a bin) after the middle of the first bin.
    #[expect(clippy::cast_possible_truncation, reason = "a grid is seconds long")]
    pub(super) fn moment(&self, bins: f64) -> Nanos {
        self.start + Span(((bins + 0.5) * self.bin.0 as f64).round() as i64)
    }

    /// How many peaks the speed has from the bin of `from` on: those that stand out from the
    /// valleys beside them by a tenth of the largest.
    pub(super) fn peaks(&self, from: Nanos) -> u32 {
        let Some(largest) = self.peak(from) else { return 0 };
        let enough = PROMINENCE * largest.counts_s;
        let first = bin_of(Span::ZERO.max(from - self.start), self.bin);
        // Comes down from a peak, and climbs from a valley, by `enough` at least.
        let (mut peaks, mut climbing) = (0, true);
        let (mut valley, mut top) = (0.0_f64, 0.0_f64);
        for speed in (first..self.vx.len()).map(|bin| self.at(bin)) {
            if climbing {
                top = top.max(speed);
                if top - speed >= enough {
                    peaks += 1;
                    (climbing, valley) = (false, speed);
                }
            } else {
                valley = valley.min(speed);
                if speed - valley >= enough {
                    (climbing, top) = (true, speed);
                }
            }
        }
        // Cut off by the press before it came down.
        if climbing { peaks + 1 } else { peaks }
    }

    /// How far a peak stands from its bin's middle, by a parabola through its neighbours, bins.
    pub(super) fn beside_the_middle(&self, peak: Peak) -> f64 {
        if peak.bin == 0 || peak.bin + 1 >= self.vx.len() {
            return 0.0;
        }
        let (low, high) = (self.at(peak.bin - 1), self.at(peak.bin + 1));
        let bend = low - 2.0 * peak.counts_s + high;
        if bend < 0.0 { (0.5 * (low - high) / bend).clamp(-0.5, 0.5) } else { 0.0 }
    }

    /// Where the first bin begins.
    pub(super) fn begins(&self) -> Nanos {
        self.start
    }

    /// Where a bin ends.
    pub(super) fn bin_ends(&self, bin: usize) -> Nanos {
        self.moment(bin as f64 + 0.5)
    }
}

/// The bin in which a span from the start ends.
fn bin_of(from_start: Span, bin: Span) -> usize {
    usize::try_from(from_start.0 / bin.0).expect("a span within the grid is not negative")
}
