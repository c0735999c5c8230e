//! What is written into the manifest about the display: asked, granted, judged, and how.
//!
//! Values only. What was refused is named as refused, what was not attempted as not attempted.

use serde::Serialize;

use super::clocks::PresentationClock;
use super::earn::Earned;
use super::extent::Extent;
use super::refusal::Refusal;
use super::scanout::Scan;
use super::survey::Output;
use super::vsync::VsyncReport;
use super::{PresentMode, SizePx, WindowSystem};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// A clock that was not taken, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RefusedClock {
    /// Which.
    pub source: StampSource,
    /// Why.
    pub why: Refusal,
}

/// A clock that took over in the middle of the session.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TookOver {
    /// Which; why not the one before stands in the list of refused ones.
    pub source: StampSource,
    /// The standard deviation it states, ms.
    pub sd_ms: f64,
    /// When, on the monotonic clock.
    pub clock_ns: Nanos,
}

/// The presentation clock of the session.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClockReport {
    /// The one that was chosen at the start.
    pub chosen: StampSource,
    /// The standard deviation it states, ms.
    pub sd_ms: f64,
    /// That of a stimulus's onset: with the doubt of the row, where the scan-out is not known, ms.
    pub onset_sd_ms: f64,
    /// Scan-out of a whole picture, where a hardware clock and the real mode tell it, ms.
    pub scanout_ms: Option<f64>,
    /// How pictures came to the screen in the trial run, where the clock tells.
    pub shown_as: Option<ShownAs>,
    /// Median time from the present call to the stamp in the trial run, refreshes: how deep
    /// pictures queue. Blank for the estimate.
    pub delay_refreshes: Option<f64>,
    /// What its trial run showed; blank for the estimate.
    pub earned: Option<Earned>,
    /// What was added to the end of the drawing, ms (the estimate only).
    pub added_ms: Option<f64>,
    /// The better ones, and why not.
    pub refused: Vec<RefusedClock>,
    /// Those that took over later, in order; the last is the one in use.
    pub took_over: Vec<TookOver>,
}

impl ClockReport {
    /// What is to be said of the clock that was chosen.
    pub(super) fn of(
        chosen: &dyn PresentationClock,
        earned: Option<Earned>,
        scan: &Scan,
        refresh: Span,
        refused: Vec<RefusedClock>,
    ) -> ClockReport {
        let stamp = Stamp { t: Nanos(0), source: chosen.source(), sd: chosen.sd() };
        ClockReport {
            chosen: chosen.source(),
            sd_ms: chosen.sd().ms(),
            onset_sd_ms: scan.lit(stamp, Some(Extent::NOWHERE)).sd.ms(),
            scanout_ms: scan.whole_ms(stamp.tells_scan_out()),
            shown_as: chosen.shown_as(),
            delay_refreshes: earned.map(|earned| earned.delay_median_ms / refresh.ms()),
            earned,
            added_ms: None,
            refused,
            took_over: Vec::new(),
        }
    }
}

/// How pictures came to the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct ShownAs {
    /// Scanned out as they are.
    pub flips: u32,
    /// Copied, or composed with others.
    pub copies: u32,
    /// Passed over and never shown.
    pub skips: u32,
}

/// A present mode that was tried and not taken: pictures came too late in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RefusedMode {
    /// Which.
    pub mode: PresentMode,
    /// Median time from the present call to the stamp, refreshes.
    pub delay_refreshes: f64,
}

/// What a frame costs, from the trial run.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WorkReport {
    /// Frames of the run.
    pub frames: usize,
    /// Median time in our own calls (acquire left out), ms.
    pub calls_median_ms: f64,
    /// Longest of them, ms.
    pub calls_longest_ms: f64,
    /// Median time from the start to the end of the drawing, ms.
    pub ready_median_ms: f64,
    /// Longest of them, ms.
    pub ready_longest_ms: f64,
    /// How long before a refresh a frame is started, where the refresh is known, ms.
    pub margin_ms: Option<f64>,
    /// Refreshes from one frame to the next.
    pub cadence: i64,
}

/// Whether the compositor was asked to leave the window out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bypass {
    /// The property is set; a compositor may still ignore it.
    Asked,
    /// It could not be set.
    Refused,
    /// There is no such property here.
    NotAttempted,
}

/// How a window's pictures got to the screen (Windows tells it).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Composition {
    /// The desktop was composed of several windows: the screen follows later.
    Composed,
    /// By a plane of their own in the display's hardware.
    Overlay,
    /// Scanned out as they were.
    Direct,
    /// The composition failed.
    Failed,
    /// The system did not tell.
    NotTold,
}

/// Where the refresh asked for came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RefreshFrom {
    /// The caller's wish.
    Wish,
    /// The mode of the output that the window is on.
    Output,
    /// Nobody told: 60 Hz is taken.
    Assumed,
}

/// Images of a swapchain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Images {
    /// Asked.
    pub asked: u32,
    /// Made by the driver.
    pub got: u32,
}

/// Everything about the display, for the manifest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DisplayReport {
    /// The card's name.
    pub gpu: String,
    /// The driver's name.
    pub driver: String,
    /// The driver's version, as it tells it.
    pub driver_version: String,
    /// Vulkan or DX12.
    pub backend: String,
    /// Pictures are made by the processor.
    pub software: bool,
    /// The windowing system.
    pub window_system: WindowSystem,
    /// Every output, as far as the system tells.
    pub outputs: Vec<Output>,
    /// The surface's size, px.
    pub size: SizePx,
    /// Mode asked for.
    pub present_mode_asked: PresentMode,
    /// Mode granted.
    pub present_mode_granted: PresentMode,
    /// Modes tried before, in which pictures came more than two refreshes late.
    pub present_modes_refused: Vec<RefusedMode>,
    /// Frames asked to be queued at most; a wish.
    pub frame_latency_asked: u32,
    /// Images of the swapchain, asked by that wish and got; blank where the driver does not tell.
    pub images: Option<Images>,
    /// Frames that this program has on their way at once.
    pub frames_in_flight: u32,
    /// Whether a compositor owns the screen; blank where nobody tells.
    pub compositor: Option<bool>,
    /// Whether it was asked to leave the window out.
    pub bypass_compositor: Bypass,
    /// How the last picture of the trial run got to the screen; blank off Windows and DX12.
    pub composition: Option<Composition>,
    /// Refresh asked, ms.
    pub refresh_asked_ms: f64,
    /// Who said so.
    pub refresh_from: RefreshFrom,
    /// What the refresh does.
    pub vsync: VsyncReport,
    /// The presentation clock.
    pub clock: ClockReport,
    /// What a frame costs.
    pub work: WorkReport,
}
