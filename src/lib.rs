//! Tautline compares ways of holding a mouse by reaction time.
//!
//! The map, in the direction in which things flow:
//!
//! - [`units`], [`words`], [`scene`], [`clock`]: quantities; sentences; what may be shown; the time.
//! - [`tasks`]: what the player is asked to do, one value a task.
//! - [`protocol`]: what was planned: the file, checked; the draw; the schedule.
//! - [`engine`]: what happens next: events in, actions and trial records out.
//! - [`motion`]: what the raw counts say.
//! - `input`, `display`: where events come from; where scenes go, and when they were seen.
//! - [`record`]: the session folder.
//! - [`session`]: the runner that drives an engine over a desk and keeps the record.
//! - [`sim`]: a simulated player and screen for the same session code.
//! - [`analysis`]: statistics, numbers in and out.
//! - [`plan`]: what a design can show.
//! - [`findings`]: from numbers to a verdict, a report and a picture.
//! - [`exchange`]: tables of times that were measured elsewhere.
//! - [`rig`]: qualifies the apparatus; the lag by camera.
//! - [`sitting`]: what has to be there before a session can run, and what is made of it.
//! - [`settings`]: what is kept about this machine and its players.
//! - `window`, `app`: the event loop and the untimed screens.
//! - [`cli`]: the command line.

pub mod analysis;
#[cfg(feature = "window")]
pub mod app;
pub mod cli;
pub mod clock;
#[cfg(feature = "window")]
pub mod display;
pub mod engine;
pub mod exchange;
pub mod findings;
#[cfg(feature = "window")]
pub mod input;
pub mod motion;
pub mod plan;
pub mod protocol;
pub mod record;
pub mod rig;
pub mod scene;
pub mod session;
pub mod settings;
pub mod sim;
pub mod sitting;
pub mod tasks;
pub mod units;
#[cfg(feature = "window")]
pub mod window;
pub mod words;
