//! Sentences on planned looks.

/// Which looks were planned, and where the session ended.
pub fn rule(looks: &[usize], cycles: usize, after: usize) -> String {
    let list: Vec<String> = looks.iter().map(usize::to_string).collect();
    format!(
        "Looks: planned after cycle {} of {cycles}; the answer here is that after cycle {after}. The \
         level is spent over the looks in the manner of O'Brien and Fleming (Lan & DeMets 1983), by \
         the share of the cycles run; each stretch between looks was drawn by itself. There is no \
         p by re-randomisation before the last cycle.",
        list.join(" and ")
    )
}

/// The level of that look.
pub fn level(confidence: &str, equivalence: &str) -> String {
    format!(
        "At this look the simultaneous intervals hold at {confidence} and the interval for \
         equivalence at {equivalence}, so that all looks together keep what was declared."
    )
}
