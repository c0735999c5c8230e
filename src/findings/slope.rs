//! The time course of one hold inside a session: a line through its block statistics.
//!
//! Minutes and milliseconds in, milliseconds per 10 minutes out. Sessions keep a level of their
//! own and share the slope.

use super::enter::Block;
use crate::analysis::Interval;
use crate::analysis::student;

/// A line through the block statistics of one hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// Slope with its interval, ms per 10 minutes.
    pub per_10min_ms: Interval,
    /// Residual degrees of freedom: blocks - sessions - 1.
    pub df: usize,
    /// Level of each session's line at minute 0, ms; blank where the hold has no block there.
    pub at_start_ms: Vec<Option<f64>>,
}

impl Trend {
    /// The line's value in a session at a minute, ms.
    pub fn at(&self, session: usize, minute: f64) -> Option<f64> {
        let start = self.at_start_ms.get(session).copied().flatten()?;
        Some(start + self.per_10min_ms.estimate * minute / 10.0)
    }
}

/// Ordinary least squares of the used blocks of `condition` on their minutes, sessions with a
/// level each.
///
/// ```text
/// slope = Sum (x - x_s)(y - y_s) / Sum (x - x_s)^2,   se^2 = RSS / df / Sum (x - x_s)^2
/// ```
/// with x_s, y_s the means of the block's own session. Blank below df 1 or without spread in time.
///
/// # Source
/// Draper & Smith, Applied Regression Analysis, ch. 1 (from memory).
pub fn trend(
    blocks: &[Block],
    condition: usize,
    sessions: usize,
    confidence: f64,
) -> Option<Trend> {
    let mut points: Vec<Vec<Point>> = vec![Vec::new(); sessions];
    for block in blocks.iter().filter(|b| b.condition == condition && b.unused().is_none()) {
        if let (Some(minute), Some(value_ms)) = (block.minute, block.statistic_ms) {
            points.get_mut(block.session)?.push(Point { minute, value_ms });
        }
    }
    let present = points.iter().filter(|list| !list.is_empty()).count();
    let count: usize = points.iter().map(Vec::len).sum();
    let df = count.checked_sub(present + 1).filter(|df| *df >= 1)?;
    let centres: Vec<Option<Point>> = points.iter().map(|list| centre(list)).collect();
    let centred = || {
        points.iter().zip(&centres).flat_map(|(list, middle)| {
            list.iter().filter_map(move |p| {
                middle.map(|m| Point {
                    minute: p.minute - m.minute,
                    value_ms: p.value_ms - m.value_ms,
                })
            })
        })
    };
    let spread: f64 = centred().map(|p| p.minute * p.minute).sum();
    if spread <= 0.0 {
        return None;
    }
    let slope = centred().map(|p| p.minute * p.value_ms).sum::<f64>() / spread;
    let residual: f64 = centred().map(|p| (p.value_ms - slope * p.minute).powi(2)).sum();
    let error = (residual / df as f64 / spread).sqrt();
    let t = student::critical(confidence, df as f64);
    let at_start_ms = centres.iter().map(|m| m.map(|m| m.value_ms - slope * m.minute)).collect();
    let per_10min_ms = Interval {
        estimate: 10.0 * slope,
        low: 10.0 * (slope - t * error),
        high: 10.0 * (slope + t * error),
    };
    Some(Trend { per_10min_ms, df, at_start_ms })
}

#[derive(Debug, Clone, Copy)]
struct Point {
    minute: f64,
    value_ms: f64,
}

fn centre(points: &[Point]) -> Option<Point> {
    if points.is_empty() {
        return None;
    }
    let n = points.len() as f64;
    Some(Point {
        minute: points.iter().map(|p| p.minute).sum::<f64>() / n,
        value_ms: points.iter().map(|p| p.value_ms).sum::<f64>() / n,
    })
}
