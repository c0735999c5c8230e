//! Quantities that every part shares: moments and spans on one monotonic clock, stamps that carry
//! their own doubt, and the identity of a device.
//!
//! Inside the program every time is in nanoseconds on CLOCK_MONOTONIC (Linux) or
//! QueryPerformanceCounter (Windows); milliseconds exist only in files and on screens. A moment
//! minus a moment is a [`Span`]; moments do not add. This file knows no clock: time comes in.

use serde::{Deserialize, Serialize};
use std::ops::{Add, AddAssign, Neg, Sub};

/// A moment on the monotonic clock, in nanoseconds.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Nanos(pub i64);

/// A signed distance between two moments, in nanoseconds (signed: a press may come before its
/// stimulus).
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Span(pub i64);

impl Span {
    /// No time at all.
    pub const ZERO: Span = Span(0);

    /// A span of whole milliseconds.
    pub const fn from_ms(ms: i64) -> Span {
        Span(ms * 1_000_000)
    }

    /// A span of whole seconds.
    pub const fn from_s(s: i64) -> Span {
        Span(s * 1_000_000_000)
    }

    /// The nearest nanosecond to `ms` milliseconds.
    ///
    /// `ms`: finite and within ±10^12; beyond that the result saturates.
    #[expect(clippy::cast_possible_truncation, reason = "a float to int cast saturates")]
    pub fn from_ms_f64(ms: f64) -> Span {
        Span((ms * 1e6).round() as i64)
    }

    /// This span in milliseconds.
    pub fn ms(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// This span in seconds.
    pub fn s(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// The larger of two spans.
    pub fn max(self, other: Span) -> Span {
        Span(self.0.max(other.0))
    }
}

impl Sub for Nanos {
    type Output = Span;
    fn sub(self, earlier: Nanos) -> Span {
        Span(self.0 - earlier.0)
    }
}

impl Add<Span> for Nanos {
    type Output = Nanos;
    fn add(self, span: Span) -> Nanos {
        Nanos(self.0 + span.0)
    }
}

impl Sub<Span> for Nanos {
    type Output = Nanos;
    fn sub(self, span: Span) -> Nanos {
        Nanos(self.0 - span.0)
    }
}

impl AddAssign<Span> for Nanos {
    fn add_assign(&mut self, span: Span) {
        self.0 += span.0;
    }
}

impl Add for Span {
    type Output = Span;
    fn add(self, other: Span) -> Span {
        Span(self.0 + other.0)
    }
}

impl AddAssign for Span {
    fn add_assign(&mut self, other: Span) {
        self.0 += other.0;
    }
}

impl Sub for Span {
    type Output = Span;
    fn sub(self, other: Span) -> Span {
        Span(self.0 - other.0)
    }
}

impl Neg for Span {
    type Output = Span;
    fn neg(self) -> Span {
        Span(-self.0)
    }
}

/// Where a stamp came from. The names are those of the files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StampSource {
    /// Linux evdev: the kernel's own stamp on CLOCK_MONOTONIC.
    Evdev,
    /// X11 XInput2 raw event: our clock at receipt on a connection of our own.
    Xinput,
    /// Wayland relative pointer and pointer button times.
    WaylandPointer,
    /// Windows WM_INPUT: our clock at wake-up.
    RawInput,
    /// The window library's own events: our clock when the event loop passed them on.
    Window,
    /// A gamepad, polled or stamped by wall clock.
    Gamepad,
    /// X11 Present CompleteNotify.
    PresentComplete,
    /// Wayland wp_presentation feedback.
    WaylandFeedback,
    /// DXGI frame statistics.
    DxgiStatistics,
    /// Vulkan present_wait.
    PresentWait,
    /// The first vertical blank after the GPU had finished.
    VblankPhase,
    /// X11 DamageNotify: when the server copied the picture.
    Damage,
    /// No clock told: worked out from the submit and the refresh.
    Estimate,
    /// The simulated screen or the simulated player.
    Simulated,
}

impl StampSource {
    /// Every source, in the order of their numbers in `events.bin` (never reordered; add at the end).
    pub const ALL: [StampSource; 14] = [
        StampSource::Evdev,
        StampSource::Xinput,
        StampSource::WaylandPointer,
        StampSource::RawInput,
        StampSource::Window,
        StampSource::Gamepad,
        StampSource::PresentComplete,
        StampSource::WaylandFeedback,
        StampSource::DxgiStatistics,
        StampSource::PresentWait,
        StampSource::VblankPhase,
        StampSource::Damage,
        StampSource::Estimate,
        StampSource::Simulated,
    ];

    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            StampSource::Evdev => "evdev",
            StampSource::Xinput => "xinput",
            StampSource::WaylandPointer => "wayland_pointer",
            StampSource::RawInput => "raw_input",
            StampSource::Window => "window",
            StampSource::Gamepad => "gamepad",
            StampSource::PresentComplete => "present_complete",
            StampSource::WaylandFeedback => "wayland_feedback",
            StampSource::DxgiStatistics => "dxgi_statistics",
            StampSource::PresentWait => "present_wait",
            StampSource::VblankPhase => "vblank_phase",
            StampSource::Damage => "damage",
            StampSource::Estimate => "estimate",
            StampSource::Simulated => "simulated",
        }
    }
}

/// A moment, where it came from, and how far it can be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// The moment.
    pub t: Nanos,
    /// Who said so.
    pub source: StampSource,
    /// Standard deviation of the error, without the mouse's own report interval.
    pub sd: Span,
}

impl Stamp {
    /// Whether it is the display hardware's own word on the start of a scan-out: one of the clocks
    /// that tell it, and no worse than a program that stamps it at once.
    pub fn tells_scan_out(&self) -> bool {
        const NO_WORSE_THAN: Span = Span(500_000);
        let tells = matches!(
            self.source,
            StampSource::PresentComplete
                | StampSource::WaylandFeedback
                | StampSource::DxgiStatistics
        );
        tells && self.sd <= NO_WORSE_THAN
    }
}

/// A device's number within one session; its description stands in the record's device table.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct DeviceId(pub u16);

/// A mouse button.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Button {
    /// The main button of a right-handed mouse.
    Left,
    /// The second button.
    Right,
    /// The wheel's button.
    Middle,
    /// Any further button, numbered from 4 as the system does.
    Other(u8),
}

impl Button {
    /// The name that stands in files (`left`, `right`, `middle`, `other`).
    pub const fn name(self) -> &'static str {
        match self {
            Button::Left => "left",
            Button::Right => "right",
            Button::Middle => "middle",
            Button::Other(_) => "other",
        }
    }
}

/// What one step of a device's motion means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MotionUnit {
    /// Raw counts of the sensor.
    Counts,
    /// Counts scaled by the system to a common resolution.
    Normalised,
    /// Screen pixels, after pointer acceleration.
    Pixels,
}

impl MotionUnit {
    /// The name that stands in files.
    pub const fn name(self) -> &'static str {
        match self {
            MotionUnit::Counts => "counts",
            MotionUnit::Normalised => "normalised",
            MotionUnit::Pixels => "pixels",
        }
    }
}
