//! The sentences of the rig check: what was seen, and how to mend it.
//!
//! Texts only, and small functions that put a number or a name into one. Which of them is said
//! when, and whether it matters, is decided in `rig/`.

use std::fmt::Write;

mod camera;
mod screens;

pub use camera::*;
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
        format!("makes the spread of your presses about {:.1} % wider", 100.0 * share)
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

// The mouse.

/// The report rate.
pub fn report_rate(hz: f64, interval_ms: f64, jitter_ms: f64) -> String {
    format!(
        "The mouse reports {hz:.0} times a second (each {}, give or take {}).",
        ms_of(interval_ms),
        ms_of(jitter_ms)
    )
}

/// Too little motion.
pub fn report_rate_untold(intervals: usize) -> String {
    format!(
        "How often the mouse reports is not told: only {intervals} pairs of reports in brisk motion."
    )
}

/// More motion.
pub const fn report_rate_again() -> &'static str {
    "trace the lying eight again, wider and faster, for a few seconds"
}

/// A slow rate.
pub const fn report_rate_raise() -> &'static str {
    "set the mouse to 1000 reports a second, by its own switch or its maker's program"
}

/// The stamps are coarser than the mouse.
pub fn report_rate_stamps(sd_ms: f64) -> String {
    format!("The stamps themselves are off by {} here, so jitter is not the mouse's.", ms_of(sd_ms))
}

/// Better stamps.
pub const fn report_rate_better_stamps() -> &'static str {
    "let the program read the mouse's own device: `tautline devices` says how"
}

/// Uneven.
pub const fn report_rate_hub() -> &'static str {
    "plug the mouse, or its receiver, into the computer itself: no hub, no front panel"
}

/// Bunched.
pub fn report_rate_bunched(share: f64) -> String {
    format!("{} of the reports arrive together with the one before.", percent(share))
}

/// Gaps.
pub fn report_rate_gaps(share: f64, longest_ms: f64) -> String {
    format!(
        "{} of the reports are missing; the longest gap was {}.",
        percent(share),
        ms_of(longest_ms)
    )
}

/// Gaps.
pub const fn report_rate_radio() -> &'static str {
    "use the cable; or bring the receiver near the mouse, away from other radios, and charge it"
}

/// Power saving.
pub fn report_rate_saving(slow_ms: f64, time_share: f64, after_rest: bool) -> String {
    let when = if after_rest { ", mostly after the hand was still" } else { "" };
    format!(
        "For {} of the time it reports only each {}{when}: it saves power.",
        percent(time_share),
        ms_of(slow_ms)
    )
}

/// Power saving.
pub const fn report_rate_awake() -> &'static str {
    "switch its power saving off, or use the cable: a hold that keeps the mouse stiller lets it doze"
}

/// Counts for a centimetre.
pub fn counts_per_cm(counts: f64, give_or_take: f64, per_inch: f64, slides: usize) -> String {
    format!(
        "{counts:.1} counts for a centimetre, give or take {give_or_take:.1} ({per_inch:.0} an \
         inch), from {slides} slides."
    )
}

/// No figure.
pub fn no_slide(why: &str) -> String {
    format!("Counts for a centimetre are not told: {why}.")
}

/// Slide again.
pub const fn slide_again() -> &'static str {
    "slide along the ruler once more: straight, mark to mark, three times or more, with a pause \
     between two slides"
}

/// Bounces.
pub fn bounces(bounces: usize, clicks: usize) -> String {
    format!(
        "{bounces} of the presses beside {clicks} clicks came within 50 ms of a release: the switch \
         bounces."
    )
}

/// Bounces.
pub const fn bounces_mend() -> &'static str {
    "raise the mouse's debounce time, clean or change the switch, or use another mouse"
}

/// None.
pub fn no_bounces(clicks: usize, at_most_share: f64) -> String {
    format!(
        "{clicks} clicks, no bounce (so fewer than {} of clicks bounce, with 95 % confidence).",
        percent(at_most_share)
    )
}

/// Too few clicks.
pub fn too_few_clicks(clicks: usize) -> String {
    format!("Whether the switch bounces is not told: {clicks} clicks.")
}

