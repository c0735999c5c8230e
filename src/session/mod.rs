//! Runs an engine over a desk (a screen, a hand, a questionnaire) and keeps the record.
//!
//! The same runner serves the real window and the simulated one; it never asks for the time itself.

mod again;
mod desk;
#[cfg(feature = "window")]
pub mod live;
mod runner;

pub use again::{replay_rows, start_of};
pub use desk::Desk;
pub use runner::{Judge, NoLooks, replay, run};
