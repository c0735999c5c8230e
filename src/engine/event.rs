//! What the engine is told and what it asks for.
//!
//! Events carry their own stamps, so the engine never asks for the time. Each source's stamps never
//! decrease; between sources they may: a press may carry an earlier stamp than an onset learnt
//! before it. A [`Event::Tick`] alone says that nothing older than `settled` will come any more.

use crate::protocol::Rating;
use crate::scene::{Canvas, Scene, SceneId};
use crate::units::{Button, DeviceId, MotionUnit, Nanos, Span, Stamp, StampSource};
use serde::{Deserialize, Serialize};

/// What the engine must know of the apparatus, at the start of each segment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Begin {
    /// When the segment starts; the zero of its `*_ns` columns.
    pub t: Nanos,
    /// The surface.
    pub canvas: Canvas,
    /// How far the view turns for one count, px.
    pub px_per_count: f64,
    /// Scan-out time of a whole frame, ms, where a hardware clock and the real mode give it.
    pub scanout_ms: Option<f64>,
    /// Display lag that no program can see, ms: a note, never added.
    pub display_lag_ms: Option<f64>,
    /// Number of the engine's rule.
    pub engine_rule: u32,
    /// Number of the motion rule.
    pub motion_rule: u32,
}

/// A device as it first speaks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Device {
    /// Its number in this session.
    pub id: DeviceId,
    /// Product name as the system tells it; no serial number.
    pub name: String,
    /// What its motion means.
    pub unit: MotionUnit,
    /// Motion steps that make one count (1 where the source gives whole counts).
    pub steps_per_count: u16,
    /// Interval between its reports, where measured.
    pub report_interval: Option<Span>,
}

/// A key that the engine listens to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Key {
    /// Pause, or go on.
    Pause,
    /// End the session; what was done is kept.
    Stop,
    /// My hand hurts: ends the block at once.
    Hurts,
    /// Pause, and ask whether to stop.
    AskStop,
}

/// What an untimed screen came back with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Answer {
    /// Go on: the card was read, the rest is over, the pause has ended.
    GoOn,
    /// Ratings, in the order asked, 0 to 10.
    Rated(Vec<(Rating, u8)>),
    /// Which hold the player thinks is faster (`None`: no opinion), and how sure, 0 to 10.
    Expected {
        /// Index into the protocol's conditions.
        faster: Option<usize>,
        /// 0 to 10.
        sure: u8,
    },
}

