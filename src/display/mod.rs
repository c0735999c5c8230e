//! Where scenes go, and when they were seen: the renderer, its cadence, one file a presentation clock.
//!
//! It draws what a scene says and never decides what is shown.

mod fault;
mod gpu;

pub use fault::DisplayError;
pub use gpu::{Faults, Gpu, PresentMode, SizePx, Stage, WindowHandles, WindowSize, WindowSystem};
