//! The sentences of the camera's calibration.

use super::ms_of;

/// The lag in a sentence.
pub fn camera_lag(lag_ms: f64, give_or_take_ms: f64, clicks: usize, per_second: f64) -> String {
    format!(
        "Display and mouse together lag {} beyond what the program sees, give or take {} (95 %; \
         {clicks} clicks filmed at {per_second:.0} frames a second).",
        ms_of(lag_ms),
        ms_of(give_or_take_ms)
    )
}

/// What it is made of.
pub fn camera_parts(total_ms: f64, own_ms: f64, frame_ms: f64) -> String {
    format!(
        "From press to light {} on the film; of that the program saw {} itself. One frame of the film \
         is {}.",
        ms_of(total_ms),
        ms_of(own_ms),
        ms_of(frame_ms)
    )
}

/// What it is for.
pub const fn camera_use() -> &'static str {
    "It is a note: it is never added to a time, and a difference between holds on this rig does not \
     need it."
}

/// Where a note came from, for the manifest.
pub fn camera_source(per_second: f64, clicks: usize, give_or_take_ms: f64) -> String {
    format!(
        "camera, {clicks} clicks at {per_second:.0} frames a second, give or take {}",
        ms_of(give_or_take_ms)
    )
}

/// What the note is of, for the manifest.
pub const fn camera_of() -> &'static str {
    "display and input"
}

/// After filming.
pub fn film_next(sheet: &str, clicks: usize) -> String {
    format!(
        "{clicks} clicks were answered. Step through the film. For some clicks (3 or more, 10 are \
         better) note the first film frame in which the button is down, and the first in which the \
         patch has changed. Write them into the columns press_frame and answer_frame of this sheet:\n  \
         {sheet}\nthen: tautline rig --film {sheet} --camera-rate 240 (your camera's frames a second)"
    )
}

/// Too few clicks were answered.
pub const fn film_too_few() -> &'static str {
    "fewer than 3 clicks were answered: nothing was kept"
}

/// Too few.
pub const fn film_too_few_mend() -> &'static str {
    "start it again and click about twice a second while it runs"
}
