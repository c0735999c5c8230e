//! Sentences on findings under other rules than those frozen before the session.

/// On the report, above everything.
pub const BANNER: &str = "Explored: worked out afterwards under other rules than those that were \
    frozen before the first block. It may show where to look next; it is not the session's finding.";

/// Above the rules, in place of "declared before the first block".
pub const RULES: &str = "Rules, chosen after the session";

/// A finding with its mark.
pub fn sentence(sentence: &str) -> String {
    format!("Explored under other rules than the frozen ones: {sentence}")
}

/// A rule that is another one.
pub fn change(key: &str, frozen: &str, used: &str) -> String {
    format!("{key}: frozen as {frozen}, here {used}")
}
