//! What tests of the real program need besides it: a screen of their own, the robot player, and
//! the laying of its truth beside what the program wrote.

pub(crate) mod floor;
pub(crate) mod matching;
pub(crate) mod players;
pub(crate) mod session;
pub(crate) mod truth;
pub(crate) mod xserver;
