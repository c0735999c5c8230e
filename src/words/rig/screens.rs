//! The sentences of the rig check's screens.

/// Title of the check; stands at the head of its screens.
pub const TITLE: &str = "Rig check";

/// Title of the first screen.
pub const START_TITLE: &str = "Is this rig fit for timing?";
/// The first screen.
pub const START: [&str; 3] = [
    "A few short steps: some questions, the lying eight, the ruler, some clicks, and a few seconds in \
     which only the display is measured. Each can be skipped.",
    "Nothing here is a test of you. What is found is written into a file of its own, without your \
     name or the computer's.",
    "While the display is measured a very small square in the middle changes by one shade of grey. \
     If flashing or flickering pictures ever troubled you, ask a licensed clinician first.",
];

/// Keys of a step.
pub const KEYS_STEP: &str = "Esc passes this step over";
/// Keys of a step that can end the check.
pub const KEYS_END: &str = "F10 ends the check";

/// Title of the questions.
pub const ASK_TITLE: &str = "What no program can see";
/// Before the questions.
pub const ASK_TEXT: &str = "\"Don't know\" is an answer too.";
/// The three answers.
pub const ANSWERS: [&str; 3] = ["No", "Yes", "Don't know"];

/// Title of the eight.
pub const EIGHT_TITLE: &str = "Trace a lying eight";
/// The eight.
pub const EIGHT_TEXT: &str = "Follow the line with the mouse, briskly, round and round. The pointer \
                              need not stay on it: what counts is that the hand keeps moving. Rest \
                              for a second half way through, then go on.";
/// Title of the ruler.
pub const SLIDE_TITLE: &str = "Slide along a ruler";
/// The ruler.
pub const SLIDE_TEXT: &str = "Lay a ruler beside the mouse. Choose the length, then slide the mouse \
                              from mark to mark in a straight line, back and forth, with a pause of \
                              a second at each end.";
/// The length.
pub const SLIDE_LENGTH: &str = "Length of one slide";
/// A length.
pub fn length_cm(cm: f64) -> String {
    format!("{cm:.0} cm")
}
/// Title of the clicks.
pub const CLICK_TITLE: &str = "Click a few times";
/// The clicks.
pub const CLICK_TEXT: &str = "Click with the button that you use in sessions, as you would there: \
                              not faster, not harder.";
/// Where to click.
pub const CLICK_HERE: &str = "click here";

/// So far, of the eight.
pub fn eight_so_far(moving_s: f64, wanted_s: f64, rate_hz: Option<f64>) -> String {
    let rate = rate_hz.map_or_else(String::new, |hz| format!("   ·   {hz:.0} reports a second"));
    format!("{:.0} of {wanted_s:.0} seconds in motion{rate}", moving_s.min(wanted_s))
}
/// So far, of the ruler.
pub fn slides_so_far(slides: usize, wanted: usize, counts_per_cm: Option<f64>) -> String {
    let figure = counts_per_cm
        .map_or_else(String::new, |n| format!("   ·   {n:.0} counts for a centimetre"));
    format!("{} of {wanted} slides{figure}", slides.min(wanted))
}
/// So far, of the clicks.
pub fn clicks_so_far(clicks: usize, wanted: usize) -> String {
    format!("{} of {wanted} clicks", clicks.min(wanted))
}
/// Enough was seen.
pub const ENOUGH: &str = "Enough was seen: Enter goes on.";

/// Title of the last screen.
pub const END_TITLE: &str = "How the rig stands";
/// Heading of what is worth mending.
pub const END_MEND: &str = "Worth mending";
/// Heading of the notes.
pub const END_NOTE: &str = "Worth knowing";
/// Heading of what is as it should be.
pub const END_GOOD: &str = "As it should be";
/// Heading of what was not told.
pub const END_NOT_TOLD: &str = "Not told";
/// Heading of the file.
pub const END_FILE: &str = "Saved as";

/// Title of the camera's screen.
pub const CAMERA_TITLE: &str = "Film the mouse and the screen";
/// The camera's screen.
pub const CAMERA: [&str; 4] = [
    "Put a phone or camera where it sees the mouse button and this screen in one picture. Set it to \
     120 frames a second or more (\"slow motion\"), and start it.",
    "Then go on. A strip of squares counts the pictures of the screen, and a patch below it changes \
     each time you click. Click about twice a second, ten times or more. It ends by itself after 20 \
     seconds; Esc ends it sooner.",
    "The strip is small and faint on purpose, but it flickers. If flashing or flickering pictures ever \
     troubled you, do not start: ask a licensed clinician first.",
    "Clicks closer together than 0.4 seconds are not answered.",
];
/// The button that starts it.
pub const CAMERA_START: &str = "Start the 20 seconds";
