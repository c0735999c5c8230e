//! The hash that freezes design, task and analysis rules before the first block.
//!
//! SHA-256 of the canonical form: the protocol as JSON in the order of its types' fields, without
//! title, question and words to follow, together with the version of the analysis.

use super::{OnsetRule, Protocol};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// What is hashed.
#[derive(Serialize)]
struct Rules<'a> {
    analysis_version: u32,
    holds: Vec<(&'a str, super::Grip, super::Tension)>,
    design: &'a super::Design,
    task: &'a crate::tasks::TaskKind,
    respond_within_ms: f64,
    stimulus: &'a crate::tasks::Look,
    foreperiod: &'a super::Foreperiod,
    motion: &'a super::MotionRule,
    analysis: &'a super::AnalysisRule,
}

/// The hash of the rules under `analysis_version`, 64 hexadecimal digits.
pub fn rules_hash(protocol: &Protocol, analysis_version: u32) -> String {
    let rules = Rules {
        analysis_version,
        holds: protocol.conditions.iter().map(|c| (c.id.as_str(), c.grip, c.tension)).collect(),
        design: &protocol.design,
        task: &protocol.task,
        respond_within_ms: protocol.respond_within_ms,
        stimulus: &protocol.stimulus,
        foreperiod: &protocol.foreperiod,
        motion: &protocol.motion,
        analysis: &protocol.analysis,
    };
    let text = serde_json::to_vec(&rules).expect("plain values become JSON");
    Sha256::digest(&text).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The rules that a session was recorded under, where its protocol leaves something to a default
/// that has changed since.
///
/// Until the fitted onset was there, its default was 5 % of peak speed; until limits went by task,
/// that of a lapse was 500 ms. Where the frozen hash is that of the protocol with older defaults, so
/// are its rules; else the protocol stays as read.
pub fn as_frozen(protocol: Protocol, frozen: &str, analysis_version: u32) -> Protocol {
    const OLDER_LAPSE_MS: f64 = 500.0;
    let is_frozen = |candidate: &Protocol| rules_hash(candidate, analysis_version) == frozen;
    if is_frozen(&protocol) {
        return protocol;
    }
    let lapses = [protocol.analysis.lapse_ms, OLDER_LAPSE_MS];
    let onsets = match protocol.motion.onset {
        OnsetRule::Fit => [OnsetRule::Fit, OnsetRule::FivePercent],
        named @ (OnsetRule::First | OnsetRule::FivePercent) => [named; 2],
    };
    for lapse_ms in lapses {
        for onset in onsets {
            let mut older = protocol.clone();
            older.motion.onset = onset;
            older.analysis.lapse_ms = lapse_ms;
            if is_frozen(&older) {
                return older;
            }
        }
    }
    protocol
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_default_that_has_changed_does_not_reach_back() {
        let text = crate::protocol::shipped::find("two-holds").expect("it is shipped").text;
        let now = crate::protocol::read(text, "two-holds").expect("it is sound");
        assert_eq!(now.motion.onset, OnsetRule::Fit, "it says nothing of movement onset");
        let mut then = now.clone();
        then.motion.onset = OnsetRule::FivePercent;
        assert_eq!(as_frozen(now.clone(), &rules_hash(&then, 1), 1), then);
        assert_eq!(as_frozen(now.clone(), &rules_hash(&now, 1), 1), now);
        assert_eq!(as_frozen(now.clone(), "00ff", 1), now);
        // A protocol that names another onset keeps it.
        let mut first = now.clone();
        first.motion.onset = OnsetRule::First;
        assert_eq!(as_frozen(first.clone(), &rules_hash(&then, 1), 1), first);
        // Both defaults at once.
        let text = crate::protocol::shipped::find("emergence-by-hold").expect("it is shipped").text;
        let now = crate::protocol::read(text, "emergence-by-hold").expect("it is sound");
        let mut then = now.clone();
        (then.motion.onset, then.analysis.lapse_ms) = (OnsetRule::FivePercent, 500.0);
        assert_ne!(now, then);
        assert_eq!(as_frozen(now, &rules_hash(&then, 1), 1), then);
    }
}
