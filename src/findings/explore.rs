//! Findings under other rules than those that were frozen before the first block.
//!
//! What was run stays: holds, order, cycles, trials, task and waits. Only how it is worked out may
//! be another, and then everything that comes out is marked. Whether rules are the frozen ones, the
//! hash of the session says, not whoever asks.

use super::ANALYSIS_VERSION;
use super::input::{Origin, SessionData};
use crate::protocol::{Protocol, rules_hash};
use crate::words::{Tell, Told};
use serde_json::Value;

/// A rule that is not the frozen one.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Change {
    /// The key, as in a protocol file.
    pub key: String,
    /// What was frozen.
    pub frozen: String,
    /// What is used here.
    pub used: String,
}

/// Why rules cannot be tried on a session.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ExploreError {
    /// The file changes what was run.
    #[error("the file changes `{part}`, and the session was run already")]
    ChangesWhatWasRun {
        /// Which part.
        part: &'static str,
    },
}

impl Tell for ExploreError {
    fn tell(&self) -> Told {
        Told {
            what: self.to_string(),
            place: Some("--rules".to_owned()),
            mend: "copy the session's own protocol.toml and change only [analysis] and [motion]"
                .to_owned(),
        }
    }
}

/// `frozen` with the analysis of `wanted`, and what that changes.
///
/// # Errors
/// [`ExploreError`]: `wanted` changes what was run.
pub fn under(
    frozen: &Protocol,
    wanted: &Protocol,
) -> Result<(Protocol, Vec<Change>), ExploreError> {
    let holds = |protocol: &Protocol| -> Vec<_> {
        protocol.conditions.iter().map(|c| (c.id.clone(), c.grip, c.tension)).collect()
    };
    let bits = |protocol: &Protocol| protocol.respond_within_ms.to_bits();
    let mut design = wanted.design.clone();
    design.reference.clone_from(&frozen.design.reference);
    let same = [
        ("condition", holds(frozen) == holds(wanted)),
        ("design", design == frozen.design),
        ("task", frozen.task == wanted.task),
        ("task.respond_within_ms", bits(frozen) == bits(wanted)),
        ("stimulus", frozen.stimulus == wanted.stimulus),
        ("foreperiod", frozen.foreperiod == wanted.foreperiod),
    ];
    if let Some((part, _)) = same.into_iter().find(|(_, same)| !same) {
        return Err(ExploreError::ChangesWhatWasRun { part });
    }
    let mut used = frozen.clone();
    used.analysis = wanted.analysis.clone();
    used.motion = wanted.motion;
    used.design.reference.clone_from(&wanted.design.reference);
    let changes = changes(frozen, &used);
    Ok((used, changes))
}

/// What differs, key by key.
pub fn changes(frozen: &Protocol, used: &Protocol) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut table = |name: &str, frozen: Value, used: Value| {
        let (Value::Object(frozen), Value::Object(used)) = (frozen, used) else { return };
        for (key, frozen) in frozen {
            let used = used.get(&key).cloned().unwrap_or(Value::Null);
            if frozen != used {
                let (frozen, used) = (plain(&frozen), plain(&used));
                changes.push(Change { key: format!("{name}.{key}"), frozen, used });
            }
        }
    };
    table("analysis", value(&frozen.analysis), value(&used.analysis));
    table("motion", value(&frozen.motion), value(&used.motion));
    table("design", value(&frozen.design), value(&used.design));
    changes
}

fn value(rules: &impl serde::Serialize) -> Value {
    serde_json::to_value(rules).expect("plain values become JSON")
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// Whether these sessions are worked out under other rules than the frozen ones. Of a table measured
/// elsewhere nothing was frozen.
pub(super) fn is_explored(sessions: &[SessionData]) -> bool {
    sessions.iter().any(|session| {
        let frozen = session.origin == Origin::Record;
        frozen && session.rules_hash != rules_hash(&session.protocol, ANALYSIS_VERSION)
    })
}
