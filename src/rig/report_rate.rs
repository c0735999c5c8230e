//! How often a mouse reports, how evenly, and whether it saves power: from its own motion.
//!
//! Pure: moments and counts in, a judgement out. Only intervals between two reports of two counts
//! or more are judged: a slow hand leaves reports out, and then the distance between two of them
//! says nothing about the mouse.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::analysis::describe;
use crate::units::{Nanos, Span};
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// Fewer intervals than this are not judged. Common practice, no source.
pub const FEWEST_INTERVALS: usize = 100;
/// Rates that mice are built for, reports a second (USB full speed 125 to 1000, high speed above).
pub const BUILT_HZ: [u32; 7] = [125, 250, 500, 1000, 2000, 4000, 8000];
/// A measured rate this near to a built one is it.
const SNAP_SHARE: f64 = 0.10;
/// A longer interval is a pause of the hand.
const LONGEST_MS: f64 = 20.0;
/// Fewer counts may have been preceded by an empty report.
const BRISK_COUNTS: u32 = 2;
/// An interval below this share of the mean one: two reports were handed over together.
const TOGETHER_SHARE: f64 = 0.25;
/// Share of such intervals from which the reports come in bunches.
const BUNCHED_SHARE: f64 = 0.15;
/// An interval above this many usual ones is a longer one.
const LONGER: f64 = 1.6;
/// So many longer ones in a row are no lost reports but a slower rate.
const SAG_RUN: usize = 8;
/// Share of the time at a slower rate from which the mouse is said to save power.
const SAG_SHARE: f64 = 0.05;
/// Share of reports that are missing from which that is worth a word.
const GAP_SHARE: f64 = 0.01;
/// Share of missing reports that coarse stamps do not explain.
const GAPS_PLAIN: f64 = 0.05;
/// Jitter above this share of the interval is worth a word.
const JITTER_SHARE: f64 = 0.25;
/// A silence that counts as a rest, ms.
const REST_MS: f64 = 300.0;
/// A slower stretch that begins so soon after a rest belongs to it, ms.
const SOON_MS: f64 = 60.0;
/// Bars of the histogram, over three usual intervals; one more holds the rest.
const BARS: usize = 24;

/// One report with motion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Report {
    /// Its stamp.
    pub t: Nanos,
    /// The larger of the two axes, counts.
    pub counts: u32,
}

/// A bar of the histogram of intervals.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bar {
    /// From, ms.
    pub from_ms: f64,
    /// Up to, ms.
    pub to_ms: f64,
    /// Intervals in it.
    pub count: usize,
}

/// Stretches at a slower rate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sag {
    /// Median interval there, ms.
    pub interval_ms: f64,
    /// Share of the moving time, 0 to 1.
    pub time_share: f64,
    /// Most of them followed a rest of the hand.
    pub after_rest: bool,
}

/// How the reports come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Pattern {
    /// Evenly.
    Steady,
    /// Two or more handed over together.
    Bunched,
    /// Some are missing.
    Gaps,
    /// At a slower rate for a while: power saving.
    Saving,
    /// Unevenly.
    Uneven,
}

/// A mouse's reports, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReportRate {
    /// Intervals judged.
    pub intervals: usize,
    /// The usual interval, ms.
    pub interval_ms: f64,
    /// Reports a second at that interval.
    pub rate_hz: f64,
    /// The rate that mice are built for next to it, if it is near one.
    pub built_hz: Option<u32>,
    /// Half the width that holds the middle 68 % of usual intervals, ms.
    pub jitter_ms: f64,
    /// Longest interval in motion, ms.
    pub longest_ms: f64,
    /// Reports missing, as a share of those due.
    pub gap_share: f64,
    /// Intervals so short that two reports came together, as a share of all.
    pub together_share: f64,
    /// Stretches at a slower rate, if there are some.
    pub sag: Option<Sag>,
    /// How they come.
    pub pattern: Pattern,
    /// Intervals counted.
    pub histogram: Vec<Bar>,
}

/// Why there is no judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{intervals} intervals in brisk motion, {FEWEST_INTERVALS} are needed")]
pub struct TooFew {
    /// Intervals seen.
    pub intervals: usize,
}

/// An interval in brisk motion.
#[derive(Debug, Clone, Copy)]
struct Interval {
    ms: f64,
    /// How long ago the last rest ended, ms.
    since_rest_ms: f64,
    /// Follows the interval before without a break.
    joined: bool,
}

