//! The sentences about tables that were measured elsewhere: what is doubtful, and what cannot be
//! known.
//!
//! Plain words; numbers come in worked out and are only rounded here.

use super::findings::{Doubt, doubt};

/// No verdict: each hold was one lump.
pub fn withheld_one_lump(a: &str, b: &str) -> String {
    format!(
        "No verdict on {a} and {b}: each hold was one lump of trials, so any difference may be \
         practice or tiredness."
    )
}

/// Each hold was one lump.
pub fn one_lump() -> Doubt {
    doubt(
        "Each hold was one lump of trials: its difference may be practice or tiredness, and a lump \
         counts as one value however many trials it has."
            .to_owned(),
        "Measure again with the holds in turn, several blocks of each. If they did come in turn, \
         name the column that tells the blocks: --column cycle=NAME or --column block=NAME.",
    )
}

/// The order of the blocks is not known.
pub fn order_unknown() -> Doubt {
    doubt(
        "Nothing says in which order the blocks came: if one hold always came first, the difference \
         may be practice or tiredness, and no steady change could be taken out."
            .to_owned(),
        "Name the column with each block's place in the session: --column order=NAME.",
    )
}

/// Times in whole frames.
pub fn counted_in_frames(sd_ms: f64, per_second: f64) -> Doubt {
    doubt(
        format!(
            "A single time is known only to about {sd_ms:.1} ms (standard deviation), because it \
             was seen in frames of {:.1} ms.",
            1000.0 / per_second
        ),
        "Count at more frames a second. It widens the result and favours no hold, as long as all \
         were counted in the same way.",
    )
}

/// Clocks.
pub const NO_CLOCKS: &str = "By which clocks the times were taken, and how far those can be off. \
    What is the same under every hold cancels in a difference; what is not stays in it.";
/// The draw.
pub const NO_DRAW: &str = "How the order was drawn: so there is no p by re-randomisation.";
/// The order.
pub const NO_ORDER: &str = "In which order the blocks came: so no steady change is taken out.";
/// Minutes.
pub const NO_MINUTES: &str = "At which minute a trial came: so there is no change in 10 minutes.";
/// Misses, where the table tells right answers.
pub const NO_MISSES: &str = "Which trials had no answer in time: a row without a time stays out and \
    is counted as one without a measure.";
/// Answers.
pub const NO_ANSWERS: &str = "Which answers were wrong, early or missing: every row counts as a \
    right answer, and one without a time stays out as one without a measure.";
/// The response limit.
pub const NO_LIMIT: &str = "How long an answer could take: where the response limit is needed, the \
    longest time of the table stands for it.";
/// Declared rules.
pub const NOT_DECLARED: &str = "Whether the rules were fixed before the data were seen: these are \
    the usual ones here, with what the command line says.";

/// Where there is no doubt to tell.
pub const NO_DOUBT: &str = "Nothing in the numbers speaks against it. What cannot be known of the \
    table stands further below.";

/// Why no p by re-randomisation exists.
pub const NO_RANDOMISATION: &str = "A dash beside re-randomisation: no such test is possible, since \
    how the order was drawn is not known.";

/// Under the plot of blocks.
pub const COURSE_CAPTION: &str = "Each mark is one block's value (see the rules below), in the order \
    of the table's places. Hollow marks take no part.";

/// Under the plot of answers.
pub const SPREAD_CAPTION: &str = "Each dot is one answer that counts. The upright line is the hold's \
    typical time over all answers: the middle 60 %.";

/// Under the plot of blocks, where their order is not known.
pub const COURSE_WITHOUT_ORDER: &str = "Each mark is one block's value (see the rules below). They stand as the table's rows do: their order in time is not known. \
    Hollow marks take no part.";

/// Under the table of what was read.
pub const FRAMES_NOTE: &str = "Seeing whole frames only adds the error above to each single time \
    (frame/\u{221a}12 for a time, frame/\u{221a}6 for the difference of two frame counts). It \
    scatters the blocks, so the intervals hold it already.";

/// How to get the numbers again.
pub fn again(file: &str) -> String {
    format!(
        "Everything here follows from {file} by the rules above: drop what stays out, one statistic \
         a block, then ordinary least squares."
    )
}
