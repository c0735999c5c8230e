//! A session for real: the runner over the real screen, the real mouse and the untimed screens.
//!
//! Everything here runs on the stimulus thread. The surface is lent to the main thread for each
//! untimed screen and taken back before the next block; never do both draw.

mod apparatus;
mod brief;
mod desk;
mod error;
mod lobby;
mod play;
mod rig;
mod rig_camera;
mod roles;

pub use apparatus::Apparatus;
pub use brief::{LastScreen, OpenRecord, Plan, Played, SumUp};
pub use desk::{LiveDesk, Parts};
pub use error::LiveError;
pub use lobby::returned;
pub use play::{play, sit};
pub use rig::{Booth, Checked, RigPlan, check, in_booth};
pub use rig_camera::{Filmed, film};
pub use roles::Wishes;
