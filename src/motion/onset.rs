//! When the movement began, by two definitions: the first count, and 5 % of peak speed.
//!
//! Knows steps and a speed grid. Both walk back from the peak of the movement that leads to the
//! response, so that a stray shake long before is not taken for its start.

use super::Step;
use super::path::{Peak, Speed};
use crate::units::{Nanos, Span};

/// A silence longer than this parts two runs of motion: common practice, no source.
const SILENCE: Span = Span::from_ms(40);
/// Over how long counts are summed against the resting noise, at least; two report intervals if
/// those are longer. Common practice, no source.
const LOOK_AHEAD: Span = Span::from_ms(10);
/// The last of the wait that does not serve to know the resting noise, so that motion begun too
/// early cannot hide itself. Common practice, no source.
const UNTRUSTED_REST: Span = Span::from_ms(100);
/// Share of peak speed that the movement must have passed.
const ONSET_SHARE: f64 = 0.05;

/// First report of the run of motion in which the peak lies, above the trial's resting noise.
///
/// The run goes back from the last report before `peak_ends` over silences of at most 40 ms. Its
/// first report from which the counts of the next 10 ms sum to more than they ever did in the
/// wait is the onset.
pub(super) fn first(
    steps: &[Step],
    rest_from: Nanos,
    onset_shown: Nanos,
    peak_ends: Nanos,
    report_interval: Option<Span>,
) -> Option<Nanos> {
    let ahead = report_interval.map_or(LOOK_AHEAD, |t| LOOK_AHEAD.max(t + t));
    let steps: Vec<Step> = steps
        .iter()
        .copied()
        .filter(|step| step.t >= rest_from && (step.dx.abs() > 0.0 || step.dy.abs() > 0.0))
        .collect();
    let last = steps.partition_point(|step| step.t < peak_ends).checked_sub(1)?;
    let run = (1..=last)
        .rev()
        .find(|&i| steps[i].t - steps[i - 1].t > SILENCE.max(ahead + ahead))
        .unwrap_or(0);
    let noise = resting_noise(&steps, onset_shown - UNTRUSTED_REST, ahead);
    (run..=last).find(|&i| travelled(&steps[i..], ahead) > noise).map(|i| steps[i].t)
}

/// The farthest that the mouse went within `ahead` of any of its reports in the wait, counts.
fn resting_noise(steps: &[Step], until: Nanos, ahead: Span) -> f64 {
    let rest = &steps[..steps.partition_point(|step| step.t < until)];
    (0..rest.len()).map(|i| travelled(&rest[i..], ahead)).fold(0.0, f64::max)
}

/// How far from where it was the mouse is `ahead` after the first of `steps`, counts.
fn travelled(steps: &[Step], ahead: Span) -> f64 {
    let Some(begin) = steps.first().map(|step| step.t) else { return 0.0 };
    let (x, y) = steps
        .iter()
        .take_while(|step| step.t - begin <= ahead)
        .fold((0.0, 0.0), |(x, y), step| (x + step.dx, y + step.dy));
    libm::hypot(x, y)
}

/// Where the smoothed speed last rose through 5 % of its peak, between bins by proportion, to
/// the nearest microsecond; `None` where it was above from the grid's start.
pub(super) fn five_percent(speed: &Speed, peak: Peak) -> Option<Nanos> {
    let level = ONSET_SHARE * peak.counts_s;
    let below = (0..peak.bin).rev().find(|&bin| speed.at(bin) < level)?;
    let (low, high) = (speed.at(below), speed.at(below + 1));
    let at = speed.moment(below as f64 + (level - low) / (high - low));
    Some(Nanos((at.0 + 500).div_euclid(1000) * 1000))
}
