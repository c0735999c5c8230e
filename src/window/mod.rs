//! The event loop on the main thread, the hand-over of the surface, the egui frame.
//!
//! The main thread owns the window and draws the untimed screens; the thread "stimulus" owns the
//! surface during blocks. The surface is lent by value, so that never both draw. What a screen
//! looks like is not known here: [`Screens`] draws it. During a block nothing is drawn here, egui
//! hears nothing, and the only work is to pass keys on.

mod error;
mod frame;
mod handle;
mod hands;
mod keys;
mod live;
mod place;
mod run;
mod screens;

pub use error::WindowError;
pub use handle::{FromMain, MainHandle, Mode, MouseFrom, Opened, WindowFacts};
pub use place::{WindowOptions, WindowSize};
pub use run::open;
pub use screens::{
    Age, Ended, Facts, FirstStart, ForceNow, Reply, RigReply, RigScreen, Screenful, Screens, Show,
};
