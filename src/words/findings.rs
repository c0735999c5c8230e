//! The sentences of the findings: verdicts, doubts with their mends, cautions.
//!
//! Plain words; numbers come in worked out and are only rounded here. No sentence claims anything
//! about health, and none says more than its numbers do.

use std::fmt;

/// Milliseconds as a reader sees them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ms {
    value_ms: f64,
    decimals: usize,
}

impl Ms {
    /// Below this give or take, one decimal is shown.
    const FINE_MS: f64 = 5.0;

    /// Rounded to what its give or take allows: whole milliseconds, or tenths below 5 and where
    /// the value itself is below 1.
    pub fn rounded_with(value_ms: f64, give_or_take_ms: f64) -> Ms {
        let fine = give_or_take_ms < Ms::FINE_MS || value_ms.abs() < 0.95;
        Ms { value_ms, decimals: usize::from(fine) }
    }

    /// As written in the protocol: without needless decimals.
    pub fn plain(value_ms: f64) -> Ms {
        let whole = (value_ms - value_ms.round()).abs() < 1e-9;
        Ms { value_ms, decimals: usize::from(!whole) }
    }
}

impl fmt::Display for Ms {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.*}", self.decimals, self.value_ms)
    }
}

/// What was measured, as a verb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Did {
    /// The click.
    Clicked,
    /// The movement onset.
    BeganToMove,
    /// An answer of a kind that is not known: of a table measured elsewhere.
    Answered,
    /// Taps, one after the other.
    Tapped,
    /// Following a moving target.
    Followed,
    /// Keeping still.
    KeptStill,
}

impl Did {
    /// "clicked", "began to move", "answered", and so on.
    pub const fn verb(self) -> &'static str {
        match self {
            Did::Clicked => "clicked",
            Did::BeganToMove => "began to move",
            Did::Answered => "answered",
            Did::Tapped => "took",
            Did::Followed => "strayed",
            Did::KeptStill => "moved",
        }
    }

    /// The unit of its figures.
    pub const fn unit(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped => "ms",
            Did::Followed => "px",
            Did::KeptStill => "counts",
        }
    }

    /// Whether its figures are times.
    pub const fn is_of_time(self) -> bool {
        matches!(self, Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped)
    }

    /// What stands behind the figure and its unit: "sooner", "less from tap to tap".
    const fn less(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered => "sooner",
            Did::Tapped => "less from tap to tap",
            Did::Followed => "less from the target",
            Did::KeptStill => "less while keeping still",
        }
    }

    /// In one word: "sooner".
    pub const fn better(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered => "sooner",
            Did::Tapped => "quicker",
            Did::Followed => "closer",
            Did::KeptStill => "stiller",
        }
    }

    /// In one word, of a hold: "faster".
    const fn hold(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped => "faster",
            Did::Followed | Did::KeptStill => "better",
        }
    }
}

/// The parts of a verdict's sentence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Faster<'a> {
    /// The hold with the shorter time.
    pub faster: &'a str,
    /// The other one.
    pub slower: &'a str,
    /// What was measured.
    pub did: Did,
    /// The difference, not negative.
    pub by: Ms,
    /// Half the width of its interval.
    pub give: Ms,
    /// The least difference that matters.
    pub enough: Ms,
}

impl Faster<'_> {
    /// "Firm clicked 14 ms sooner than light, give or take 8"
    fn said(&self) -> String {
        let Faster { faster, slower, did, by, give, .. } = self;
        let faster = capital(faster);
        let (verb, unit, less) = (did.verb(), did.unit(), did.less());
        format!("{faster} {verb} {by} {unit} {less} than {slower}, give or take {give}")
    }
}

/// How well presses followed the targets that ask for one, of a hold.
pub fn detection(hold: &str, d_prime: f64, criterion: f64) -> String {
    let ready = if criterion < 0.0 { "readier to press" } else { "readier to keep still" };
    format!(
        "{}: d' {d_prime:.2} (0 would be chance), criterion {criterion:.2} ({ready}); log-linear \
         correction, Hautus (1995).",
        capital(hold)
    )
}