/// Click more.
pub fn clicks_again(fewest: usize) -> String {
    format!("click {fewest} times or more, as you would in a session")
}

/// Nothing spoke.
pub const fn no_mouse_spoke() -> &'static str {
    "No mouse was heard."
}

/// One pointer for all.
pub const fn mice_not_told() -> &'static str {
    "Two mice could not be told apart here: the window tells of one pointer for all of them."
}

/// One pointer for all.
pub const fn mice_unplug() -> &'static str {
    "leave one mouse plugged in"
}

/// One mouse.
pub fn one_mouse(model: &str) -> String {
    format!("One mouse was heard ({model}).")
}

/// One of several.
pub fn one_of_several(model: &str, count: usize) -> String {
    format!("One of {count} pointing devices was heard ({model}); the others lay still.")
}

/// Only this one.
pub fn only_this_mouse(model: &str) -> String {
    format!("name the one to be heard: --mouse {model}")
}

/// Several.
pub fn mice_apart(models: &[&str]) -> String {
    format!("Several devices were heard, each under its own name: {}.", models.join(", "))
}

/// Where presses come from.
pub fn source(name: &str, better: Option<(&str, &str)>) -> String {
    super::input_source(name, better)
}

/// How to get better stamps.
pub const fn source_mend() -> &'static str {
    "`tautline devices` says how to let the program read mice, and mice only"
}

// Frames and the display.

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

// The computer.

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

// What the player is asked.

/// A question's sentences.
#[derive(Debug, Clone, Copy)]
pub struct Asked {
    /// The question.
    pub question: &'static str,
    /// After "no".
    pub no: &'static str,
    /// After "yes".
    pub yes: &'static str,
    /// After "don't know".
    pub unknown: &'static str,
    /// What to do after "yes".
    pub mend: &'static str,
}

/// A question, by its name in files.
pub const fn asked(name: &str) -> Asked {
    match name.as_bytes() {
        b"hdr" => Asked {
            question: "Is HDR on for this display?",
            no: "HDR is off.",
            yes: "HDR is on: the display works on each picture for longer, and greys look different.",
            unknown: "Whether HDR is on is not known.",
            mend: "switch HDR off, or keep it as it is in every session",
        },
        b"variable_refresh" => Asked {
            question: "Is variable refresh (adaptive sync) on?",
            no: "Variable refresh is off.",
            yes: "Variable refresh is on in the settings; whether it acts here, the stamps say.",
            unknown: "Whether variable refresh is on is not known.",
            mend: "switch it off for sessions, unless the hardware tells each frame's moment",
        },
        b"strobe" => Asked {
            question: "Does the backlight flash (motion blur reduction)?",
            no: "The backlight does not flash.",
            yes: "The backlight flashes: all rows light at once, later than they were sent.",
            unknown: "Whether the backlight flashes is not known.",
            mend: "keep it as it is in every session: the lag is the same in every hold",
        },
        b"overlay" => Asked {
            question: "Does anything draw over other windows (overlay, chat, frame counter)?",
            no: "Nothing draws over the window.",
            yes: "Something draws over the window: it can hold frames back and force composition.",
            unknown: "Whether something draws over the window is not known.",
            mend: "switch overlays off for sessions",
        },
        b"recorder" => Asked {
            question: "Does anything record or stream the screen?",
            no: "Nothing records the screen.",
            yes: "Something records the screen: it takes time from the graphics card.",
            unknown: "Whether something records the screen is not known.",
            mend: "stop it for sessions; a camera beside the screen costs nothing",
        },
        _ => Asked {
            question: "Is the mouse wireless?",
            no: "The mouse has a cable.",
            yes: "The mouse is wireless: after a rest it may take longer to speak, which no program \
                  can see.",
            unknown: "Whether the mouse is wireless is not known.",
            mend: "use the cable, or switch its power saving off",
        },
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
pub fn finding_lines(grade: &str, what: &str, matters: &str, mend: Option<&str>) -> String {
    let mut lines = format!("{grade:<9} {what}\n{:<9} {matters}", "");
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
