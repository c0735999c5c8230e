//! The sentences on the mouse.

use super::{ms_of, percent};

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

/// A source without reports.
pub const fn report_rate_not_heard() -> &'static str {
    "The mouse's reports, counts and clicks are not told: the window's own events do not show them."
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
    crate::words::input_source(name, better)
}

/// How to get better stamps.
pub const fn source_mend() -> &'static str {
    "`tautline devices` says how to let the program read mice, and mice only"
}
