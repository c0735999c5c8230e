//! The lag that no program can see, from the player's own film of the mouse and the screen.
//!
//! A screen made to be filmed ([`Filming`]) counts its pictures in a Gray-code strip and answers
//! each click with a small patch; the player notes film frames of press and answer in a sheet
//! ([`sheet`]); [`estimate`] takes what the program saw itself away and gives the rest with its
//! doubt. All of it is pure: events and text in, scenes and numbers out.

mod estimate;
mod film;
pub mod gray;
pub mod sheet;

pub use estimate::{FEWEST_CLICKS, LEAST_RATE_HZ, Lag, NoLag, Reading, estimate};
pub use film::{Answer, Filming, LONGEST, REST};
