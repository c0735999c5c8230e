//! Small shakes of a hand that keeps still: their size, and their power at the pace of tremor.
//!
//! Knows steps only. A mouse at rest sends nothing, so silence is zero; and as friction hides most
//! of tremor, few counts are no evidence of a steady hand or of a firm hold.

use super::Step;
use super::welch::Spectrum;
use crate::units::{MotionUnit, Nanos, Span};

/// Counts are summed over this.
const BIN: Span = Span::from_ms(5);
/// Bins of a segment of the spectrum: one second, so that frequencies stand 1 Hz apart.
const SEGMENT: usize = 200;
/// Fewer reports than this show nothing.
const LEAST_REPORTS: usize = 20;
/// Physiological tremor, Hz.
const TREMOR_HZ: (f64, f64) = (8.0, 12.0);

/// Small shakes over a wait.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SmallShakes {
    /// Root of the mean square of the counts in 5 ms, both directions together.
    pub rms_counts: f64,
    /// Power of the counts in 5 ms between 8 and 12 Hz, squared counts, both directions added;
    /// `None` in a wait shorter than a second.
    pub tremor_counts2: Option<f64>,
}

impl SmallShakes {
    /// The shakes of the steps in `[from, until)`; `None` where the mouse cannot show them: its
    /// unit is not counts, or it sent fewer than 20 reports that moved.
    pub fn of(steps: &[Step], from: Nanos, until: Nanos, unit: MotionUnit) -> Option<SmallShakes> {
        let bins = usize::try_from((until - from).0 / BIN.0).ok().filter(|bins| *bins > 0)?;
        let moved = |step: &&Step| step.dx.abs() > 0.0 || step.dy.abs() > 0.0;
        let end = from + Span(BIN.0 * i64::try_from(bins).ok()?);
        let within: Vec<&Step> =
            steps.iter().filter(|step| from <= step.t && step.t < end).filter(moved).collect();
        if unit != MotionUnit::Counts || within.len() < LEAST_REPORTS {
            return None;
        }
        let (mut x, mut y) = (vec![0.0; bins], vec![0.0; bins]);
        for step in within {
            let at = usize::try_from((step.t - from).0 / BIN.0).ok()?;
            x[at] += step.dx;
            y[at] += step.dy;
        }
        let squares = x.iter().zip(&y).map(|(x, y)| x * x + y * y).sum::<f64>();
        let tremor = |counts: &[f64]| {
            Spectrum::welch(counts, 1.0 / BIN.s(), SEGMENT)
                .map(|spectrum| spectrum.power(TREMOR_HZ.0, TREMOR_HZ.1))
        };
        Some(SmallShakes {
            rms_counts: libm::sqrt(squares / bins as f64),
            tremor_counts2: tremor(&x).zip(tremor(&y)).map(|(x, y)| x + y),
        })
    }
}
