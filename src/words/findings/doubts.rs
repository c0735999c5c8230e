//! What may spoil a finding, each with what to do about it next time.

use super::{Did, capital, fine_confidence, percent};

/// A doubt and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What may spoil the finding, with its numbers.
    pub what: String,
    /// What to do about it next time.
    pub mend: String,
}

pub(in crate::words) fn doubt(what: String, mend: &str) -> Doubt {
    Doubt { what, mend: mend.to_owned() }
}

/// Two holds whose shares differ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart<'a> {
    /// Where it is most frequent.
    pub most: &'a str,
    /// 0 to 1.
    pub most_share: f64,
    /// Where it is least frequent.
    pub least: &'a str,
    /// 0 to 1.
    pub least_share: f64,
}

/// The order was fixed by hand.
pub fn fixed_order() -> Doubt {
    doubt(
        "The blocks came in one fixed order, so practice and tiredness cannot be told from the \
         holds."
            .to_owned(),
        "Choose a drawn order in the protocol: shuffled, or williams with three holds or more.",
    )
}

/// Not the rules that were frozen.
pub fn other_rules(session: &str) -> Doubt {
    doubt(
        format!(
            "The rules used here are not those that were frozen before the first block of {session}."
        ),
        "Work it out with the program version that recorded it, or read this as a second look.",
    )
}

/// The session is not whole.
pub fn partial(session: &str, done: usize, planned: usize, how: &str) -> Doubt {
    doubt(
        format!("The session {session} has {done} of its {planned} blocks: {how}."),
        "Run the protocol again on another day, and look at both sessions together.",
    )
}

/// The session ended at a planned look.
pub fn ended_at_look(cycle: usize, of: usize, confidence: f64) -> Doubt {
    doubt(
        format!(
            "The session ended at a planned look, after cycle {cycle} of {of}, because all was \
             settled: a difference that ends a session early tends to show itself somewhat too \
             large. Its give or take is made at {}, so that all looks together err no more often \
             than one.",
            fine_confidence(confidence)
        ),
        "For the size alone, run the protocol again on another day and read that session by itself.",
    )
}

/// The session ended because the hand hurt.
pub fn ended_for_discomfort(session: &str, done: usize, planned: usize) -> Doubt {
    doubt(
        format!(
            "The session {session} has {done} of its {planned} blocks: it was closed after two \
             stops for discomfort."
        ),
        "Rest, and leave the hold that hurt alone. With pain, numbness or tingling see a licensed \
         clinician.",
    )
}

/// The two tests disagree.
pub fn randomisation_disagrees(a: &str, b: &str, p: f64, p_t: f64) -> Doubt {
    doubt(
        format!(
            "For {a} against {b}, re-drawing the order of the blocks gives p = {p:.3}, the model \
             p = {p_t:.3}: they do not agree on whether there is a difference."
        ),
        "Take the verdict with care, and run the protocol again before you change anything.",
    )
}

/// Blocks that take no part.
pub fn blocks_left_out(too_few: &[String], missed: &[String]) -> Doubt {
    let mut parts = Vec::new();
    if !too_few.is_empty() {
        parts.push(format!(
            "{} left out because fewer than half of the planned trials count: {}",
            blocks_are(too_few.len()),
            too_few.join(", ")
        ));
    }
    if !missed.is_empty() {
        parts.push(format!(
            "{} left out because too many presses never came: {}",
            blocks_are(missed.len()),
            missed.join(", ")
        ));
    }
    doubt(
        capital(&parts.join("; ")) + ".",
        "Look at what happened in them before you run it again.",
    )
}

fn blocks_are(count: usize) -> String {
    if count == 1 { "one block is".to_owned() } else { format!("{count} blocks are") }
}

/// One hold loses more trials.
pub fn left_out_differ(apart: &Apart) -> Doubt {
    let Apart { most, least, .. } = apart;
    doubt(
        format!(
            "{} of the trials do not count under {most}, {} under {least}: what is left may not be \
             alike.",
            percent(apart.most_share),
            percent(apart.least_share)
        ),
        "Look at the result with everything in, further below; run again with fewer early or wrong \
         presses.",
    )
}

/// One hold presses early.
pub fn early_differ(apart: &Apart) -> Doubt {
    let Apart { most, least, .. } = apart;
    doubt(
        format!(
            "In {} of the trials the press came early under {most}, in {} under {least}: a hold that presses early \
             looks quicker than it is.",
            percent(apart.most_share),
            percent(apart.least_share)
        ),
        "Rest the finger and do not half-press; wait for the target every time.",
    )
}

