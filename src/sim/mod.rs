//! A simulated player and a simulated screen in virtual time, for the same session code.
//!
//! The player sees scenes and answers questions as a person would; nothing tells it what the
//! engine thinks. An hour passes in well under a second. What it makes is marked as simulated
//! for ever, and its truths are round figures of our own.

mod answers;
mod desk;
mod hand;
mod player;
mod quick;

pub use desk::{SimDesk, SimScreen};
pub use player::{Player, Truth};
pub use quick::{QuickBlock, quick};
