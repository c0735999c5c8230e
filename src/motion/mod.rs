//! What the raw counts say: movement onset, speed, path. Pure; knows steps and moments only.
//!
//! It does not know a task, a screen or a pointer: counts go in before any gain or acceleration,
//! and counts come out. Nothing here decides whether a movement counts as a response; that is the
//! engine's. The same steps give the same summary on every machine (`libm`, times to 1 µs).

mod filter;
mod fit;
mod onset;
mod path;
mod shakes;
#[cfg(test)]
mod tests;
mod tracking;
mod welch;

use crate::units::{Nanos, Span};

pub use filter::{FilterError, LowPass};
pub use shakes::SmallShakes;
pub use tracking::{Following, Xy};
pub use welch::Spectrum;

/// One report of the mouse: how far it moved, in counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// When the report came.
    pub t: Nanos,
    /// Counts to the right.
    pub dx: f64,
    /// Counts down.
    pub dy: f64,
}

/// How motion is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotionRule {
    /// Number of the rule, as the session was recorded: up to 1 nothing is fitted.
    pub number: u32,
    /// Cut-off of the low-pass, Hz: the -3 dB point of each of its two passes.
    pub low_pass_hz: f64,
}

/// What one trial's motion says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MotionSummary {
    /// First report of the run of motion that leads to the response, above the trial's own
    /// resting noise. Before the stimulus where `moved_early`.
    pub first: Option<Nanos>,
    /// Where the smoothed speed last rose through 5 % of its peak.
    pub five_percent: Option<Nanos>,
    /// Where a fit from rest to peak speed starts. Blank under rule 1, where fewer than 10 counts
    /// lead to the peak, and where the rise to it takes more than 600 ms.
    pub fit: Option<Nanos>,
    /// Path travelled from the start of the wait to the stimulus, counts.
    pub rest_counts: f64,
    /// The run of motion that leads to the response was under way at the stimulus.
    pub moved_early: bool,
    /// Path travelled from the stimulus to the press, counts.
    pub path_counts: f64,
    /// Peak of the smoothed speed between stimulus and press, counts per second.
    pub peak_speed_counts_s: f64,
    /// When that peak was.
    pub peak_at: Option<Nanos>,
    /// Peaks of the smoothed speed between stimulus and press that stand out by a tenth of the
    /// largest: the movement and its corrections.
    pub submovements: u32,
    /// Path from the stimulus to the press over the straight line between its ends, 1 at least;
    /// blank where it ends where it began.
    pub straightness: Option<f64>,
    /// How far it went past its end along that straight line, counts.
    pub overshoot_counts: Option<f64>,
    /// Path travelled from the stimulus to 20 ms before the press, counts: without some of it
    /// what moved is the jolt of the click.
    pub counts_before: f64,
}

/// How long before the press its jolt begins to show: common practice, no source.
const JOLT: Span = Span::from_ms(20);

/// Reads one trial's motion.
///
/// `steps`: in order of time, from the start of the wait (`rest_from`) to the press; later ones
/// are not looked at. `report_interval`: the mouse's own, where it was measured; the speed's grid
/// is 1 ms, or that interval if it is longer. A cut-off that the grid cannot carry (at or above
/// half its rate) leaves `five_percent` blank and the speed unsmoothed. A press before the
/// stimulus has no onset.
pub fn summarize(
    steps: &[Step],
    rest_from: Nanos,
    onset_shown: Nanos,
    press: Nanos,
    report_interval: Option<Span>,
    rule: &MotionRule,
) -> MotionSummary {
    let steps = &steps[..steps.partition_point(|step| step.t <= press)];
    let speed = path::Speed::new(steps, rest_from, onset_shown, press, report_interval);
    let smooth = speed.smoothed(rule.low_pass_hz);
    let seen = smooth.as_ref().unwrap_or(&speed);
    let peak = seen.peak(onset_shown);
    let five_percent =
        smooth.as_ref().ok().zip(peak).and_then(|(smooth, peak)| onset::five_percent(smooth, peak));
    let fit =
        smooth.as_ref().ok().zip(peak).zip(five_percent).and_then(|((smooth, peak), five)| {
            let fitted = rule.number > 1;
            fitted.then(|| fit::start(steps, smooth, peak, five, onset_shown, report_interval))?
        });
    let first = peak.and_then(|peak| {
        let peak_ends = seen.bin_ends(peak.bin);
        onset::first(steps, rest_from, onset_shown, peak_ends, report_interval)
    });
    let line = path::line(steps, onset_shown, press + Span(1));
    MotionSummary {
        first,
        five_percent,
        fit,
        rest_counts: path::between(steps, rest_from, onset_shown),
        moved_early: first.is_some_and(|t| t < onset_shown),
        path_counts: path::between(steps, onset_shown, press + Span(1)),
        peak_speed_counts_s: peak.map_or(0.0, |peak| peak.counts_s),
        peak_at: peak.map(|peak| seen.moment(peak.bin as f64 + seen.beside_the_middle(peak))),
        submovements: seen.peaks(onset_shown),
        straightness: line.map(|line| line.straightness),
        overshoot_counts: line.map(|line| line.overshoot_counts),
        counts_before: path::between(steps, onset_shown, press - JOLT),
    }
}
