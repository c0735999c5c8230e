//! The time course of the holds within a session, hold by hold and against each other.
//!
//! Works on block statistics and minutes. Beside the least-squares slope of `slope.rs`: a robust
//! one, what the player did less well as time went on, and whether two holds change places.

use super::Findings;
use super::cost::{Measured, block_values};
use super::enter::LeftOut;
use crate::analysis::counts::clopper_pearson;
use crate::analysis::crossing::{self, Lines};
use crate::analysis::slope::theil_sen;
use crate::analysis::{Interval, student};
use crate::protocol::Rating;

/// The time course of one session.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Within {
    /// Of each hold.
    pub holds: Vec<HoldCourse>,
    /// Of each of the findings' pairs.
    pub pairs: Vec<PairCourse>,
}

/// Of a hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldCourse {
    /// Theil and Sen's slope with its interval, ms per 10 minutes; of one session alone.
    pub theil_sen: Option<Interval>,
    /// Slow presses among those that entered, exact interval.
    pub lapses: Option<Interval>,
    /// Early presses among the trials seen, exact interval.
    pub early: Option<Interval>,
    /// Change of the small shakes, rms counts per 10 minutes; of one session alone.
    pub small_shakes: Option<Interval>,
    /// What was rated in the hold's blocks, in order of time.
    pub ratings: Vec<RatingCourse>,
}

/// A rating over a hold's blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct RatingCourse {
    /// What: tension, discomfort, fatigue.
    pub item: Rating,
    /// 0 to 10, in order of time.
    pub values: Vec<u8>,
}

impl RatingCourse {
    /// Mean of all.
    pub fn mean(&self) -> Option<f64> {
        let values: Vec<f64> = self.values.iter().map(|value| f64::from(*value)).collect();
        crate::analysis::describe::mean(&values)
    }
}

/// Of a pair; differences are a - b.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PairCourse {
    /// Slope of a less slope of b, ms per 10 minutes.
    pub slopes_apart: Option<Interval>,
    /// Both lines over the minutes, and where they cross; of one session alone.
    pub lines: Option<Lines>,
    /// The session's first and last minute that both lines cover.
    pub minutes: Option<[f64; 2]>,
}

impl PairCourse {
    /// The minute at which the holds change places, where it lies inside the session and both ends
    /// of what is sure are known.
    pub fn change_of_places(&self) -> Option<Interval> {
        let lines = self.lines?;
        let [first, last] = self.minutes?;
        let estimate = lines.crossing.filter(|minute| *minute > first && *minute < last)?;
        match lines.sure {
            crossing::Sure::Between { low, high } => Some(Interval { estimate, low, high }),
            crossing::Sure::Outside { .. } | crossing::Sure::Nothing => None,
        }
    }
}

/// The time course.
pub(super) fn within(findings: &Findings) -> Within {
    Within {
        holds: (0..findings.holds.len()).map(|hold| of_hold(findings, hold)).collect(),
        pairs: findings.pairs.iter().map(|pair| of_pair(findings, pair.a, pair.b)).collect(),
    }
}

/// Minutes and statistics of a hold's blocks, of one session alone.
fn points(findings: &Findings, hold: usize) -> (Vec<f64>, Vec<f64>) {
    if findings.sessions.len() > 1 {
        return (Vec::new(), Vec::new());
    }
    let own = findings.used().filter(|block| block.condition == hold);
    own.filter_map(|block| Some((block.minute?, block.statistic_ms?))).unzip()
}

fn per_10min(slope: Interval) -> Interval {
    let Interval { estimate, low, high } = slope;
    Interval { estimate: 10.0 * estimate, low: 10.0 * low, high: 10.0 * high }
}

fn of_hold(findings: &Findings, number: usize) -> HoldCourse {
    let hold = &findings.holds[number];
    let confidence = findings.protocol().analysis.confidence;
    let (minutes, values) = points(findings, number);
    let entered = hold.trials - hold.excluded;
    let early = hold.left_out.get(&LeftOut::Early).copied().unwrap_or(0);
    let shakes: (Vec<f64>, Vec<f64>) = if findings.sessions.len() == 1 {
        block_values(findings, Measured::SmallShakes)
            .into_iter()
            .filter(|value| value.condition == number)
            .filter_map(|value| Some((value.minute?, value.value)))
            .unzip()
    } else {
        (Vec::new(), Vec::new())
    };
    let shakes = crate::analysis::slope::line(&shakes.0, &shakes.1).ok();
    HoldCourse {
        theil_sen: theil_sen(&minutes, &values, confidence).ok().map(per_10min),
        lapses: clopper_pearson(hold.lapses, entered, confidence).ok(),
        early: clopper_pearson(early, hold.trials, confidence).ok(),
        small_shakes: shakes.map(|line| per_10min(line.slope_interval(confidence))),
        ratings: ratings(findings, number),
    }
}

fn ratings(findings: &Findings, hold: usize) -> Vec<RatingCourse> {
    let of_item = |item: Rating| {
        let values: Vec<u8> = findings
            .sessions
            .iter()
            .flat_map(|session| {
                let mut own: Vec<(usize, u8)> = session
                    .ratings
                    .iter()
                    .filter(|rating| rating.item == item.name())
                    .filter(|rating| {
                        let mut blocks = session.blocks.iter();
                        blocks.any(|b| b.position == rating.position && b.condition == hold)
                    })
                    .map(|rating| (rating.position, rating.value))
                    .collect();
                own.sort_unstable();
                own.into_iter().map(|(_, value)| value)
            })
            .collect();
        (!values.is_empty()).then_some(RatingCourse { item, values })
    };
    [Rating::Tension, Rating::Discomfort, Rating::Fatigue].into_iter().filter_map(of_item).collect()
}

fn of_pair(findings: &Findings, a: usize, b: usize) -> PairCourse {
    let confidence = findings.protocol().analysis.confidence;
    let ((times_a, values_a), (times_b, values_b)) = (points(findings, a), points(findings, b));
    if times_a.len() < 3 || times_b.len() < 3 {
        return PairCourse::default();
    }
    let lines = crossing::lines((&times_a, &values_a), (&times_b, &values_b), confidence).ok();
    let slopes_apart = lines.filter(|lines| lines.df >= 1.0).map(|lines| {
        let half = student::critical(confidence, lines.df) * lines.slopes_apart_se;
        let estimate = lines.slopes_apart;
        per_10min(Interval { estimate, low: estimate - half, high: estimate + half })
    });
    let least = |times: &[f64]| times.iter().copied().fold(f64::INFINITY, f64::min);
    let most = |times: &[f64]| times.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let first = least(&times_a).max(least(&times_b));
    let last = most(&times_a).min(most(&times_b));
    PairCourse { slopes_apart, lines, minutes: (first < last).then_some([first, last]) }
}
