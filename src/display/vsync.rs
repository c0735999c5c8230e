//! Whether the refresh is really waited for: judged from intervals, never believed.
//!
//! Pure: intervals or stamps in, a verdict out. Hardware stamps say it best; without them a burst
//! of frames as fast as they are taken says whether anything holds them back. Where stamps follow
//! dithered submits instead of a lattice, the refresh is variable.

use serde::Serialize;

use super::earn;
use crate::units::{Nanos, Span};

/// Fewer intervals than this are not judged.
pub(super) const FEWEST: usize = 20;
/// An interval counts as whole refreshes when it is this near to them, as a share of one.
const NEAR_SHARE: f64 = 0.2;
/// Share of intervals that must be whole refreshes.
const LOCKED_SHARE: f64 = 0.9;
/// A median below this share of the refresh means that nothing holds the frames back.
const UNLOCKED_SHARE: f64 = 0.8;
/// Stamps spread more than this share of a refresh about the lattice are not on it.
const OFF_LATTICE_SHARE: f64 = 0.1;

/// What the refresh does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VsyncState {
    /// Frames are whole refreshes apart.
    Locked,
    /// Frames come faster than the refresh.
    Unlocked,
    /// Neither.
    Unsteady,
    /// The display follows the frames.
    Variable,
    /// Nothing could tell.
    NotJudged,
}

/// How it was judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum VsyncJudged {
    /// From the stamps of a clock that tells the vertical blank.
    HardwareStamps,
    /// From a burst of frames without pacing.
    Burst,
    /// Not at all.
    NotJudged,
}

/// The verdict on the refresh.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VsyncReport {
    /// What it does.
    pub state: VsyncState,
    /// How that was judged.
    pub how: VsyncJudged,
    /// Median interval of the frames judged, ms.
    pub median_interval_ms: Option<f64>,
    /// Refresh measured, ms: the lattice's, where there is one.
    pub refresh_ms: Option<f64>,
    /// Standard deviation about it, ms.
    pub refresh_sd_ms: Option<f64>,
}

impl VsyncReport {
    pub(super) const NOT_JUDGED: VsyncReport = VsyncReport {
        state: VsyncState::NotJudged,
        how: VsyncJudged::NotJudged,
        median_interval_ms: None,
        refresh_ms: None,
        refresh_sd_ms: None,
    };
}

/// Judges a burst presented as fast as it was taken. `intervals`: between successive frames;
/// `refresh`: the one asked.
pub(super) fn burst(intervals: &[Span], refresh: Span) -> VsyncReport {
    if intervals.len() < FEWEST {
        return VsyncReport::NOT_JUDGED;
    }
    let median_ms = median_ms(intervals);
    let share = |near: &dyn Fn(f64) -> bool| {
        let count = intervals.iter().filter(|span| near(span.ms() / refresh.ms())).count();
        count as f64 / intervals.len() as f64
    };
    let whole =
        share(&|refreshes| refreshes > 0.5 && (refreshes - refreshes.round()).abs() <= NEAR_SHARE);
    let state = if median_ms < UNLOCKED_SHARE * refresh.ms() {
        VsyncState::Unlocked
    } else if whole >= LOCKED_SHARE {
        VsyncState::Locked
    } else {
        VsyncState::Unsteady
    };
    let mut report = VsyncReport {
        state,
        how: VsyncJudged::Burst,
        median_interval_ms: Some(median_ms),
        refresh_ms: None,
        refresh_sd_ms: None,
    };
    if state == VsyncState::Locked {
        let mut t = Nanos(0);
        let stamps: Vec<Nanos> = std::iter::once(t)
            .chain(intervals.iter().map(|&span| {
                t += span;
                t
            }))
            .collect();
        let line = earn::line_through(&stamps, refresh);
        report.refresh_ms = Some(line.period_ms);
        report.refresh_sd_ms = Some(line.residual_sd_ms);
    }
    report
}

/// A frame of a run whose submits were dithered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dithered {
    /// Before the present call.
    pub(super) submit: Nanos,
    /// When the hardware says it was seen.
    pub(super) stamp: Nanos,
}