/// Judges the reports of one mouse, in order of time.
///
/// # Errors
/// [`TooFew`] brisk intervals.
pub fn judge(reports: &[Report]) -> Result<ReportRate, TooFew> {
    let intervals = brisk(reports);
    if intervals.len() < FEWEST_INTERVALS {
        return Err(TooFew { intervals: intervals.len() });
    }
    let all_ms: Vec<f64> = intervals.iter().map(|interval| interval.ms).collect();
    let mean_ms = all_ms.iter().sum::<f64>() / all_ms.len() as f64;
    let share = |of: &dyn Fn(f64) -> bool| {
        all_ms.iter().filter(|ms| of(**ms)).count() as f64 / all_ms.len() as f64
    };
    let together_share = share(&|ms| ms < TOGETHER_SHARE * mean_ms);
    let bunched = together_share >= BUNCHED_SHARE;
    let usual_ms = if bunched { mean_ms } else { quantile(&all_ms, 0.5) };
    let sag = if bunched { None } else { sag(&intervals, usual_ms) };
    let gap_share = if bunched { 0.0 } else { gap_share(&intervals, usual_ms) };
    let single: Vec<f64> =
        all_ms.iter().copied().filter(|ms| *ms <= LONGER * usual_ms || bunched).collect();
    let jitter_ms = (quantile(&single, 0.84) - quantile(&single, 0.16)) / 2.0;
    let pattern = if bunched {
        Pattern::Bunched
    } else if sag.is_some_and(|sag| sag.time_share >= SAG_SHARE) {
        Pattern::Saving
    } else if gap_share >= GAP_SHARE {
        Pattern::Gaps
    } else if jitter_ms > JITTER_SHARE * usual_ms {
        Pattern::Uneven
    } else {
        Pattern::Steady
    };
    Ok(ReportRate {
        intervals: all_ms.len(),
        interval_ms: usual_ms,
        rate_hz: 1e3 / usual_ms,
        built_hz: built(1e3 / usual_ms),
        jitter_ms,
        longest_ms: all_ms.iter().copied().fold(0.0, f64::max),
        gap_share,
        together_share,
        sag,
        pattern,
        histogram: histogram(&all_ms, usual_ms),
    })
}

fn brisk(reports: &[Report]) -> Vec<Interval> {
    let mut intervals: Vec<Interval> = Vec::new();
    let mut rest_ended = reports.first().map_or(Nanos(0), |report| report.t);
    let mut joined = false;
    for pair in reports.windows(2) {
        let ms = (pair[1].t - pair[0].t).ms();
        if ms >= REST_MS {
            rest_ended = pair[1].t;
        }
        let counts = pair[0].counts.min(pair[1].counts);
        if counts < BRISK_COUNTS || !(0.0..=LONGEST_MS).contains(&ms) {
            joined = false;
            continue;
        }
        let since_rest_ms = (pair[0].t - rest_ended).ms();
        intervals.push(Interval { ms, since_rest_ms, joined });
        joined = true;
    }
    intervals
}

/// Stretches of [`SAG_RUN`] longer intervals or more.
fn slow_runs(intervals: &[Interval], usual_ms: f64) -> Vec<&[Interval]> {
    let longer = |interval: &Interval| interval.ms >= LONGER * usual_ms;
    intervals
        .chunk_by(|before, after| longer(before) == longer(after) && after.joined)
        .filter(|run| run.len() >= SAG_RUN && longer(&run[0]))
        .collect()
}

fn sag(intervals: &[Interval], usual_ms: f64) -> Option<Sag> {
    let runs = slow_runs(intervals, usual_ms);
    let slow: Vec<f64> = runs.iter().flat_map(|run| run.iter().map(|i| i.ms)).collect();
    if slow.is_empty() {
        return None;
    }
    let all_ms: f64 = intervals.iter().map(|interval| interval.ms).sum();
    let soon = runs.iter().filter(|run| run[0].since_rest_ms <= SOON_MS).count();
    Some(Sag {
        interval_ms: quantile(&slow, 0.5),
        time_share: slow.iter().sum::<f64>() / all_ms,
        after_rest: 2 * soon > runs.len(),
    })
}

/// Reports missing outside the slower stretches, as a share of those due.
///
/// A report that was only stamped late makes a long interval and a short one beside it: together
/// they are two usual ones, and nothing is missing.
fn gap_share(intervals: &[Interval], usual_ms: f64) -> f64 {
    let missing_at = |index: usize| {
        let with = |other: Option<&Interval>| {
            other.is_none_or(|other| intervals[index].ms + other.ms >= 2.5 * usual_ms)
        };
        let before = index.checked_sub(1).and_then(|before| intervals.get(before));
        let before = before.filter(|_| intervals[index].joined);
        let after = intervals.get(index + 1).filter(|after| after.joined);
        let missing = ((intervals[index].ms / usual_ms).round() - 1.0).max(0.0);
        if with(before) && with(after) { missing } else { 0.0 }
    };
    let all: f64 = (0..intervals.len()).map(missing_at).sum();
    let slow: f64 = slow_runs(intervals, usual_ms)
        .iter()
        .flat_map(|run| run.iter())
        .map(|interval| ((interval.ms / usual_ms).round() - 1.0).max(0.0))
        .sum();
    let missing = (all - slow).max(0.0);
    missing / (intervals.len() as f64 + missing)
}

