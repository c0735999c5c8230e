//! The sentences on the computer.

use super::ms_of;

/// Wake-ups.
pub fn wake_ups(median_ms: f64, p99_ms: f64, longest_ms: f64) -> String {
    format!(
        "A sleeping thread wakes {} late in the middle, 1 in 100 later than {}, {} at worst.",
        ms_of(median_ms),
        ms_of(p99_ms),
        ms_of(longest_ms)
    )
}

/// Too few.
pub const fn wake_ups_untold() -> &'static str {
    "How late a sleeping thread wakes was not measured."
}

/// Wake-ups.
pub const fn wake_ups_mend() -> &'static str {
    "close other programs, and let the program raise its priority (docs/rig.md says how)"
}

/// Priority.
pub const fn priority_granted() -> &'static str {
    "The thread that hears the mouse goes before others: its priority was granted."
}

/// Priority.
pub fn priority_refused(why: &str) -> String {
    format!("The thread that hears the mouse goes like any other: the system refused ({why}).")
}

/// Priority.
pub const fn priority_mend() -> &'static str {
    "allow real-time priority to your user (docs/rig.md says how)"
}

/// Priority.
pub const fn priority_not_attempted() -> &'static str {
    "No priority was asked for: presses come through the window's own thread."
}

/// The clock.
pub const fn clock_untold() -> &'static str {
    "Which clock the computer counts by is not told."
}

/// Coarse.
pub fn clock_coarse(name: &str) -> String {
    format!("The computer counts by `{name}`, in steps of milliseconds.")
}

/// Coarse.
pub const fn clock_mend() -> &'static str {
    "start the computer without options that force this clock; a newer kernel may help"
}

/// Slow.
pub fn clock_slow(name: &str) -> String {
    format!("The computer counts by `{name}`, which is slow to read (about a microsecond).")
}

/// Good.
pub fn clock_good(name: &str, virtual_machine: bool) -> String {
    let inside = if virtual_machine { ", inside a virtual machine" } else { "" };
    format!("The computer counts by `{name}`{inside}.")
}

/// The governor.
pub const fn governor_untold() -> &'static str {
    "How the processor's speed is governed is not told."
}

/// The governor.
pub fn governor(names: &[&str]) -> String {
    format!("The processor's speed is governed by `{}`.", names.join("`, `"))
}

/// The governor.
pub const fn governor_mend() -> &'static str {
    "for the session set it to `performance` (a slow start of a frame is marked late in any case)"
}

/// Power.
pub const fn power_untold() -> &'static str {
    "Mains or battery is not told."
}

/// Power.
pub const fn on_mains() -> &'static str {
    "The computer runs on mains."
}

/// Power.
pub const fn on_battery() -> &'static str {
    "The computer runs on its battery."
}

/// Power.
pub const fn on_battery_mend() -> &'static str {
    "plug it in: on battery many slow the processor, the graphics and the USB ports"
}

/// Load.
pub const fn load_untold() -> &'static str {
    "What else the computer does is not told."
}

/// Load.
pub fn load(load: f64, cores: usize) -> String {
    format!("Other work over the last minute: {load:.1} threads on {cores} cores.")
}

/// Load.
pub const fn load_mend() -> &'static str {
    "close other programs, downloads and updates, and wait a minute"
}