/// One hold errs more.
pub fn errors_differ(apart: &Apart) -> Doubt {
    let Apart { most, least, .. } = apart;
    doubt(
        format!(
            "{} of the answers were wrong or missing under {most}, {} under {least}: speed may have \
             been bought with errors.",
            percent(apart.most_share),
            percent(apart.least_share)
        ),
        "Aim for the same few errors under every hold, then compare again.",
    )
}

/// Many errors.
pub fn many_errors(share: f64) -> Doubt {
    doubt(
        format!("{} of all answers were wrong or missing.", percent(share)),
        "Slow down a little until errors are rare; a time means little without the answer.",
    )
}

/// A hold hurt.
pub fn discomfort(hold: &str, highest: u8, limit: u8) -> Doubt {
    doubt(
        format!(
            "Discomfort under {hold} was rated up to {highest} of 10 (a block ends at {limit}): the \
             hand may have held back."
        ),
        "Rest. With pain, numbness or tingling stop, and see a licensed clinician.",
    )
}

/// A hold changed within the session.
pub fn slope(did: Did, hold: &str, per_10min: f64, low: f64, high: f64) -> Doubt {
    let way = match (did.is_of_time(), per_10min > 0.0) {
        (true, true) => "slower",
        (true, false) => "quicker",
        (false, true) => "worse",
        (false, false) => "better",
    };
    // Whole milliseconds; tenths of anything else.
    let decimals = usize::from(!did.is_of_time());
    doubt(
        format!(
            "{} became {way} by {:.decimals$} {} in 10 minutes (between {:.decimals$} and \
             {:.decimals$}).",
            capital(hold),
            per_10min.abs(),
            did.unit(),
            low.abs().min(high.abs()),
            low.abs().max(high.abs())
        ),
        "The comparison allows for a steady change; longer rests or more practice beforehand make it \
         smaller.",
    )
}

/// Vsync.
pub fn vsync(judged: &str) -> Doubt {
    let what = match judged {
        "unlocked" => "Frames were not held to the display's refresh (vsync: unlocked).".to_owned(),
        "unsteady" => {
            "Frames kept to the display's refresh only some of the time (vsync: unsteady)."
                .to_owned()
        }
        "variable" => "The display's refresh varied with the frames (vsync: variable).".to_owned(),
        "not_judged" => {
            "Nothing could tell whether frames kept to the display's refresh (vsync: not judged)."
                .to_owned()
        }
        other => format!(
            "Frames may not have kept to the display's refresh (vsync: {}).",
            other.replace('_', " ")
        ),
    };
    doubt(what, "Switch vsync on for this program in the graphics driver, and a variable rate off.")
}

/// The rig changed between sessions.
pub fn rig_changed(session: &str, changes: &[String]) -> Doubt {
    doubt(
        format!("The rig changed before the session {session}: {}.", changes.join("; ")),
        "Each hold was measured on both rigs, so a difference between holds stands; times from before \
         and after cannot be compared. Keep one rig for a series of sessions.",
    )
}

/// Late frames.
pub fn late_frames(count: usize, of: usize) -> Doubt {
    let count_of = if count == 1 {
        format!("1 trial of {of} counts")
    } else {
        format!("{count} trials of {of} count")
    };
    doubt(
        format!("{count_of} although the target's first frame came late."),
        "Close other programs, and run the rig check before the next session.",
    )
}

/// A coarse clock.
pub fn coarse_clock(sd_ms: f64, source: &str) -> Doubt {
    doubt(
        format!(
            "A single time is known only to about {sd_ms:.1} ms (standard deviation; the onset is \
             told by {}).",
            source.replace('_', " ")
        ),
        "See the rig's notes for how to get a better clock; it widens the result and favours no hold.",
    )
}

/// A strong expectation.
pub fn expectation(hold: &str, sure: u8) -> Doubt {
    doubt(
        format!(
            "You expected {hold} to be faster, and were {sure} of 10 sure: attention follows \
             expectation."
        ),
        "Let someone who expects the opposite run it too.",
    )
}

/// Misses in a mean.
pub fn misses_averaged(count: usize, limit_ms: f64) -> Doubt {
    let presses =
        if count == 1 { "press that never came counts" } else { "presses that never came count" };
    doubt(
        format!("{count} {presses} as {limit_ms:.0} ms in the means."),
        "Choose the trimmed mean in the protocol: it needs no such figure.",
    )
}

/// Exclusions decide.
pub fn exclusions_decide(did: Did, a: &str, b: &str, difference: f64) -> Doubt {
    let (faster, slower) = if difference < 0.0 { (a, b) } else { (b, a) };
    doubt(
        format!(
            "With every timed press in, the answer on {a} and {b} would be another one ({faster} \
             {:.1} {} {} than {slower}).",
            difference.abs(),
            did.unit(),
            did.better()
        ),
        "Run again with fewer early or wrong presses, so that nothing hangs on what is left out.",
    )
}