/// The rate that mice are built for next to `rate_hz`.
fn built(rate_hz: f64) -> Option<u32> {
    let off = |hz: &u32| (rate_hz / f64::from(*hz)).ln().abs();
    let nearest = BUILT_HZ.into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) <= SNAP_SHARE).then_some(nearest)
}

fn histogram(all_ms: &[f64], usual_ms: f64) -> Vec<Bar> {
    let width = 3.0 * usual_ms / BARS as f64;
    let end = all_ms.iter().copied().fold(3.0 * usual_ms, f64::max);
    let mut bars: Vec<Bar> = (0..=BARS)
        .map(|bar| Bar {
            from_ms: bar as f64 * width,
            to_ms: if bar == BARS { end } else { (bar + 1) as f64 * width },
            count: 0,
        })
        .collect();
    for ms in all_ms {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and at most a few thousand"
        )]
        let bar = ((ms / width) as usize).min(BARS);
        bars[bar].count += 1;
    }
    bars
}

fn quantile(sample: &[f64], p: f64) -> f64 {
    describe::quantile(sample, p).unwrap_or(f64::NAN)
}

/// What the rate means. `stamp_sd_ms`: how far the stamps themselves can be off.
pub fn finding(judged: &Result<ReportRate, TooFew>, stamp_sd_ms: f64) -> Finding {
    let topic = Topic::ReportRate;
    let rate = match judged {
        Ok(rate) => rate,
        Err(TooFew { intervals }) => {
            let mend = words::report_rate_again().to_owned();
            return Finding::not_told(topic, words::report_rate_untold(*intervals), Some(mend));
        }
    };
    let hz = rate.built_hz.map_or(rate.rate_hz, f64::from);
    let even = words::report_rate(hz, rate.interval_ms, rate.jitter_ms);
    let wait_sd_ms = rate.interval_ms / 12.0_f64.sqrt();
    let spread = Matters::Spread { sd_ms: wait_sd_ms };
    let (grade, said, matters, mend) = match rate.pattern {
        Pattern::Steady if rate.interval_ms > 4.5 => {
            (Grade::Mend, None, spread, Some(words::report_rate_raise()))
        }
        Pattern::Steady => (Grade::Good, None, spread, None),
        // The stamps' own error: no fault of the mouse.
        Pattern::Uneven | Pattern::Bunched | Pattern::Gaps
            if stamp_sd_ms >= 0.25 * rate.interval_ms && rate.gap_share < GAPS_PLAIN =>
        {
            let said = words::report_rate_stamps(stamp_sd_ms);
            (Grade::Note, Some(said), spread, Some(words::report_rate_better_stamps()))
        }
        Pattern::Uneven => (Grade::Note, None, spread, Some(words::report_rate_hub())),
        Pattern::Bunched => {
            let said = words::report_rate_bunched(rate.together_share);
            let sd_ms = rate.jitter_ms.max(wait_sd_ms);
            (Grade::Mend, Some(said), Matters::Spread { sd_ms }, Some(words::report_rate_hub()))
        }
        Pattern::Gaps => {
            let said = words::report_rate_gaps(rate.gap_share, rate.longest_ms);
            (Grade::Mend, Some(said), spread, Some(words::report_rate_radio()))
        }
        Pattern::Saving => {
            let slow_ms = rate.sag.map_or(rate.interval_ms, |sag| sag.interval_ms);
            let sag = rate.sag.map_or((0.0, false), |sag| (sag.time_share, sag.after_rest));
            let said = words::report_rate_saving(slow_ms, sag.0, sag.1);
            // A press waits half an interval on average: a hold that lets the mouse doze waits for
            // half of the longer one.
            let bias = Matters::Bias { ms: Some((slow_ms - rate.interval_ms) / 2.0) };
            (Grade::Mend, Some(said), bias, Some(words::report_rate_awake()))
        }
    };
    let what = match said {
        Some(said) => format!("{even} {said}"),
        None => even,
    };
    Finding { topic, grade, what, matters, mend: mend.map(str::to_owned) }
}

/// Where the source gives no events to judge.
pub fn not_heard() -> Finding {
    let what = words::report_rate_not_heard().to_owned();
    Finding::not_told(Topic::ReportRate, what, Some(words::source_mend().to_owned()))
}

/// Reports as a source heard them: its events of one mouse, in steps.
///
/// `steps_per_count`: at least 1.
pub fn report(t: Nanos, dx: i32, dy: i32, steps_per_count: u16) -> Report {
    let steps = dx.unsigned_abs().max(dy.unsigned_abs());
    Report { t, counts: steps / u32::from(steps_per_count.max(1)) }
}

/// How long the hand was in motion, for the progress of the step: the sum of the intervals that are
/// no pause.
pub fn moving(reports: &[Report]) -> Span {
    let within = |pair: &[Report]| {
        let span = pair[1].t - pair[0].t;
        if span.ms() <= LONGEST_MS { span } else { Span::ZERO }
    };
    reports.windows(2).map(within).fold(Span::ZERO, |sum, span| sum + span)
}

#[cfg(test)]
mod tests;
