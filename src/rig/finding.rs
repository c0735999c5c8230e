//! One finding of the rig check: what was seen, whether it matters for a difference between holds,
//! by how much, and how to mend it.
//!
//! Values only. The sentences stand in `words`; a finding carries them made up, so that a saved
//! profile can be read without the program that wrote it.

use serde::{Deserialize, Serialize};

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Topic {
    /// Refresh asked and measured.
    Refresh,
    /// Whether frames wait for the refresh.
    Vsync,
    /// Whether something holds frames back further.
    FrameCap,
    /// Other displays.
    Outputs,
    /// Who owns the screen, and how pictures reach it.
    Presentation,
    /// By which clock pictures are timed.
    DisplayClock,
    /// By which source presses are heard.
    Source,
    /// How often the mouse reports.
    ReportRate,
    /// Counts for a centimetre.
    CountsPerCm,
    /// Double presses of one click.
    Bounce,
    /// Which mouse is which.
    Mice,
    /// How late a sleeping thread wakes.
    WakeUps,
    /// Whether a raised priority was granted.
    Priority,
    /// The computer's clock.
    ClockSource,
    /// How the processor's speed is governed.
    Governor,
    /// Mains or battery.
    Power,
    /// What else the computer does.
    Load,
    /// What the player was asked.
    Asked,
}

/// How it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// As it should be.
    Good,
    /// Worth knowing; a difference between holds stands all the same.
    Note,
    /// Worth mending before a session.
    Mend,
    /// Nobody could tell, or it was skipped.
    NotTold,
}

/// Whether it matters for a difference between holds measured on this rig, and by how much.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Matters {
    /// It does not.
    No,
    /// It lengthens every time alike and cancels in a difference.
    Cancels {
        /// By how much, ms, where known.
        ms: Option<f64>,
    },
    /// It spreads single times and favours no hold.
    Spread {
        /// Standard deviation that it adds to a single time, ms.
        sd_ms: f64,
    },
    /// It can favour one hold.
    Bias {
        /// By at most so much, ms, where known.
        ms: Option<f64>,
    },
    /// It costs trials: early presses, trials that come again.
    Trials,
    /// It cannot be told.
    Unknown,
}

/// A finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// About what.
    pub topic: Topic,
    /// How it stands.
    pub grade: Grade,
    /// What was seen.
    pub what: String,
    /// Whether it matters.
    pub matters: Matters,
    /// How to mend it, where there is something to mend.
    pub mend: Option<String>,
}

impl Finding {
    /// Nothing to mend.
    pub(super) fn good(topic: Topic, what: String, matters: Matters) -> Finding {
        Finding { topic, grade: Grade::Good, what, matters, mend: None }
    }

    /// Nobody could tell.
    pub(super) fn not_told(topic: Topic, what: String, mend: Option<String>) -> Finding {
        Finding { topic, grade: Grade::NotTold, what, matters: Matters::Unknown, mend }
    }
}

/// Spread of one person's reaction times that the program's own error is compared with, ms: common
/// practice, no source (half the distance between the quartiles of simple reactions is about this).
pub const USUAL_SD_MS: f64 = 30.0;

/// By what share an error of `sd_ms` widens times that spread by [`USUAL_SD_MS`] without it.
///
/// ```text
/// sqrt(1 + (sd / usual)^2) - 1
/// ```
pub fn widened_share(sd_ms: f64) -> f64 {
    (1.0 + (sd_ms / USUAL_SD_MS).powi(2)).sqrt() - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_add_by_their_squares() {
        // 3-4-5: an error of three quarters of the spread widens it by a quarter.
        assert!((widened_share(0.75 * USUAL_SD_MS) - 0.25).abs() < 1e-12);
        assert!(widened_share(0.29) < 1e-4);
    }
}
