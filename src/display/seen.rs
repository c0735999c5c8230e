//! What is asked of the screen, and what it tells.

use super::PresentMode;
use crate::scene::SceneId;
use crate::units::{Nanos, Stamp, StampSource};

/// What the caller asks of the screen.
#[derive(Debug, Clone, PartialEq)]
pub struct ScreenWish {
    /// How pictures queue; `None`: what suits the windowing system.
    pub mode: Option<PresentMode>,
    /// Refresh, frames a second; `None`: the output's, else 60.
    pub rate_hz: Option<f64>,
    /// A point of the window on the desktop, px: tells which output it is on.
    pub at_px: [i32; 2],
    /// This clock or the estimate, no other.
    pub clock: Option<StampSource>,
    /// Frames of the trial run.
    pub trial_frames: usize,
}

impl Default for ScreenWish {
    fn default() -> ScreenWish {
        ScreenWish { mode: None, rate_hz: None, at_px: [0, 0], clock: None, trial_frames: 200 }
    }
}

/// What the screen has to tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// A frame was seen.
    Shown {
        /// The scene it held.
        scene: SceneId,
        /// Its number.
        frame: u64,
        /// When.
        stamp: Stamp,
        /// Frames due since the last one that did not come.
        missed: u16,
        /// Over 1.5 intervals after the last one.
        late: bool,
    },
    /// A frame was never seen, or nobody can tell when.
    NotShown {
        /// The scene it held.
        scene: SceneId,
        /// Its number.
        frame: u64,
        /// When that was known.
        t: Nanos,
    },
    /// The surface or the device is gone, covered, or another size: the block is interrupted.
    Lost {
        /// When it was noticed.
        t: Nanos,
    },
    /// It is back.
    Back {
        /// When.
        t: Nanos,
    },
    /// The clock fell silent or contradicted itself; this one takes over.
    Fallback {
        /// The one that takes over.
        source: StampSource,
        /// When.
        t: Nanos,
    },
}

impl Seen {
    /// The moment it speaks of.
    pub(super) fn t(&self) -> Nanos {
        match self {
            Seen::Shown { stamp, .. } => stamp.t,
            Seen::NotShown { t, .. }
            | Seen::Lost { t }
            | Seen::Back { t }
            | Seen::Fallback { t, .. } => *t,
        }
    }
}
