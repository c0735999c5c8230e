//! What a design can show, by simulation. Knows no window and no file.
//!
//! Draws whole sessions of a player with a true difference, analyses each as a real one is
//! analysed, and counts how often the answer is clear. [`outlook`] asks it of one plan, [`grid`] of
//! many; [`own`] takes the simulated player from the player's own blocks; [`look`] says how planned
//! looks are judged, in simulated sessions and in real ones. The same seed gives the same answer.

pub mod grid;
pub mod look;
pub mod outlook;
pub mod own;

pub use grid::{Asked, Cell, Grid, Planned, Sizes, Trade, grid};
pub use outlook::{Outlook, outlook, outlook_while, simulate};
pub use own::{Own, OwnBlock, OwnError, own};
