//! The sentences of the rig check: what was seen, and how to mend it.
//!
//! Texts only, and small functions that put a number or a name into one. Which of them is said
//! when, and whether it matters, is decided in `rig/`.

use std::fmt::Write;

mod asked;
mod camera;
mod computer;
mod display;
mod mouse;
mod screens;

pub use asked::*;
pub use camera::*;
pub use computer::*;
pub use display::*;
pub use mouse::*;
pub use screens::*;

/// Whether a finding matters, by its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weight {
    /// Not at all.
    No,
    /// Cancels in a difference.
    Cancels(Option<f64>),
    /// Spreads single times: sd in ms, and by what share it widens a usual spread.
    Spread(f64, f64),
    /// Can favour one hold.
    Bias(Option<f64>),
    /// Costs trials.
    Trials,
    /// Cannot be told.
    Unknown,
}

/// Whether it matters for a difference between holds, and by how much.
pub fn weight(weight: Weight) -> String {
    match weight {
        Weight::No => "It does not matter for a difference between holds.".to_owned(),
        Weight::Cancels(None) => {
            "It lengthens every time alike: it cancels in a difference between holds.".to_owned()
        }
        Weight::Cancels(Some(ms)) => format!(
            "It lengthens every time alike, by about {}: it cancels in a difference between holds.",
            ms_of(ms)
        ),
        Weight::Spread(sd_ms, share) => format!(
            "It favours no hold; a single time can be off by {} (sd), which {}.",
            ms_of(sd_ms),
            widening(share)
        ),
        Weight::Bias(None) => "It can favour one hold; by how much is not known.".to_owned(),
        Weight::Bias(Some(ms)) => format!("It can favour one hold, by up to {}.", ms_of(ms)),
        Weight::Trials => {
            "It can cost trials, or make single ones late; those are marked and come again."
                .to_owned()
        }
        Weight::Unknown => "Whether it matters cannot be told.".to_owned(),
    }
}

fn widening(share: f64) -> String {
    if share < 0.0005 {
        "is nothing beside the spread of your presses".to_owned()
    } else {
        format!("makes the spread of your presses about {} wider", percent(share))
    }
}

/// Milliseconds with as many digits as say something.
pub fn ms_of(ms: f64) -> String {
    let digits = match ms.abs() {
        size if size >= 10.0 => 0,
        size if size >= 1.0 => 1,
        size if size >= 0.1 => 2,
        _ => 3,
    };
    format!("{ms:.digits$} ms")
}

fn percent(share: f64) -> String {
    match 100.0 * share {
        size if size > 0.0 && size < 0.1 => "under 0.1 %".to_owned(),
        size if size < 10.0 => format!("{size:.1} %"),
        size => format!("{size:.0} %"),
    }
}

/// A word for how a finding stands, by its name in files.
pub fn grade(name: &str) -> &'static str {
    match name {
        "good" => "good",
        "note" => "note",
        "mend" => "mend",
        _ => "not told",
    }
}

// Profiles and what changed between them.

/// One change, by the part's name in files.
pub fn change(part: &str, before: &str, now: &str) -> String {
    let part = match part {
        "gpu" => "graphics card",
        "driver" => "graphics driver",
        "window_system" => "window system",
        "size" => "picture size",
        "refresh" => "refresh",
        "vsync" => "vsync",
        "mode" => "present mode",
        "display_clock" => "clock of pictures",
        "outputs" => "displays",
        "source" => "source of presses",
        "mouse" => "mouse",
        "report_rate" => "report rate",
        other => other,
    };
    format!("{part}: {before} before, {now} now")
}

/// Changes since something, in one sentence; nothing where there are none.
pub fn changed(since: &str, changes: &[String]) -> Option<String> {
    if changes.is_empty() {
        return None;
    }
    Some(format!("The rig has changed since {since}: {}.", changes.join("; ")))
}

/// Since the last profile, whose name does not matter.
pub const fn before() -> &'static str {
    "the rig check before"
}

/// Since the last profile.
pub fn since_profile(name: &str) -> String {
    format!("the rig check {name}")
}

/// Since the last session.
pub fn since_session(name: &str) -> String {
    format!("the session {name}")
}

/// What to do, in a sentence.
pub fn to_mend(mend: &str) -> String {
    format!("To mend it: {mend}.")
}

/// A finding in the terminal.
pub fn finding_lines(grade: &str, what: &str, matters: Option<&str>, mend: Option<&str>) -> String {
    let mut lines = format!("{grade:<9} {what}");
    if let Some(matters) = matters {
        // Writing to a String cannot fail.
        let _ok = write!(lines, "\n{:<9} {matters}", "");
    }
    if let Some(mend) = mend {
        // Writing to a String cannot fail.
        let _ok = write!(lines, "\n{:<9} {}", "", to_mend(mend));
    }
    lines
}

/// How the check stands as a whole.
pub fn summary(mend: usize, note: usize, not_told: usize) -> String {
    let first = match mend {
        0 => "Nothing needs mending before a session.".to_owned(),
        1 => "One thing is worth mending before a session.".to_owned(),
        n => format!("{n} things are worth mending before a session."),
    };
    format!("{first} Notes: {note}. Not told: {not_told}.")
}

/// No profile yet.
pub const fn no_profiles() -> &'static str {
    "no rig check is saved here yet; `tautline rig` makes one"
}

/// A saved profile in a list.
pub fn profile_line(name: &str, summary: &str, camera: Option<&str>) -> String {
    match camera {
        Some(camera) => format!("{name}  {summary} {camera}"),
        None => format!("{name}  {summary}"),
    }
}
