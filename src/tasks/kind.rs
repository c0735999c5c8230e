//! The protocol's `[task]` table: which task, and its own keys.

use super::{Choice, Emergence, GoNoGo, Onset, Pointing, Simple, Task};
use serde::Serialize;

/// A task with its keys.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum TaskKind {
    /// Press when it appears.
    Simple(Simple),
    /// Begin to move when it appears.
    Onset(Onset),
    /// Press at one of two lozenges, leave the other alone.
    GoNoGo(GoNoGo),
    /// Which of two to eight places.
    Choice(Choice),
    /// A target slides out from behind an edge that the player already aims at.
    Emergence(Emergence),
    /// Turn the view onto a target and press.
    Pointing(Pointing),
}

impl TaskKind {
    /// The task behind the kind.
    pub fn task(&self) -> &dyn Task {
        match self {
            TaskKind::Simple(task) => task,
            TaskKind::Onset(task) => task,
            TaskKind::GoNoGo(task) => task,
            TaskKind::Choice(task) => task,
            TaskKind::Emergence(task) => task,
            TaskKind::Pointing(task) => task,
        }
    }

    /// The name that stands in files.
    pub const fn name(&self) -> &'static str {
        match self {
            TaskKind::Simple(_) => "simple",
            TaskKind::Onset(_) => "onset",
            TaskKind::GoNoGo(_) => "go_no_go",
            TaskKind::Choice(_) => "choice",
            TaskKind::Emergence(_) => "emergence",
            TaskKind::Pointing(_) => "pointing",
        }
    }
}
