//! `manifest.json`: what the session was, on what, under which rules, and how it ended.
//!
//! It holds no host, user or serial name and no nickname: the player is an id. Replaced whole, by
//! temporary file and rename; what the display and the input report of themselves passes through
//! as it came.

use crate::engine::Ending;
use crate::units::Nanos;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// A session's manifest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Manifest {
    /// Number of the folder's format.
    pub format: u32,
    /// The program that wrote it.
    pub program_version: String,
    /// The folder's name.
    pub session: String,
    /// The player's id.
    pub player: String,
    /// Whether a simulated player gave the answers.
    pub simulated: bool,
    /// What the simulation put in, where it is one.
    pub simulation: Option<Simulation>,
    /// Which protocol.
    pub protocol: ProtocolNote,
    /// SHA-256 of the frozen analysis rules, in hex.
    pub rules_hash: String,
    /// Number of the analysis those rules were frozen under.
    pub analysis_version: u32,
    /// Number of the rule that drew the schedule.
    pub draw_rule: u32,
    /// Seed of the draw. Text in the file: JSON readers lose digits beyond 2^53.
    #[serde(with = "as_text")]
    pub seed: u64,
    /// How far the view turns for one count, px.
    pub px_per_count: f64,
    /// The computer.
    pub machine: Machine,
    /// What the display reports of itself and how vsync was judged.
    pub display: Value,
    /// What the input reports of itself.
    pub input: Value,
    /// Which thread asked for which priority, and whether it was granted.
    pub priorities: Vec<Priority>,
    /// Lags that no program can see: notes, never added.
    pub latency_notes: Vec<LatencyNote>,
    /// The rig as it was checked before, and what is another now; nothing where it was not looked at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rig: Option<RigNote>,
    /// Which hold the player thinks is faster.
    pub expectation: Option<Expectation>,
    /// Runs without a restart, in order.
    pub segments: Vec<Segment>,
    /// Places of the blocks that came to their end, in order of time.
    pub blocks_finished: Vec<usize>,
    /// How it ended; nothing while it runs or after a crash.
    pub ending: Option<EndedAs>,
    /// SHA-256 of the files, in hex, taken at the end.
    pub checksums: BTreeMap<String, String>,
}

/// Which protocol.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProtocolNote {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
}

/// What a simulation put in: the truth that findings are checked against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Simulation {
    /// Seed of the simulated player.
    #[serde(with = "as_text")]
    pub seed: u64,
    /// True difference of each condition from the reference, ms, by id.
    pub differences_ms: BTreeMap<String, f64>,
    /// Everything else the simulated player was given.
    pub player: Value,
}

/// The computer, without host, user or serial names.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Machine {
    /// Operating system and release.
    pub os: String,
    /// Processor model.
    pub cpu: String,
    /// Logical cores.
    pub cores: usize,
}

/// A priority that a thread asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Priority {
    /// Which thread.
    pub thread: String,
    /// What it asked for.
    pub asked: String,
    /// Whether it was granted; nothing where it was not attempted.
    pub granted: Option<bool>,
    /// What the system said, where it refused.
    pub note: Option<String>,
}

/// A lag that no program can see.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LatencyNote {
    /// Of what.
    pub of: String,
    /// How long, ms.
    pub ms: f64,
    /// Where the figure came from.
    pub source: String,
}

/// The rig as it was checked before, and what is another now.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RigNote {
    /// Name of the newest rig profile in the data folder, if there was one.
    pub profile: Option<String>,
    /// What is another now than in that profile, a line each.
    pub changed_since_profile: Vec<String>,
    /// The player's session before this one, if there was one.
    pub session_before: Option<String>,
    /// What is another now than in that session, a line each.
    pub changed_since_session: Vec<String>,
}

/// Which hold the player thinks is faster.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Expectation {
    /// The hold's id; nothing without an opinion.
    pub faster: Option<String>,
    /// How sure, 0 to 10.
    pub sure: u8,
}

/// A run without a restart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Segment {
    /// From 1.
    pub number: u32,
    /// Equal in two segments of one start of the computer; says nothing else.
    pub boot: String,
    /// When it started.
    #[serde(with = "as_text")]
    pub utc: jiff::Timestamp,
    /// Local time minus UTC, s.
    pub local_offset_s: i32,
    /// The monotonic clock at `utc`.
    pub clock_ns: Nanos,
    /// Place of the block it starts with; trials of earlier segments at or after it are abandoned.
    pub from_position: Option<usize>,
    /// What is another in the rig, where the session was taken up again; that of its first start
    /// stands in the session's own note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rig: Option<RigNote>,
}

/// How a session ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EndedAs {
    /// Every block was run.
    Complete,
    /// The player stopped it.
    Stopped,
    /// Two stops for discomfort.
    Discomfort,
    /// The longest time, or the firm minutes, were used up.
    TimeUp,
    /// A planned look settled every comparison.
    Settled,
    /// Broken off, and closed later as it stood.
    Partial,
}

impl From<Ending> for EndedAs {
    fn from(ending: Ending) -> EndedAs {
        match ending {
            Ending::Complete => EndedAs::Complete,
            Ending::Stopped => EndedAs::Stopped,
            Ending::Discomfort => EndedAs::Discomfort,
            Ending::TimeUp => EndedAs::TimeUp,
            Ending::Settled => EndedAs::Settled,
        }
    }
}

impl EndedAs {
    /// Whether a session can be taken up again: it broke off, or the player stopped it. What ended for
    /// the hand's sake, by the clock or by a planned look stays ended.
    pub const fn can_go_on(ending: Option<EndedAs>) -> bool {
        matches!(ending, None | Some(EndedAs::Stopped))
    }
}

impl Manifest {
    /// The file's text.
    pub fn text(&self) -> String {
        let text = serde_json::to_string_pretty(self);
        text.expect("text keys and finite values always serialise") + "\n"
    }
}

/// A value as the text it shows itself as.
mod as_text {
    use serde::{Deserialize, Deserializer, Serializer, de};
    use std::fmt::Display;
    use std::str::FromStr;

    pub(super) fn serialize<T: Display, S: Serializer>(
        value: &T,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_str(value)
    }

    pub(super) fn deserialize<'de, T, D>(deserializer: D) -> Result<T, D::Error>
    where
        T: FromStr<Err: Display>,
        D: Deserializer<'de>,
    {
        String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
    }
}
