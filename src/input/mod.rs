//! Where events come from: one source a file, each on a thread of its own.
//!
//! A source stamps what it hears and pushes it into a ring; it never judges a press. Order of trust:
//! the kernel's own stamps (`evdev`), the compositor's own times (`wayland`), X11 raw events on a
//! connection of our own (`xinput`) or Windows raw input (`rawinput`), the window library's events
//! (`window`). [`Hands`] is the one face: it picks a source, says why a better one was refused, and
//! merges what comes by stamp. Invariant: between a stamp and its ring
//! nothing allocates, locks, writes a file or waits; a full ring is counted and told, never waited for.

mod choice;
pub mod decode;
mod devices;
#[cfg(target_os = "linux")]
mod evdev;
pub mod force;
mod gamepad;
mod hands;
mod interval;
mod lane;
mod list;
#[cfg(target_os = "linux")]
mod mice;
mod priority;
#[cfg(windows)]
mod raw_devices;
pub mod raw_records;
#[cfg(windows)]
mod rawinput;
#[cfg(any(target_os = "linux", windows))]
mod source;
#[cfg(target_os = "linux")]
mod wait;
#[cfg(target_os = "linux")]
mod wayland;
mod window;
#[cfg(windows)]
mod wine;
#[cfg(target_os = "linux")]
mod xinput;

pub use choice::{InputChoice, InputError, Refusal, UnknownChoice};
pub use gamepad::{GAMEPAD_SD, GamepadError, Gamepads, PadEvent, PadKey, PadSide};
pub use hands::{Hands, Opened};
pub use interval::{FEWEST_INTERVALS, ReportInterval};
pub use list::{SourceState, Survey, SurveyedMouse, survey};
#[cfg(target_os = "linux")]
pub use mice::{Capabilities, UDEV_RULE};
pub use priority::{Priority, Raised, Rank, raise};
pub use window::{PIXEL_STEPS, WINDOW_SD, WindowFeed};
#[cfg(windows)]
pub use wine::wine_version;

use crate::units::{Button, DeviceId, MotionUnit, Nanos, Span, Stamp};
use serde::Serialize;

/// What a hand did, or what became of its device. Copied through the ring, never on the heap.
///
/// The stamps of one source never decrease.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InputEvent {
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
    /// Input was lost: our ring or the kernel's queue was full.
    Gap {
        /// How many events, where known (else 0).
        lost: u32,
        /// When the first of them was lost, or when the loss was told.
        t: Nanos,
    },
    /// The source's own thread stood still: what it stamped itself meanwhile is late.
    Stalled {
        /// For how long.
        late: Span,
        /// From when on.
        since: Nanos,
    },
    /// A device went away. A button it held is not released: that would be no act of the player's.
    Unplugged {
        /// Which.
        device: DeviceId,
        /// When that was noticed.
        t: Nanos,
    },
    /// A device came back, under its old number.
    Replugged {
        /// Which.
        device: DeviceId,
        /// When that was noticed.
        t: Nanos,
    },
}

impl InputEvent {
    /// When it happened.
    pub const fn t(&self) -> Nanos {
        match self {
            InputEvent::Press { stamp, .. }
            | InputEvent::Release { stamp, .. }
            | InputEvent::Motion { stamp, .. } => stamp.t,
            InputEvent::Gap { t, .. }
            | InputEvent::Stalled { since: t, .. }
            | InputEvent::Unplugged { t, .. }
            | InputEvent::Replugged { t, .. } => *t,
        }
    }

    /// Whose it is; a gap and a stall have no device.
    pub const fn device(&self) -> Option<DeviceId> {
        match self {
            InputEvent::Press { device, .. }
            | InputEvent::Release { device, .. }
            | InputEvent::Motion { device, .. }
            | InputEvent::Unplugged { device, .. }
            | InputEvent::Replugged { device, .. } => Some(*device),
            InputEvent::Gap { .. } | InputEvent::Stalled { .. } => None,
        }
    }

    /// The same event at `t`.
    #[must_use]
    pub(crate) const fn at(mut self, moment: Nanos) -> InputEvent {
        match &mut self {
            InputEvent::Press { stamp, .. }
            | InputEvent::Release { stamp, .. }
            | InputEvent::Motion { stamp, .. } => stamp.t = moment,
            InputEvent::Gap { t, .. }
            | InputEvent::Stalled { since: t, .. }
            | InputEvent::Unplugged { t, .. }
            | InputEvent::Replugged { t, .. } => *t = moment,
        }
        self
    }
}

/// What a source must know of the window whose hands are heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OfWindow {
    /// The window library's connection, where the window belongs to Wayland.
    pub wayland: Option<WaylandDisplay>,
}

impl OfWindow {
    /// Whether the window belongs to Wayland.
    pub(crate) fn is_wayland(self) -> bool {
        self.wayland.is_some()
    }
}

/// Where the window library keeps its Wayland connection: the address of the `wl_display`, as a
/// number, so that it may go from thread to thread. It must hold until the hands are dropped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaylandDisplay(pub usize);

/// What is known of a device. Published before its first event is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DeviceInfo {
    /// Its number in this session.
    pub id: DeviceId,
    /// Product name as the system tells it.
    pub name: String,
    /// What its motion means.
    pub unit: MotionUnit,
    /// Motion steps that make one unit of motion (1 where the source gives whole counts).
    pub steps_per_count: u16,
    /// Interval between its reports, where measured.
    pub report_interval: Option<Span>,
    /// What `--mouse` takes: vendor and product number (`046d:c08b`, a second one `046d:c08b-2`), or
    /// the name in small letters. Never a serial number.
    pub ident: String,
}
