//! Stamps held against what the robot saw.

use crate::eye::Change;
use crate::presenter::Told;
use serde::Serialize;
use tautline::display::ShownAs;
use tautline::units::{Nanos, Span};

/// Where the robot looked less often its figure says nothing.
const WIDEST_GAP: Span = Span(2_000_000);
/// A change is a frame's when it lies this near to its stamp.
const NEAR: Span = Span(14_000_000);

/// What is printed.
#[derive(Debug, Serialize)]
pub(crate) struct Figures {
    /// Frames presented.
    frames: usize,
    /// Frames that the clock told of.
    stamped: usize,
    /// Frames stamped before they were handed over.
    before_submit: usize,
    /// Frames compared with what the robot saw.
    compared: usize,
    /// Frames left out: the robot looked too seldom, or saw no change near the stamp.
    left_out: usize,
    /// Stamp minus the middle of the robot's two readings: median, ms.
    median_ms: Option<f64>,
    /// Its standard deviation, ms.
    sd_ms: Option<f64>,
    /// The largest, ms.
    largest_ms: Option<f64>,
    /// Sd stated with the stamps, ms.
    stated_sd_ms: Option<f64>,
    /// Median gap between the robot's readings at a change, ms.
    gap_ms: Option<f64>,
    /// How the pictures were shown.
    shown_as: Option<ShownAs>,
    /// Whether the program would have believed the clock, or why not.
    earned: String,
}

/// The figures of a run.
pub(crate) fn of(told: &Told) -> Figures {
    let stamps: Vec<_> =
        told.frames.iter().filter_map(|(submit, stamp)| Some((*submit, (*stamp)?))).collect();
    let middle = |change: &Change| change.before + Span((change.after - change.before).0 / 2);
    let away = |t: Nanos, change: &Change| (middle(change) - t).0.abs();
    let near: Vec<(f64, f64)> = stamps
        .iter()
        .filter_map(|(_, stamp)| {
            let change = told.changes.iter().min_by_key(|change| away(stamp.t, change))?;
            let gap = change.after - change.before;
            (gap <= WIDEST_GAP && away(stamp.t, change) <= NEAR.0)
                .then(|| ((stamp.t - middle(change)).ms(), gap.ms()))
        })
        .collect();
    let errors: Vec<f64> = near.iter().map(|(error, _)| *error).collect();
    Figures {
        frames: told.frames.len(),
        stamped: stamps.len(),
        before_submit: stamps.iter().filter(|(submit, stamp)| stamp.t < *submit).count(),
        compared: errors.len(),
        left_out: told.frames.len() - errors.len(),
        median_ms: median(&errors),
        sd_ms: sd(&errors),
        largest_ms: errors.iter().map(|error| error.abs()).reduce(f64::max),
        stated_sd_ms: stamps.first().map(|(_, stamp)| stamp.sd.ms()),
        gap_ms: median(&near.iter().map(|(_, gap)| *gap).collect::<Vec<f64>>()),
        shown_as: told.shown_as,
        earned: match &told.earned {
            Ok(_) => "believed".to_owned(),
            Err(why) => why.to_string(),
        },
    }
}

fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied()
}

fn sd(values: &[f64]) -> Option<f64> {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|x| (x - mean).powi(2)).sum();
    (values.len() > 1).then(|| (squares / (n - 1.0)).sqrt())
}
