//! What frames do when nothing hinders them: whole refreshes, every second one, or a cap of its own.
//!
//! Pure: stamps in, a judgement out. Whether vsync holds is judged when the screen earns its clock
//! (`display`); this says what else holds frames back, and how often one came late.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::analysis::describe;
use crate::units::{Nanos, Span};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// Fewer frames are not judged.
pub const FEWEST_FRAMES: usize = 60;
/// An interval counts as whole refreshes when it is this near to them, as a share of one.
const NEAR: f64 = 0.2;
/// Share of intervals that must be whole refreshes.
const WHOLE_SHARE: f64 = 0.9;
/// A rate this much below the refresh is a cap, where nothing else explains it.
const CAPPED_FROM: f64 = 1.01;
/// Intervals spread less than this share of their median: something keeps them even.
const EVEN_SHARE: f64 = 0.1;
/// A rate this much above the refresh: nothing holds frames back.
const FREE_BELOW: f64 = 0.8;
/// Distances between skipped refreshes vary less than this share when a cap makes them.
const REGULAR_SHARE: f64 = 0.35;
/// Share of late frames that is worth a word. Common practice, no source.
const LATE_SHARE: f64 = 0.02;

/// What the frames do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Beat {
    /// One a refresh.
    EachRefresh,
    /// One each so many refreshes.
    EachOf {
        /// How many.
        refreshes: u32,
    },
    /// Held to a rate of its own, below the refresh.
    Capped {
        /// Frames a second.
        rate_hz: f64,
    },
    /// Faster than the refresh.
    Free {
        /// Frames a second.
        rate_hz: f64,
    },
    /// Neither even nor whole refreshes.
    Uneven,
}

/// The frames, judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Frames {
    /// Intervals judged.
    pub intervals: usize,
    /// The refresh they were held against, ms.
    pub refresh_ms: f64,
    /// Median interval, ms.
    pub median_ms: f64,
    /// Mean frames a second.
    pub rate_hz: f64,
    /// Over 1.5 usual intervals after the last, as a share.
    pub late_share: f64,
    /// What they do.
    pub beat: Beat,
}

/// Judges the stamps of frames shown one after the other. `refresh`: the display's.
pub fn judge(stamps: &[Nanos], refresh: Span) -> Option<Frames> {
    let intervals: Vec<f64> = stamps.windows(2).map(|pair| (pair[1] - pair[0]).ms()).collect();
    if intervals.len() < FEWEST_FRAMES {
        return None;
    }
    let n = intervals.len() as f64;
    let refresh_ms = refresh.ms();
    let mean_ms = intervals.iter().sum::<f64>() / n;
    let median_ms = describe::median(&intervals)?;
    let late = intervals.iter().filter(|ms| **ms > 1.5 * median_ms).count() as f64;
    Some(Frames {
        intervals: intervals.len(),
        refresh_ms,
        median_ms,
        rate_hz: 1e3 / mean_ms,
        late_share: late / n,
        beat: beat(&intervals, refresh_ms, mean_ms, median_ms),
    })
}

fn beat(intervals: &[f64], refresh_ms: f64, mean_ms: f64, median_ms: f64) -> Beat {
    let n = intervals.len() as f64;
    let rate_hz = 1e3 / mean_ms;
    if median_ms < FREE_BELOW * refresh_ms {
        return Beat::Free { rate_hz };
    }
    let whole = |ms: &&f64| {
        let refreshes = **ms / refresh_ms;
        refreshes.round() >= 1.0 && (refreshes - refreshes.round()).abs() <= NEAR
    };
    // The middle half, so that a late frame now and then does not hide an even beat.
    let spread = describe::quantile(intervals, 0.75).unwrap_or(f64::NAN)
        - describe::quantile(intervals, 0.25).unwrap_or(f64::NAN);
    let even = spread <= EVEN_SHARE * median_ms;
    let on_lattice = intervals.iter().filter(whole).count() as f64 >= WHOLE_SHARE * n;
    let off = median_ms / refresh_ms - (median_ms / refresh_ms).round().max(1.0);
    if on_lattice && off.abs() < CAPPED_FROM - 1.0 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few refreshes"
        )]
        let refreshes = (median_ms / refresh_ms).round() as u32;
        return match refreshes {
            1 if skips_regularly(intervals, refresh_ms) => Beat::Capped { rate_hz },
            1 => Beat::EachRefresh,
            refreshes => Beat::EachOf { refreshes },
        };
    }
    if even && median_ms > CAPPED_FROM * refresh_ms {
        return Beat::Capped { rate_hz: 1e3 / median_ms };
    }
    if even { Beat::EachRefresh } else { Beat::Uneven }
}

/// A cap a little below a fixed refresh leaves out a refresh at even distances.
fn skips_regularly(intervals: &[f64], refresh_ms: f64) -> bool {
    let skips: Vec<usize> = intervals
        .iter()
        .enumerate()
        .filter(|(_, ms)| (*ms / refresh_ms).round() >= 2.0)
        .map(|(index, _)| index)
        .collect();
    let apart: Vec<f64> = skips.windows(2).map(|pair| (pair[1] - pair[0]) as f64).collect();
    let (Some(mean), Some(sd)) = (describe::mean(&apart), describe::sd(&apart)) else {
        return false;
    };
    apart.len() >= 3 && sd <= REGULAR_SHARE * mean
}

