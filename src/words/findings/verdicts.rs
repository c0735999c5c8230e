//! The verdict of a comparison in a sentence, and what would settle an open one.

use super::{Did, Ms, capital, uncapital};

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