/// A hold's id as a name: `firm_claw` becomes "firm claw".
pub fn hold(id: &str) -> String {
    id.replace(['_', '-'], " ")
}

/// With a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Faster, and by enough.
pub fn by_enough(said: &Faster) -> String {
    let unit = said.did.unit();
    format!("{}: more than the {} {unit} that matter to you.", said.said(), said.enough)
}

/// Faster, and by too little.
pub fn too_little(said: &Faster) -> String {
    format!(
        "{}: a difference, but a smaller one than the {} {} that matter to you.",
        said.said(),
        said.enough,
        said.did.unit()
    )
}

/// Too close to matter.
pub fn no_difference_that_matters(said: &Faster) -> String {
    let Faster { faster, slower, by, give, enough, did } = said;
    let unit = did.unit();
    format!(
        "{} and {slower} are too close to matter: {by} {unit} apart, give or take {give}, where \
         only {enough} {unit} or more matter to you.",
        capital(faster)
    )
}

/// Faster; how much is open.
pub fn size_open(said: &Faster) -> String {
    format!(
        "{}: {}, but whether by the {} {} that matter to you is still open.",
        said.said(),
        said.did.better(),
        said.enough,
        said.did.unit()
    )
}

/// Open.
pub fn open(said: &Faster) -> String {
    let hold = said.did.hold();
    format!("Still open: {}, so either could be the {hold} hold.", uncapital(&said.said()))
}

/// The first letter small again, inside a sentence.
fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// No verdict: the order was fixed.
pub fn withheld_fixed_order(a: &str, b: &str) -> String {
    format!(
        "No verdict on {a} and {b}: the order of the blocks was fixed, so any difference may be \
         practice or tiredness."
    )
}

/// No verdict: too little is left.
pub fn withheld_not_estimable(a: &str, b: &str) -> String {
    format!(
        "No verdict on {a} and {b}: too few blocks are left to tell the holds apart from practice \
         and tiredness."
    )
}

/// Nothing at all.
pub const fn nothing_to_compare() -> &'static str {
    "There is nothing to compare yet."
}

/// The first sentence of several comparisons.
pub fn clearest_of(count: usize, sentence: &str) -> String {
    format!("The clearest of {count} comparisons: {}", uncapital(sentence))
}

/// What more cycles would probably show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    /// Which hold is faster.
    WhichIsFaster,
    /// Which hold is better, where no time is compared.
    WhichIsBetter,
    /// That the difference is enough to matter.
    ThatItMatters,
    /// That the difference is too small to matter.
    ThatItIsTooSmall,
}

impl Shows {
    const fn that(self) -> &'static str {
        match self {
            Shows::WhichIsFaster => "which hold is faster",
            Shows::WhichIsBetter => "which hold is better",
            Shows::ThatItMatters => "that the difference is enough to matter to you",
            Shows::ThatItIsTooSmall => "that the difference is too small to matter to you",
        }
    }
}

/// What would settle it: more cycles. `which`: the two holds, where there are several pairs.
pub fn more_cycles(which: Option<(&str, &str)>, more: usize, shows: Shows) -> String {
    let cycles = if more == 1 { "cycle" } else { "cycles" };
    let text = format!(
        "{}if the difference stays as it looks now, about {more} more {cycles} would probably \
         show {}. Plan them beforehand as sessions of their own; do not stop at the first moment \
         that looks good.",
        about(which),
        shows.that()
    );
    capital(&text)
}

/// What would settle it: nothing sensible. `tried`: so many more cycles would not do.
pub fn out_of_reach(which: Option<(&str, &str)>, tried: usize) -> String {
    let text = format!(
        "{}if the difference stays as it looks now, even {tried} more cycles would hardly settle \
         it. Choose by comfort, or ask again with another least gain.",
        about(which)
    );
    capital(&text)
}

fn about(which: Option<(&str, &str)>) -> String {
    which.map_or_else(String::new, |(a, b)| format!("{a} against {b}: "))
}

/// A doubt and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What may spoil the finding, with its numbers.
    pub what: String,
    /// What to do about it next time.
    pub mend: String,
}

