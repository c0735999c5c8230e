//! What was planned: the protocol file, checked; the draw; the schedule.
//!
//! Text in, values out. It knows no clock, no window and no player; the same text, seed and draw
//! rule give the same schedule on every machine and in every release.

mod model;
mod schedule;

pub use model::*;
pub use schedule::*;
