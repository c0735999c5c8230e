//! Why a presentation clock is not believed, as it stands in the record.

use serde::Serialize;

/// Why a clock is not believed.
#[derive(Debug, Clone, PartialEq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "reason")]
pub enum Refusal {
    /// The program has no such clock on this system yet.
    #[error("not attempted")]
    NotAttempted,
    /// It could not be opened.
    #[error("not there: {reason}")]
    NotThere {
        /// Why.
        #[serde(rename = "because")]
        reason: String,
    },
    /// It told of no frame.
    #[error("silent")]
    Silent,
    /// It told of every frame as never shown: the window is not on the screen.
    #[error("all {frames} frames told of as never shown: the window is not on the screen")]
    NeverShown {
        /// Frames told of.
        frames: usize,
    },
    /// The run was too short.
    #[error("{frames} frames told of, too few to judge")]
    TooFew {
        /// Frames told of.
        frames: usize,
    },
    /// Some frames were not told of.
    #[error("{missing} of {frames} frames not told of")]
    Holes {
        /// Frames without a stamp.
        missing: usize,
        /// Frames of the run.
        frames: usize,
    },
    /// More events than frames.
    #[error("{extras} events beyond {frames} frames")]
    Extras {
        /// Events too many.
        extras: u32,
        /// Frames of the run.
        frames: usize,
    },
    /// Stamps before the picture was handed over.
    #[error("{frames} stamps before their submit")]
    BeforeSubmit {
        /// How many.
        frames: usize,
    },
    /// Stamps after the next picture was handed over.
    #[error("{frames} stamps after the next submit")]
    AfterNext {
        /// How many.
        frames: usize,
    },
    /// Its period is not the display's.
    #[error("period {period_ms:.3} ms where the refresh is {refresh_ms:.3} ms")]
    Period {
        /// Measured, ms.
        period_ms: f64,
        /// Asked, ms.
        refresh_ms: f64,
    },
    /// Stamps between refreshes.
    #[error("stamps {residual_sd_ms:.3} ms off whole refreshes, {allowed_ms:.3} ms allowed")]
    OffLattice {
        /// Residual standard deviation, ms.
        residual_sd_ms: f64,
        /// Twice the stated one, ms.
        allowed_ms: f64,
    },
    /// Pictures are made by the processor: no blank decides when they are seen.
    #[error("pictures are made by the processor, which waits for no vertical blank")]
    Software,
    /// Frames are not held to the refresh, or nothing could tell whether they are.
    #[error("frames were not seen to wait for the refresh")]
    NotLocked,
    /// The server makes the blanks up with a timer.
    #[error(
        "vertical blanks wander by {residual_sd_ms:.3} ms, {allowed_ms:.3} ms allowed: a timer's"
    )]
    FakedBlank {
        /// Residual standard deviation of the blanks, ms.
        residual_sd_ms: f64,
        /// The most a display's do, ms.
        allowed_ms: f64,
    },
    /// The player's or the protocol's wish named another clock.
    #[error("another clock was asked for")]
    NotWished,
    /// It told of a moment that had not come, in the middle of the session.
    #[error("a stamp {ahead_ms:.3} ms ahead of its time")]
    Ahead {
        /// By how much, ms.
        ahead_ms: f64,
    },
    /// It told of a frame as seen before an earlier one, in the middle of the session.
    #[error("a stamp {back_ms:.3} ms before the last one")]
    OutOfOrder {
        /// By how much, ms.
        back_ms: f64,
    },
    /// It fell silent in the middle of the session.
    #[error("fell silent")]
    FellSilent,
}