/// What the frames mean; nothing where there were too few.
pub fn finding(frames: Option<&Frames>) -> Finding {
    let topic = Topic::FrameCap;
    let Some(frames) = frames else {
        return Finding::not_told(topic, words::frames_untold().to_owned(), None);
    };
    let frame_sd_ms = frames.median_ms / 12.0_f64.sqrt();
    let spread = Matters::Spread { sd_ms: frame_sd_ms };
    let (grade, what, matters, mend) = match frames.beat {
        Beat::EachRefresh if frames.late_share >= LATE_SHARE => (
            Grade::Mend,
            words::frames_late(frames.late_share),
            Matters::Trials,
            Some(words::frames_late_mend()),
        ),
        Beat::EachRefresh => (Grade::Good, words::frames_whole(frames.rate_hz), Matters::No, None),
        Beat::EachOf { refreshes } => (
            Grade::Mend,
            words::frames_each_of(refreshes, frames.rate_hz),
            spread,
            Some(words::frames_cap_mend()),
        ),
        Beat::Capped { rate_hz } => (
            Grade::Mend,
            words::frames_capped(rate_hz, 1e3 / frames.refresh_ms),
            spread,
            Some(words::frames_cap_mend()),
        ),
        Beat::Free { rate_hz } => (
            Grade::Mend,
            words::frames_free(rate_hz, 1e3 / frames.refresh_ms),
            Matters::Spread { sd_ms: frames.refresh_ms / 12.0_f64.sqrt() },
            Some(words::vsync_mend()),
        ),
        Beat::Uneven => (
            Grade::Mend,
            words::frames_uneven().to_owned(),
            Matters::Trials,
            Some(words::frames_late_mend()),
        ),
    };
    Finding { topic, grade, what, matters, mend: mend.map(str::to_owned) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// 144 Hz.
    const REFRESH: Span = Span(6_944_444);

    /// Stamps of frames that are ready each `every_ms`; on a lattice they wait for the next refresh.
    fn stamps(every_ms: f64, jitter_ms: f64, lattice: bool) -> Vec<Nanos> {
        let mut random = ChaCha8Rng::seed_from_u64(4);
        let stamp = |n: i32| {
            let ready = f64::from(n) * every_ms + jitter_ms * random.random::<f64>();
            let refresh_ms = REFRESH.ms();
            let ms = if lattice { (ready / refresh_ms - 1e-6).ceil() * refresh_ms } else { ready };
            Nanos(1_000_000_000) + Span::from_ms_f64(ms)
        };
        (0..600).map(stamp).collect()
    }

    fn beat_of(every_ms: f64, jitter_ms: f64, lattice: bool) -> Beat {
        judge(&stamps(every_ms, jitter_ms, lattice), REFRESH).unwrap().beat
    }

    #[test]
    fn one_a_refresh_is_nothing_to_mend() {
        assert_eq!(beat_of(REFRESH.ms(), 0.0, true), Beat::EachRefresh);
        // An estimate's stamps wander by some tenths.
        assert_eq!(beat_of(REFRESH.ms(), 0.3, false), Beat::EachRefresh);
        let told = finding(judge(&stamps(REFRESH.ms(), 0.2, false), REFRESH).as_ref());
        assert_eq!(told.grade, Grade::Good);
    }

    #[test]
    fn a_cap_just_below_a_fixed_refresh_is_found_by_its_even_skips() {
        // 141 of 144: each 48th refresh is left out.
        let Beat::Capped { rate_hz } = beat_of(1e3 / 141.0, 0.0, true) else { panic!("no cap") };
        assert!((rate_hz - 141.0).abs() < 0.5, "{rate_hz}");
    }

    #[test]
    fn a_cap_under_variable_refresh_is_found_by_its_even_beat() {
        let Beat::Capped { rate_hz } = beat_of(1e3 / 120.0, 0.2, false) else { panic!("no cap") };
        assert!((rate_hz - 120.0).abs() < 0.5, "{rate_hz}");
    }

    #[test]
    fn half_the_refresh_and_none_at_all() {
        assert_eq!(beat_of(2.0 * REFRESH.ms(), 0.0, true), Beat::EachOf { refreshes: 2 });
        let Beat::Free { rate_hz } = beat_of(2.0, 0.1, false) else { panic!("held") };
        assert!((rate_hz - 500.0).abs() < 5.0);
        assert_eq!(beat_of(REFRESH.ms(), 9.0, false), Beat::Uneven);
    }

    #[test]
    fn frames_missed_at_random_are_late_and_no_cap() {
        let mut random = ChaCha8Rng::seed_from_u64(7);
        let kept: Vec<Nanos> = stamps(REFRESH.ms(), 0.0, true)
            .into_iter()
            .filter(|_| random.random::<f64>() > 0.05)
            .collect();
        let judged = judge(&kept, REFRESH).unwrap();
        assert_eq!(judged.beat, Beat::EachRefresh);
        assert!((judged.late_share - 0.05).abs() < 0.02, "{judged:?}");
        assert_eq!(finding(Some(&judged)).matters, Matters::Trials);
    }

    #[test]
    fn a_handful_is_not_judged() {
        assert_eq!(judge(&stamps(7.0, 0.0, true)[..40], REFRESH), None);
        assert_eq!(finding(None).grade, Grade::NotTold);
    }
}
