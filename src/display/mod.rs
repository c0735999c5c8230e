//! Where scenes go, and when they were seen: the renderer, its cadence, one file a presentation clock.
//!
//! It draws what a scene says and never decides what is shown. [`Screen`] is its face during
//! blocks; [`Stage`] is the surface that goes back and forth between the threads; [`survey`] is
//! what the program sees of the outputs; [`Awake`] holds the screen saver off. Invariant: one frame
//! in flight, and every frame's fate is told: shown with a stamp and its doubt, or not shown.

mod awake;
mod clocks;
#[cfg(windows)]
mod dxgi;
mod earn;
mod extent;
mod fault;
mod glyphs;
mod gpu;
mod hand_over;
#[cfg(target_os = "linux")]
mod lone;
mod mode;
mod modes;
mod pacing;
mod pages;
mod refusal;
mod renderer;
mod report;
mod scanout;
mod screen;
mod seen;
mod shapes;
mod start;
mod surroundings;
pub mod survey;
#[cfg(windows)]
mod survey_windows;
mod trial;
mod vsync;
#[cfg(target_os = "linux")]
mod vulkan;
mod watch;
#[cfg(target_os = "linux")]
mod wayland;
#[cfg(target_os = "linux")]
mod x11;

pub use awake::{Awake, AwakeReport};
pub use earn::Earned;
pub use fault::DisplayError;
pub use gpu::{
    Faults, Gpu, SizePx, Stage, WaylandHandles, WindowHandles, WindowSize, WindowSystem,
};
#[cfg(target_os = "linux")]
pub use lone::LoneClock;
pub use mode::PresentMode;
pub use refusal::Refusal;
pub use renderer::{Patch, Renderer};
pub use report::{
    Bypass, ClockReport, Composition, DisplayReport, Images, RefreshFrom, RefusedClock,
    RefusedMode, ShownAs, TookOver, WorkReport,
};
pub use scanout::ScanFrom;
pub use screen::Screen;
pub use seen::{ScreenWish, Seen};
pub use vsync::{VsyncJudged, VsyncReport, VsyncState};
