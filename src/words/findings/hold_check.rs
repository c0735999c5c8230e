//! Whether the holds were held, in words.

use super::capital;
use super::doubts::{Doubt, doubt};

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

/// Heading of the check.
pub const HOLD_CHECK: &str = "Were the holds held?";

/// Nothing tells how firmly the holds were held.
pub const HOLD_UNKNOWN: &str = "Tension was not rated and there was no force axis, so nothing tells \
     whether the holds were held as the cards say.";

/// On what stands beside the check.
pub const HOLD_BESIDE: &str = "Small shakes, motion at rest and press length are only what this mouse \
     can show: few counts are no evidence of a steady or a firm hold. A shorter press may mean a \
     button that was already half down.";