pub(super) fn doubt(what: String, mend: &str) -> Doubt {
    Doubt { what, mend: mend.to_owned() }
}

/// A share as a per cent figure, whole.
pub fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent > 0.0 && percent < 0.5 {
        "under 1 %".to_owned()
    } else if percent > 99.5 && percent < 100.0 {
        "over 99 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
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

/// Two holds that were not held apart.
#[derive(Debug, Clone, Copy)]
pub struct NotHeld<'a> {
    /// The hold declared firmer.
    pub firmer: &'a str,
    /// The other.
    pub lighter: &'a str,
    /// Whether a force axis tells; else the rating.
    pub by_force: bool,
    /// Firmer minus lighter: share of a comfortable strong grip, or of 10.
    pub difference: f64,
    /// Places of the blocks that were not the firmer.
    pub blocks: &'a [String],
}

/// Two holds were not held apart.
pub fn not_held_apart(found: &NotHeld) -> Doubt {
    let by = firmer_by(found.by_force, found.difference);
    let blocks = match found.blocks {
        [] => String::new(),
        [one] => format!("; in block {one} it was not the firmer"),
        many => format!("; in blocks {} it was not the firmer", many.join(", ")),
    };
    doubt(
        format!(
            "{} and {} were hardly held apart: {} was {by}{blocks}.",
            capital(found.firmer),
            found.lighter,
            found.firmer
        ),
        "Read the card's words before each block, practise both holds, then compare again: without \
         two holds there is nothing to compare.",
    )
}

/// How much firmer, in words.
fn firmer_by(by_force: bool, difference: f64) -> String {
    if by_force {
        format!("firmer by {:.0} % of a comfortable strong grip", difference * 100.0)
    } else {
        format!("rated {difference:.1} of 10 firmer")
    }
}

/// Heading of the check.
pub const HOLD_CHECK: &str = "Were the holds held?";

/// One pair of the check that passed, or that has too few cycles.
pub fn hold_check(firmer: &str, lighter: &str, by_force: bool, found: &HoldRange) -> String {
    let by = firmer_by(by_force, found.difference);
    let range = match found.range {
        Some((low, high)) if by_force => {
            format!(" (between {:.0} and {:.0})", low * 100.0, high * 100.0)
        }
        Some((low, high)) => format!(" (between {low:.1} and {high:.1})"),
        None => " in the one cycle that has both: too few to tell".to_owned(),
    };
    let told = match found.held {
        Some(true) => "told apart",
        Some(false) => "hardly told apart",
        None => "not judged",
    };
    format!("{} against {lighter}: {told}; {by}{range}.", capital(firmer))
}

/// How far two holds were apart.
#[derive(Debug, Clone, Copy)]
pub struct HoldRange {
    /// Firmer minus lighter.
    pub difference: f64,
    /// Its interval.
    pub range: Option<(f64, f64)>,
    /// The judgement.
    pub held: Option<bool>,
}

/// Nothing tells how firmly the holds were held.
pub const HOLD_UNKNOWN: &str = "Tension was not rated and there was no force axis, so nothing tells \
     whether the holds were held as the cards say.";

/// On what stands beside the check.
pub const HOLD_BESIDE: &str = "Small shakes, motion at rest and press length are only what this mouse \
     can show: few counts are no evidence of a steady or a firm hold. A shorter press may mean a \
     button that was already half down.";

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

/// A confidence as a per cent figure, with the decimals it was written with.
pub fn confidence(share: f64) -> String {
    let percent = (share * 1000.0).round() / 10.0;
    format!("{percent} %")
}

/// A confidence that may be very near to 1, as a per cent figure.
pub fn fine_confidence(share: f64) -> String {
    if share < 0.999 {
        return confidence(share);
    }
    let percent = (share * 1e6).floor() / 1e4;
    format!("{percent} %")
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

/// How to get the numbers again.
pub const fn again() -> &'static str {
    "Everything here follows from trials.csv and schedule.csv by the rules above: take the last \
     attempts, drop what stays out, one statistic a block, then ordinary least squares."
}
