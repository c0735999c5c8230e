//! What stands beside tables and plots of the report: captions, cautions, notes.

use super::capital;

/// How well presses followed the targets that ask for one, of a hold.
pub fn detection(hold: &str, d_prime: f64, criterion: f64) -> String {
    let ready = if criterion < 0.0 { "readier to press" } else { "readier to keep still" };
    format!(
        "{}: d' {d_prime:.2} (0 would be chance), criterion {criterion:.2} ({ready}); log-linear \
         correction, Hautus (1995).",
        capital(hold)
    )
}

/// Under the sentences: what "give or take" means.
pub fn how_sure(confidence: &str, sessions: usize) -> String {
    let scope = if sessions == 1 {
        "It speaks of this session."
    } else {
        "It speaks of these sessions taken together."
    };
    format!(
        "Give or take: made so that, over many experiments like this one, {confidence} of them hold \
         every true difference inside. {scope}"
    )
}

/// How to get the numbers again.
pub const fn again() -> &'static str {
    "Everything here follows from trials.csv and schedule.csv by the rules above: take the last \
     attempts, drop what stays out, one statistic a block, then ordinary least squares."
}

/// The cautions on every report.
pub const CAUTIONS: [&str; 4] = [
    "This is not a medical device, and nothing here is a statement about health. Small shakes are \
     no health sign, and slow presses say nothing about fitness to drive or to work.",
    "The result holds for this player, this rig and these sessions. It says nothing about another \
     hand or another day until it is tried there.",
    "Firm means about 3 to 4 of 10, never the strongest. Letting go between presses is always \
     allowed.",
    "Pain, numbness or tingling: stop, and see a licensed clinician. Local health-and-safety rules \
     come first.",
];

/// The mark on everything simulated.
pub const SIMULATED: &str = "Simulated: a program invented these presses; no person made them.";

/// Why the display's own lag does not matter here.
pub const LAG_NOTE: &str = "The display's own lag (panel and processing) cannot be seen by a \
    program and is in every time alike. It cancels in a difference between holds on one rig, so the \
    comparison does not need it; the times themselves do.";

/// Under the plot of differences.
pub const DIFFERENCES_CAPTION: &str = "The ring is the difference, the line its give or take. Left \
    of zero the first hold is sooner, right of it the second. Inside the shaded band a difference \
    is too small to matter to you.";

/// Under the plot of blocks.
pub const COURSE_CAPTION: &str = "Each mark is one block's typical time (middle 60 % of presses, \
    unless the protocol says otherwise), in order of time; the line is the hold's steady change. \
    Hollow marks take no part.";

/// Under the plot of presses.
pub const SPREAD_CAPTION: &str = "Each dot is one press that counts. The upright line is the hold's \
    typical time over all presses: the middle 60 %.";

/// Where there is no doubt to tell.
pub const NO_DOUBT: &str = "Nothing in the numbers speaks against it: errors and early presses are \
    alike under all holds, and nothing on the rig stood out.";

/// What "both ends" means.
pub const BOTH_ENDS: &str = "Without exclusions: every last attempt that has a time enters. At both \
    ends: what stays out is put at 0 ms under one hold and at the response limit under the other, \
    and the other way round; no way of filling the gaps can move the difference further.";

/// Where no p by re-randomisation exists.
pub const NO_RANDOMISATION: &str = "A dash beside re-randomisation: no such test is possible with \
    this design or these blocks.";

/// Under the table of holds.
pub const HOLDS_NOTE: &str = "In the mean a miss counts as the response limit; median and trimmed \
    mean rank it above every hit; sd and MAD (unscaled) leave misses out. Errors: wrong answers and \
    misses among the last attempts. Slope: least squares of block statistics on the minute of each \
    block's middle, with its t interval.";
