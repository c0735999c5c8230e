//! Where scenes go, and when they were seen: the renderer, its cadence, one file a presentation clock.
//!
//! It draws what a scene says and never decides what is shown. [`Screen`] is its face during
//! blocks; [`Stage`] is the surface that goes back and forth between the threads; [`survey`] is
//! what the program sees of the outputs; [`Awake`] holds the screen saver off. Invariant: one frame
//! in flight, and every frame's fate is told: shown with a stamp and its doubt, or not shown.

mod awake;
mod clocks;
mod earn;
mod fault;
mod glyphs;
mod gpu;
mod hand_over;
mod pacing;
mod renderer;
mod report;
mod screen;
mod shapes;
mod start;
pub mod survey;
mod trial;
mod vsync;
#[cfg(target_os = "linux")]
mod wayland;
#[cfg(target_os = "linux")]
mod x11;

pub use awake::{Awake, AwakeReport};
pub use earn::{Earned, Refusal};
pub use fault::DisplayError;
pub use gpu::{
    Faults, Gpu, PresentMode, SizePx, Stage, WaylandHandles, WindowHandles, WindowSize,
    WindowSystem,
};
pub use renderer::{Patch, Renderer};
pub use report::{Bypass, ClockReport, DisplayReport, RefreshFrom, RefusedClock, WorkReport};
pub use screen::{Screen, ScreenWish, Seen};
pub use vsync::{VsyncJudged, VsyncReport, VsyncState};
