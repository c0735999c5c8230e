//! The one integration-test binary. Its modules say what goes where:
//!
//! - `access`: everything by keyboard, a name for everything, less motion where it is wished for.
//! - `awake`: the screen saver, held off and given back.
//! - `calibration`: sessions with a known truth, by the thousand.
//! - `cli`: the command line as typed.
//! - `coach`: sessions of several players over weeks.
//! - `crash`: a real session killed in mid-block, taken up again or closed.
//! - `drive`: the real window driven by keys, from the first start to the findings (`SLOW=1`).
//! - `exchange`: tables measured elsewhere, from text to findings.
//! - `findings`: from rows to a sentence, a report and a picture.
//! - `flashes`: how often any part of the field changes in a session.
//! - `golden`: a kept session still gives what it gave.
//! - `guide`: the pages outside a session, by clicks and keys, without a window.
//! - `hand_over`: a file dropped on the real window, and the system's file dialog.
//! - `input`: the decoders of mice, on records that a kernel gave.
//! - `interference`: what comes between, and the trial it is found on.
//! - `keyboard`: keys by XTEST and the titles of windows, for `drive`.
//! - `looks`: planned looks: how they are drawn, judged and replayed.
//! - `onset`: how far each definition of movement onset is off.
//! - `outside`: values published or computed by other programs, the source beside each.
//! - `packaging`: what goes into the packages agrees with the program.
//! - `present`: X11 Present end to end, against a client that presents with rising serials.
//! - `properties_record`: the record under random operations.
//! - `properties_settings`: settings and players under random operations.
//! - `protocol_errors`: whole texts of errors, long designs, the schema.
//! - `protocol`: the draw, the orders, the shipped files, the texts of errors.
//! - `record_faults`: the record when the disk fails or the program is killed.
//! - `record_sample`: folders of every released format still open.
//! - `render`: pictures read back from an adapter: look, crispness, the rule on flashing.
//! - `rig`: saved rigs, and sheets of films.
//! - `robot`: what a robot player did and what the program wrote of it, on an X server of their own.
//! - `screens`: the untimed screens, by keys, without a window.
//! - `sessions`: whole sessions in virtual time.
//! - `tidy`: who may import whom.
//! - `visitor`: the pages headless, for `guide`.
//! - `weeks`: those sessions, of invented players.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on says where by its panic")]

#[cfg(feature = "window")]
mod access;
#[cfg(all(feature = "window", target_os = "linux"))]
mod awake;
mod calibration;
mod cli;
#[cfg(feature = "window")]
mod coach;
#[cfg(all(feature = "window", target_os = "linux"))]
mod crash;
#[cfg(all(feature = "window", target_os = "linux"))]
mod drive;
mod exchange;
mod findings;
mod flashes;
mod golden;
#[cfg(feature = "window")]
mod guide;
#[cfg(all(feature = "window", target_os = "linux"))]
mod hand_over;
#[cfg(feature = "window")]
mod input;
mod interference;
#[cfg(all(feature = "window", target_os = "linux"))]
mod keyboard;
mod looks;
mod onset;
mod outside;
mod packaging;
#[cfg(all(feature = "window", target_os = "linux"))]
mod pictures;
#[cfg(all(feature = "window", target_os = "linux"))]
mod present;
mod properties_record;
mod properties_settings;
mod protocol;
mod protocol_errors;
mod record_faults;
mod record_sample;
#[cfg(feature = "window")]
mod render;
mod rig;
#[cfg(all(feature = "window", target_os = "linux"))]
mod robot;
#[cfg(feature = "window")]
mod screens;
mod sessions;
#[cfg(all(feature = "window", target_os = "linux"))]
#[path = "../probe/studio.rs"]
mod studio;
#[cfg(all(feature = "window", target_os = "linux"))]
mod support;
mod tidy;
#[cfg(feature = "window")]
mod visitor;
#[cfg(feature = "window")]
mod weeks;
