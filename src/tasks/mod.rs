//! What the player is asked to do: one file a task, each a value.
//!
//! A task says which stimuli it has, what the wait and the target look like, and whether an answer
//! was right. It knows no time of day, no window and no order of trials: the engine tells it how
//! long the stimulus has been there and how far the view has moved.

mod choice;
mod emergence;
mod pointing;
mod simple;

pub use choice::{Choice, Map};
pub use emergence::Emergence;
pub use pointing::Pointing;
pub use simple::Simple;

use crate::scene::{Canvas, Marks, Place, Side};
use crate::units::{Button, Span};
use serde::Serialize;

/// Which of a task's stimuli a trial shows. Its text form stands in the column `stimulus`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stimulus {
    /// The one stimulus of a simple task.
    Single,
    /// A target on this side.
    At(Side),
    /// A target sliding out to this side.
    Emerging(Side),
    /// A target to move to, from the middle of the view.
    Away {
        /// Direction, degrees counter-clockwise from rightwards, 0 to 359.
        direction_deg: u16,
        /// Distance, mm.
        distance_mm: f64,
    },
}

impl Stimulus {
    /// The text of the column `stimulus`: `single`, `left`, `emerging_right`, `away_045_60`.
    pub fn label(&self) -> String {
        match self {
            Stimulus::Single => "single".to_owned(),
            Stimulus::At(side) => side_name(*side).to_owned(),
            Stimulus::Emerging(side) => format!("emerging_{}", side_name(*side)),
            Stimulus::Away { direction_deg, distance_mm } => {
                format!("away_{direction_deg:03}_{distance_mm}")
            }
        }
    }
}

/// The name of a side in files.
pub const fn side_name(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
        Side::Up => "up",
        Side::Down => "down",
    }
}

/// How big and how strong the stimulus is: the protocol's `[stimulus]` table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Look {
    /// Distance between opposite corners of the lozenge, mm.
    pub size_mm: f64,
    /// How far its colour stands from the field, 0 to 1.
    pub contrast_share: f64,
}

/// What a task needs to know to draw a moment of a trial.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The surface.
    pub canvas: &'a Canvas,
    /// Size and strength of the target.
    pub look: Look,
    /// How long the stimulus has been there at the frame to be drawn.
    pub since_onset: Span,
    /// How far the view has turned since the stimulus, px (right and down positive).
    pub aim: Place,
}

/// How a trial's answer is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnsweredBy {
    /// A button; the hand need not travel.
    Button,
    /// Moving the view onto the target, then a button.
    MoveAndButton,
}

/// A judged answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judged {
    /// The expected answer.
    Right,
    /// Another button or place.
    Wrong,
}

/// What every task can tell. One implementation a file.
pub trait Task {
    /// A balanced list of `count` stimuli, in a fixed order (the schedule shuffles it).
    fn stimuli(&self, count: usize) -> Vec<Stimulus>;
    /// The marks during the wait.
    fn wait(&self, view: &View) -> Marks;
    /// The marks while the stimulus is there.
    fn target(&self, stimulus: Stimulus, view: &View) -> Marks;
    /// Whether the picture changes from frame to frame by itself.
    fn animated(&self) -> bool;
    /// How the answer is given.
    fn answered_by(&self) -> AnsweredBy;
    /// Text of the column `expected`.
    fn expected(&self, stimulus: Stimulus) -> &'static str;
    /// Whether `button`, pressed with the view turned by `view.aim`, is the expected answer.
    fn judge(&self, stimulus: Stimulus, button: Button, view: &View) -> Judged;
    /// Where the target's middle stands and how big it is, px, at `view`.
    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64);
}

/// The protocol's `[task]` table: which task, and its own keys.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum TaskKind {
    /// Press when it appears.
    Simple(Simple),
    /// Left or right, by the button of that side.
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
            TaskKind::Choice(task) => task,
            TaskKind::Emergence(task) => task,
            TaskKind::Pointing(task) => task,
        }
    }

    /// The name that stands in files.
    pub const fn name(&self) -> &'static str {
        match self {
            TaskKind::Simple(_) => "simple",
            TaskKind::Choice(_) => "choice",
            TaskKind::Emergence(_) => "emergence",
            TaskKind::Pointing(_) => "pointing",
        }
    }
}
