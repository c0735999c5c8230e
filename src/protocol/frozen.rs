//! The hash that freezes design, task and analysis rules before the first block.
//!
//! SHA-256 of the canonical form: the protocol as JSON in the order of its types' fields, without
//! title, question and words to follow, together with the version of the analysis.

use super::Protocol;
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
