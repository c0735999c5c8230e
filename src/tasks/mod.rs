//! What the player is asked to do: one file a task, each a value.
//!
//! A task says which stimuli it has, what the wait and the target look like, and whether an answer
//! was right. It knows no time of day, no window and no order of trials: the engine tells it how
//! long the stimulus has been there and how far the view has moved.

mod choice;
mod emergence;
mod go_no_go;
mod kind;
mod levels;
mod onset;
mod pointing;
mod pursuit;
mod simple;
mod steadiness;
mod stimulus;
mod tapping;
mod vigilance;

pub use choice::{Choice, ChoiceBy, Map};
pub use emergence::{Emergence, Sides};
pub use go_no_go::GoNoGo;
pub use kind::TaskKind;
pub use levels::{Levels, MOST_LEVELS};
pub use onset::Onset;
pub use pointing::Pointing;
pub use pursuit::Pursuit;
pub use simple::Simple;
pub use steadiness::Steadiness;
pub use stimulus::{Stimulus, side_name};
pub use tapping::Tapping;
pub use vigilance::Vigilance;

use crate::scene::{Canvas, Marks, Place};
use crate::units::{Button, Span};
use serde::Serialize;
use std::borrow::Cow;

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
    /// Beginning to move; no button.
    Move,
    /// Nothing that ends it: it goes on for a set time.
    Run,
}

/// A trial that goes on for a set time, whatever the player does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// For how long.
    pub lasts: Span,
    /// Whether presses are counted.
    pub taps: bool,
    /// Whether the mouse is to be kept still.
    pub still: bool,
    /// Whether the target is to be followed.
    pub tracks: bool,
}

impl AnsweredBy {
    /// Whether the hand travels for the answer.
    pub const fn travels(self) -> bool {
        match self {
            AnsweredBy::Button | AnsweredBy::Run => false,
            AnsweredBy::MoveAndButton | AnsweredBy::Move => true,
        }
    }
}

/// What the player did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Given {
    /// Pressed this button.
    Button(Button),
    /// Moved the mouse so far, counts (right and down positive).
    Moved(Place),
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
    fn animated(&self) -> bool {
        false
    }
    /// How the answer is given.
    fn answered_by(&self) -> AnsweredBy;
    /// Text of the column `expected`.
    fn expected(&self, stimulus: Stimulus) -> Cow<'static, str>;
    /// Whether what was given, with the view turned by `view.aim`, is the expected answer.
    fn judge(&self, stimulus: Stimulus, given: Given, view: &View) -> Judged;
    /// Where the target's middle stands and how big it is, px, at `view`.
    fn place(&self, stimulus: Stimulus, view: &View) -> (Place, f64);
    /// Whether the right answer to this stimulus is none.
    fn withholds(&self, _: Stimulus) -> bool {
        false
    }
    /// Whether the picture turns with the mouse, as a view does.
    fn turns(&self) -> bool {
        self.answered_by().travels()
    }
    /// Of a trial that goes on for a set time.
    fn run(&self) -> Option<Run> {
        None
    }
    /// The first of a run, which does not enter its measures.
    fn lead_in(&self) -> Span {
        Span::ZERO
    }
    /// How far the mouse goes for an answer by movement, counts.
    fn travel_counts(&self) -> f64 {
        f64::INFINITY
    }
    /// Of an answer by movement: the alternative that lies in its direction, degrees
    /// counter-clockwise from rightwards; `None` where any direction will do.
    fn towards_deg(&self, _: Place) -> Option<u16> {
        None
    }
}