/// Judges hardware stamps of a run whose submits were at scattered phases.
pub(super) fn stamps(run: &[Dithered], refresh: Span) -> VsyncReport {
    if run.len() <= FEWEST {
        return VsyncReport::NOT_JUDGED;
    }
    let seen: Vec<Nanos> = run.iter().map(|frame| frame.stamp).collect();
    let intervals: Vec<Span> = seen.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let line = earn::line_through(&seen, refresh);
    let off = OFF_LATTICE_SHARE * refresh.ms();
    let delays: Vec<f64> = run.iter().map(|frame| (frame.stamp - frame.submit).ms()).collect();
    let state = if line.residual_sd_ms <= off {
        VsyncState::Locked
    } else if sd(&delays) <= off {
        VsyncState::Variable
    } else {
        VsyncState::Unsteady
    };
    VsyncReport {
        state,
        how: VsyncJudged::HardwareStamps,
        median_interval_ms: Some(median_ms(&intervals)),
        refresh_ms: Some(line.period_ms),
        refresh_sd_ms: Some(line.residual_sd_ms),
    }
}

/// The median, ms; of an even number the upper middle one. At least one interval.
pub(super) fn median_ms(intervals: &[Span]) -> f64 {
    let mut sorted = intervals.to_vec();
    sorted.sort();
    sorted[sorted.len() / 2].ms()
}

fn sd(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    const REFRESH: Span = Span(16_666_667);

    fn intervals_ms(list: impl IntoIterator<Item = f64>) -> Vec<Span> {
        list.into_iter().map(Span::from_ms_f64).collect()
    }

    #[test]
    fn a_held_burst_is_locked_and_gives_the_refresh() {
        let held = (0..60).map(|n| if n % 2 == 0 { 16.9 } else { 16.433_334 });
        let report = burst(&intervals_ms(held), REFRESH);
        assert_eq!(report.state, VsyncState::Locked);
        assert!((report.refresh_ms.unwrap() - 16.666_667).abs() < 0.01, "{report:?}");
    }

    #[test]
    fn a_missed_refresh_now_and_then_is_still_locked() {
        let skips = (0..60).map(|n| if n % 20 == 0 { 33.333 } else { 16.667 });
        assert_eq!(burst(&intervals_ms(skips), REFRESH).state, VsyncState::Locked);
    }

    #[test]
    fn a_software_driver_that_never_waits_is_unlocked() {
        let free = (0..60).map(|n| 1.2 + 0.1 * f64::from(n % 3));
        let report = burst(&intervals_ms(free), REFRESH);
        assert_eq!(report.state, VsyncState::Unlocked);
        assert_eq!(report.refresh_ms, None);
    }

    #[test]
    fn intervals_all_over_are_unsteady_and_a_handful_is_not_judged() {
        let wild = (0..60).map(|n| 14.0 + f64::from(n * 7 % 23));
        assert_eq!(burst(&intervals_ms(wild), REFRESH).state, VsyncState::Unsteady);
        let few = intervals_ms([16.7; 5]);
        assert_eq!(burst(&few, REFRESH).state, VsyncState::NotJudged);
    }

    /// Submits that wander by up to 0.6 refresh, as the trial run makes them.
    fn dithered(seen: impl Fn(Nanos, i64) -> Nanos) -> Vec<Dithered> {
        (0..100)
            .map(|n| {
                let submit = Nanos(n * 2 * REFRESH.0) + Span(REFRESH.0 * (n * 37 % 60) / 100);
                Dithered { submit, stamp: seen(submit, n) }
            })
            .collect()
    }

    #[test]
    fn stamps_on_a_lattice_are_locked_and_stamps_that_follow_are_variable() {
        let fixed = dithered(|_, n| Nanos((2 * n + 1) * REFRESH.0));
        assert_eq!(stamps(&fixed, REFRESH).state, VsyncState::Locked);
        let follows = dithered(|submit, _| submit + Span::from_ms(3));
        assert_eq!(stamps(&follows, REFRESH).state, VsyncState::Variable);
        let neither = dithered(|submit, n| submit + Span::from_ms(1 + n * 13 % 15));
        assert_eq!(stamps(&neither, REFRESH).state, VsyncState::Unsteady);
    }
}
