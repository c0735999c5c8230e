//! The sentences on frames and the display.

use super::{ms_of, percent};

/// Too few frames.
pub const fn frames_untold() -> &'static str {
    "Whether something holds frames back is not told: too few frames were seen."
}

/// All is well.
pub fn frames_whole(rate_hz: f64) -> String {
    format!("Frames come one a refresh ({rate_hz:.1} a second); nothing else holds them back.")
}

/// Late frames.
pub fn frames_late(share: f64) -> String {
    format!("{} of the frames came late.", percent(share))
}

/// Late frames.
pub const fn frames_late_mend() -> &'static str {
    "close what else draws or records; on a slow card take a smaller display mode"
}

/// Every so many refreshes.
pub fn frames_each_of(refreshes: u32, rate_hz: f64) -> String {
    format!("A frame comes only each {refreshes} refreshes ({rate_hz:.1} a second).")
}

/// A cap.
pub fn frames_capped(rate_hz: f64, refresh_hz: f64) -> String {
    format!("Frames are held to {rate_hz:.1} a second, while the refresh is {refresh_hz:.1} Hz.")
}

/// A cap.
pub const fn frames_cap_mend() -> &'static str {
    "switch the frame limit off: the graphics driver's, an overlay's, or the system's power saving"
}

/// Free.
pub fn frames_free(rate_hz: f64, refresh_hz: f64) -> String {
    format!(
        "Frames come {rate_hz:.0} times a second, faster than the refresh of {refresh_hz:.1} Hz."
    )
}

/// Uneven.
pub const fn frames_uneven() -> &'static str {
    "Frames come unevenly."
}

/// Nobody tells.
pub const fn refresh_untold() -> &'static str {
    "The refresh is not told."
}

/// Asked only.
pub fn refresh_not_measured(asked_hz: f64, assumed: bool) -> String {
    let by = if assumed { "taken, since nobody tells" } else { "told by the system" };
    format!("The refresh is {asked_hz:.1} Hz as {by}; it could not be measured.")
}

/// Asked only.
pub const fn refresh_not_measured_mend() -> &'static str {
    "film the screen (`tautline rig --camera`): its frame counter shows the refresh"
}

/// Differs.
pub fn refresh_differs(asked_hz: f64, measured_hz: f64, assumed: bool) -> String {
    let by = if assumed { "was taken" } else { "is told by the system" };
    format!("The refresh is {measured_hz:.2} Hz, where {asked_hz:.2} Hz {by}.")
}

/// Differs.
pub const fn refresh_differs_mend() -> &'static str {
    "look at the display's mode in the system's settings, and at frame limits"
}

/// As asked.
pub fn refresh_as_asked(asked_hz: f64, measured_hz: f64) -> String {
    format!("The refresh is {measured_hz:.2} Hz as measured, {asked_hz:.2} Hz as asked.")
}

/// What the refresh does, by its name in files.
pub const fn vsync(state: &str, by_stamps: bool) -> &'static str {
    match (state.as_bytes(), by_stamps) {
        (b"locked", true) => "Vsync holds: stamps of the hardware are whole refreshes apart.",
        (b"locked", false) => "Vsync holds: frames as fast as they are taken keep to the refresh.",
        (b"unlocked", _) => "Vsync does not hold: frames come faster than the refresh.",
        (b"unsteady", _) => {
            "Vsync is unsteady: frames come neither free nor whole refreshes apart."
        }
        (b"variable", true) => {
            "The refresh is variable: it follows the frames, and the hardware tells each one's moment."
        }
        (b"variable", false) => "The refresh is variable: it follows the frames.",
        _ => "Whether vsync holds cannot be told here.",
    }
}

/// Vsync.
pub const fn vsync_mend() -> &'static str {
    "switch vsync on (or to \"by the program\") in the graphics driver, and variable refresh off"
}

/// No clock.
pub const fn display_clock_untold() -> &'static str {
    "By which clock pictures are timed is not told."
}

/// The clock.
pub fn display_clock(source: &str, sd_ms: f64) -> String {
    let by = match source {
        "present_complete" => "the X server's own report of each picture",
        "damage" => "when the X server drew them",
        "wayland_feedback" => "the compositor's report",
        "dxgi_statistics" => "the system's frame statistics",
        "present_wait" => "the driver",
        "vblank_phase" => "the display's refresh",
        _ => "an estimate",
    };
    format!("Pictures are timed by {by} (give or take {}).", ms_of(sd_ms))
}

/// Coarse.
pub const fn display_clock_mend() -> &'static str {
    "show the window on the real display, full screen; the report names the better clocks and why \
     they were refused"
}

/// How pictures reach the screen.
pub fn presentation(
    system: &str,
    gpu: &str,
    driver: &str,
    asked: &str,
    granted: &str,
    compositor: Option<bool>,
) -> String {
    let mode = if asked == granted {
        format!("mode {granted}")
    } else {
        format!("mode {granted} where {asked} was asked")
    };
    let owner = match compositor {
        Some(true) => "; a compositor owns the screen",
        Some(false) => "; no compositor",
        None => "",
    };
    let system = match system {
        "x11" => "X11",
        "wayland" => "Wayland",
        "windows" => "Windows",
        other => other,
    };
    format!("Pictures go through {system}, {gpu} ({driver}), {mode}{owner}.")
}

/// Drawn by the processor.
pub const fn software_mend() -> &'static str {
    "pictures are made by the processor: install the graphics card's own Vulkan driver"
}

/// A compositor.
pub const fn compositor_mend() -> &'static str {
    "it adds a refresh or so to every time alike; to take it out, switch compositing off for full \
     screen"
}

/// Another mode.
pub const fn mode_mend() -> &'static str {
    "nothing to do: what was granted is what is measured"
}

/// No outputs told.
pub const fn outputs_untold() -> &'static str {
    "Which displays there are is not told."
}

/// One display.
pub fn one_output(id: &str) -> String {
    format!("One display ({id}).")
}

/// A display in a list.
pub fn output(id: &str, rate_hz: Option<f64>) -> String {
    match rate_hz {
        Some(hz) => format!("{id} at {hz:.1} Hz"),
        None => format!("{id}, rate not told"),
    }
}

/// Several alike.
pub fn several_outputs(list: &[String]) -> String {
    format!("{} displays at one rate: {}.", list.len(), list.join(", "))
}

/// Several that differ.
pub fn outputs_differ(list: &[String]) -> String {
    format!("{} displays at different rates: {}.", list.len(), list.join(", "))
}

/// Several that differ.
pub const fn outputs_mend() -> &'static str {
    "switch the other display off for the session, or set both to one rate: some systems hold all \
     frames to the slower one"
}