/// Everything that can happen.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A segment starts (or the session is taken up again).
    Begin(Begin),
    /// A device that has not spoken before.
    Device(Device),
    /// A frame that showed this scene was seen.
    Shown {
        /// The scene it showed.
        scene: SceneId,
        /// Number of the frame, by the display.
        frame: u64,
        /// When it was seen.
        stamp: Stamp,
        /// Refreshes that went by without the frame that was due.
        missed: u16,
        /// Came later than one refresh after the frame before it was due (or, unlocked, after more
        /// than 1.5 of the median interval).
        late: bool,
    },
    /// A frame that held this scene was never shown, or nobody can tell.
    NotShown {
        /// The scene it held.
        scene: SceneId,
        /// Number of the frame.
        frame: u64,
        /// When that was known.
        t: Nanos,
    },
    /// A button went down.
    Press {
        /// Whose.
        device: DeviceId,
        /// Which.
        button: Button,
        /// When.
        stamp: Stamp,
    },
    /// A button came up.
    Release {
        /// Whose.
        device: DeviceId,
        /// Which.
        button: Button,
        /// When.
        stamp: Stamp,
    },
    /// The mouse moved.
    Motion {
        /// Whose.
        device: DeviceId,
        /// Rightwards, in the device's steps.
        dx: i32,
        /// Downwards, in the device's steps.
        dy: i32,
        /// When.
        stamp: Stamp,
    },
    /// The partner ended a wait: the stimulus may come.
    Cue {
        /// When, and by what (a gamepad, a second mouse, or a key: then the window's own stamp).
        stamp: Stamp,
    },
    /// How firmly the hold is held, from a force axis.
    Force {
        /// Share of the player's comfortable strong grip; 0 at rest. Finite.
        share: f64,
        /// When.
        stamp: Stamp,
    },
    /// A key of the session.
    Key {
        /// Which.
        key: Key,
        /// When.
        t: Nanos,
    },
    /// The window got or lost the focus.
    Focus {
        /// Whether it has it now.
        focused: bool,
        /// When.
        t: Nanos,
    },
    /// An untimed screen was answered.
    Answered {
        /// With what.
        answer: Answer,
        /// When.
        t: Nanos,
    },
    /// Input was lost (a ring or the kernel's queue overflowed).
    Gap {
        /// How many events, where known (else 0).
        lost: u32,
        /// When.
        t: Nanos,
    },
    /// A device went away.
    Unplugged {
        /// Which.
        device: DeviceId,
        /// When.
        t: Nanos,
    },
    /// A device came back.
    Replugged {
        /// Which.
        device: DeviceId,
        /// When.
        t: Nanos,
    },
    /// The surface or the graphics device was lost.
    DisplayLost {
        /// When.
        t: Nanos,
    },
    /// The surface is there again.
    DisplayBack {
        /// When.
        t: Nanos,
    },
    /// A source stood still longer than it may.
    Stalled {
        /// For how long.
        late: Span,
        /// When that was noticed.
        t: Nanos,
    },
    /// The clock jumped (suspend).
    ClockJump {
        /// By how much.
        by: Span,
        /// When that was noticed.
        t: Nanos,
    },
    /// The presentation clock fell silent and the next took over.
    ClockFallback {
        /// The clock in use from now on.
        source: StampSource,
        /// When.
        t: Nanos,
    },
    /// A planned look was taken.
    Looked {
        /// After which cycle.
        cycle: usize,
        /// Whether it settled every comparison, so that the session ends.
        settled: bool,
        /// When.
        t: Nanos,
    },
    /// Time went by.
    Tick {
        /// Now.
        now: Nanos,
        /// No event with an older stamp will come from any source.
        settled: Nanos,
    },
}

/// An untimed screen.
#[derive(Debug, Clone, PartialEq)]
pub enum AskFor {
    /// Which hold does the player think is faster, and how sure?
    Expectation,
    /// The instruction card of a block.
    Card {
        /// Index into the schedule's blocks.
        block: usize,
    },
    /// Ratings, 0 to 10, all on one screen.
    Ratings {
        /// Which, in order.
        items: Vec<Rating>,
        /// After which block (index).
        block: usize,
    },
    /// A rest; [`Answer::GoOn`] before `until` is not taken.
    Rest {
        /// Its floor.
        until: Nanos,
        /// The block that comes next (index).
        next: usize,
        /// Away from the desk.
        standing: bool,
        /// A planned look was just taken, and the session goes on.
        looked: bool,
    },
    /// A pause, and why.
    Pause {
        /// Why.
        why: PauseReason,
    },
}

/// Why a session stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PauseReason {
    /// The player asked.
    Asked,
    /// The player may want to stop.
    StopAsked,
    /// The window lost the focus.
    FocusLost,
    /// The mouse went away.
    Unplugged,
    /// The display went away.
    DisplayLost,
    /// A source stood still for the second time.
    Stalled,
    /// The clock jumped.
    ClockJump,
}

/// How a session ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ending {
    /// Every block was run.
    Complete,
    /// The player stopped it.
    Stopped,
    /// Two stops for discomfort: closed for the day.
    Discomfort,
    /// The longest time, or the firm minutes, were used up.
    TimeUp,
    /// A planned look settled every comparison.
    Settled,
}

/// What the engine wants done.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Show this from the next frame on.
    Show(Scene),
    /// Hand the surface to an untimed screen.
    Ask(AskFor),
    /// A trial attempt is over: write it down.
    Trial(Box<super::TrialRecord>),
    /// Ratings were given: write them down.
    Ratings(super::RatingRecord),
    /// A block is over: sync to disk.
    BlockEnd {
        /// Index into the schedule's blocks.
        block: usize,
    },
    /// A block is repeated whole: its trials so far do not count any more.
    BlockAbandoned {
        /// Index into the schedule's blocks.
        block: usize,
    },
    /// A planned look is due: judge what was recorded, and answer with [`Event::Looked`].
    Look {
        /// After which cycle.
        cycle: usize,
    },
    /// Nothing more will come.
    End(Ending),
}
