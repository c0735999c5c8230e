//! The protocol's `[task]` table: which task, and its own keys.

use super::{
    Choice, Emergence, GoNoGo, Onset, Pointing, Pursuit, Simple, Steadiness, Tapping, Task,
    Vigilance,
};
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
    /// Keep the mouse still on a point.
    Steadiness(Steadiness),
    /// Tap as often as one can.
    Tapping(Tapping),
    /// Follow a moving target.
    Pursuit(Pursuit),
    /// Press when it appears, for many minutes.
    Vigilance(Vigilance),
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
            TaskKind::Steadiness(task) => task,
            TaskKind::Tapping(task) => task,
            TaskKind::Pursuit(task) => task,
            TaskKind::Vigilance(task) => task,
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
            TaskKind::Steadiness(_) => "steadiness",
            TaskKind::Tapping(_) => "tapping",
            TaskKind::Pursuit(_) => "pursuit",
            TaskKind::Vigilance(_) => "vigilance",
        }
    }
}
