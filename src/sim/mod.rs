//! A simulated player and a simulated screen in virtual time, for the same session code.
//!
//! What it makes is marked as simulated for ever.
