//! What speed costs, in plain words: inside a verdict and in full.

use super::findings::{capital, percent};

/// A cost of the faster hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cost {
    /// Wrong answers and misses.
    Errors,
    /// Presses before the target or too soon after it.
    Early,
    /// Less throughput in pointing.
    Throughput,
    /// More small shakes.
    SmallShakes,
    /// More discomfort.
    Discomfort,
}

impl Cost {
    const fn short(self) -> &'static str {
        match self {
            Cost::Errors => "more errors",
            Cost::Early => "more early presses",
            Cost::Throughput => "less throughput",
            Cost::SmallShakes => "less steadiness",
            Cost::Discomfort => "more discomfort",
        }
    }
}

/// Behind a verdict, before its full stop. `sure`: those whose interval leaves 0 out; `perhaps`:
/// the others.
pub fn with_costs(sentence: &str, sure: &[Cost], perhaps: &[Cost]) -> String {
    let list = |costs: &[Cost]| and(&costs.iter().map(|cost| cost.short()).collect::<Vec<_>>());
    let clause = match (sure.is_empty(), perhaps.is_empty()) {
        (true, true) => return sentence.to_owned(),
        (false, true) => list(sure),
        (true, false) => format!("perhaps {}", list(perhaps)),
        (false, false) => format!("{}, and perhaps {}", list(sure), list(perhaps)),
    };
    format!("{}, with {clause}.", sentence.trim_end_matches('.'))
}

/// "a", "a and b", "a, b and c".
pub(super) fn and(parts: &[&str]) -> String {
    match parts {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A cost with its numbers. `sure`: whether its interval leaves 0 out.
pub fn in_full(faster: &str, slower: &str, cost: Cost, values: [f64; 2], sure: bool) -> String {
    let [of_faster, of_slower] = values;
    let what = match cost {
        Cost::Errors => format!(
            "{} of the answers were wrong or missing under {faster}, {} under {slower}",
            percent(of_faster),
            percent(of_slower)
        ),
        Cost::Early => format!(
            "{} of the presses came early under {faster}, {} under {slower}",
            percent(of_faster),
            percent(of_slower)
        ),
        Cost::Throughput => {
            format!("{of_faster:.2} bits a second under {faster}, {of_slower:.2} under {slower}")
        }
        Cost::SmallShakes => format!(
            "small shakes of {of_faster:.2} counts under {faster}, {of_slower:.2} under {slower}"
        ),
        Cost::Discomfort => {
            format!("discomfort {of_faster:.1} of 10 under {faster}, {of_slower:.1} under {slower}")
        }
    };
    let how = if sure { "" } else { " (the blocks are too few to be sure of it)" };
    format!("{}: {what}{how}.", capital(cost.short()))
}

/// Where no cost of the faster hold was found.
pub fn nothing(faster: &str, slower: &str, measured: &[&str]) -> String {
    format!(
        "No cost of {faster} beside {slower} was found in what was measured: {}.",
        and(measured)
    )
}

/// Where no hold is the faster one.
pub const NO_FASTER: &str = "No hold is known to be the faster one, so there is no gain that \
    could have a price. What was measured beside the times:";

/// Under the plot.
pub const CAPTION: &str = "Left is quicker, low is better (for throughput high is better). Lines are the \
    intervals of shares.";
