//! By which source presses are heard, and what its doubt means.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::words::rig as words;

/// A source's doubt from which it is called coarse, ms. Common practice, no source.
const COARSE_SD_MS: f64 = 1.0;

/// What the source means. `name`: as in files; `sd_ms`: the doubt it states; `better`: the best one
/// that was refused, and why.
pub fn finding(name: &str, sd_ms: f64, better: Option<(&str, &str)>) -> Finding {
    let topic = Topic::Source;
    let what = words::source(name, better);
    let matters = Matters::Spread { sd_ms };
    let mend = better.map(|_| words::source_mend().to_owned());
    let grade = match better {
        _ if sd_ms >= COARSE_SD_MS => Grade::Mend,
        Some(_) => Grade::Note,
        None => Grade::Good,
    };
    Finding { topic, grade, what, matters, mend }
}

/// Whether our own clock stamps what this source hears, at a wake-up of its thread.
pub fn stamps_itself(name: &str) -> bool {
    name != "evdev"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coarse_is_worth_mending_and_refused_is_worth_a_word() {
        assert_eq!(finding("evdev", 0.05, None).grade, Grade::Good);
        let told = finding("xinput", 0.3, Some(("evdev", "may not be read")));
        assert_eq!(told.grade, Grade::Note);
        assert!(told.mend.is_some() && told.what.contains("may not be read"));
        assert_eq!(finding("window", 4.8, Some(("xinput", "x"))).grade, Grade::Mend);
        assert!(stamps_itself("xinput") && !stamps_itself("evdev"));
    }
}
