//! What an untimed screen is asked to show, and what it comes back with.
//!
//! Values, and the one trait through which the window has a screen drawn. The window knows none of
//! the screens; they know neither the window nor the graphics device.

use crate::engine::{Answer, AskFor, Ending, Key};
use crate::protocol::{Protocol, Schedule};
use crate::rig::Saved;
use crate::rig::asked::Answered;
use crate::rig::live::{Progress, Step};
use crate::units::Nanos;
use crate::words::Told;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Which screen.
#[derive(Debug, Clone, PartialEq)]
pub enum Show {
    /// The cautions, the questions of the first start, and the player's own agreement.
    FirstStart,
    /// What the engine asks.
    Ask(AskFor),
    /// Something is in the way, or must be said before going on.
    Notice(Told),
    /// The session is over.
    Ended(Ended),
    /// A screen of the rig check.
    Rig(RigScreen),
}

/// A screen of the rig check.
#[derive(Debug, Clone, PartialEq)]
pub enum RigScreen {
    /// What it is, and its caution.
    Start,
    /// What no program can see.
    Ask,
    /// The player does something while the mouse is listened to.
    Live {
        /// What.
        step: Step,
        /// What was seen so far.
        progress: Progress,
    },
    /// What was found.
    Found(Box<Saved>),
    /// The caution before filming.
    Film,
}

/// What a screen of the rig check came back with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RigReply {
    /// The answers to [`RigScreen::Ask`].
    Asked(Vec<Answered>),
    /// Read, or done.
    Done,
    /// Passed over.
    Skipped,
}

/// What the last screen says.
#[derive(Debug, Clone, PartialEq)]
pub struct Ended {
    /// How it ended.
    pub ending: Ending,
    /// The finding in one sentence, where there is one.
    pub sentence: Option<String>,
    /// The session's folder.
    pub folder: PathBuf,
    /// The report, where it was written.
    pub report: Option<PathBuf>,
}

/// What the screens may say about the session.
#[derive(Debug, Clone)]
pub struct Facts {
    /// What was planned.
    pub protocol: Arc<Protocol>,
    /// Its blocks.
    pub schedule: Arc<Schedule>,
    /// The player's nickname.
    pub player: String,
    /// About how many minutes are left, where that is known.
    pub minutes_left: Option<f64>,
    /// Where presses and pictures are timed, and why not better: whole sentences, for the end.
    pub sources: String,
    /// One plain line for the card where timing is not what it could be; empty where it is.
    pub timing: &'static str,
    /// Whether the player or the screen is simulated.
    pub simulated: bool,
    /// How firmly the hold is held now, where there is a force axis.
    pub force: Option<ForceNow>,
}

/// The latest force, set on the stimulus thread and read by the card: share of a comfortable strong
/// grip. Nothing yet is not a number.
#[derive(Debug, Clone)]
pub struct ForceNow(Arc<AtomicU64>);

impl Default for ForceNow {
    fn default() -> ForceNow {
        ForceNow(Arc::new(AtomicU64::new(f64::NAN.to_bits())))
    }
}

impl ForceNow {
    /// Keeps a share.
    pub fn set(&self, share: f64) {
        self.0.store(share.to_bits(), Ordering::Relaxed);
    }

    /// The latest share, once there is one.
    pub fn get(&self) -> Option<f64> {
        let share = f64::from_bits(self.0.load(Ordering::Relaxed));
        share.is_finite().then_some(share)
    }
}

/// One screen with everything it needs.
#[derive(Debug, Clone)]
pub struct Screenful {
    /// Which.
    pub show: Show,
    /// What it may say.
    pub facts: Facts,
}

/// An age band; a birth date is never asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Age {
    /// 18 or older.
    Adult,
    /// Under 18, with a guardian's agreement.
    Young,
}

/// What came out of the first start. The answers themselves are not in it, and what is in it about
/// the body (`light_only`) serves this run of the program and is not to be written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FirstStart {
    /// The player (under 18: the guardian too) agreed. If not, no session starts.
    pub agreed: bool,
    /// Only light holds may be offered.
    pub light_only: bool,
    /// Age band.
    pub age: Age,
}

/// What an untimed screen came back with.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// An answer for the engine. Screens that the engine did not ask for ([`Show::Notice`],
    /// [`Show::Ended`]) come back with [`Answer::GoOn`].
    Answer(Answer),
    /// A key of the session, confirmed where that is needed: [`Key::Stop`] or [`Key::Hurts`]. Also
    /// [`Key::Stop`] when the window was asked to close.
    Key(Key),
    /// The first start is over.
    FirstStart(FirstStart),
    /// A screen of the rig check is over.
    Rig(RigReply),
    /// The pages outside any session want something that they have told elsewhere.
    Home,
}

/// Draws the untimed screens.
pub trait Screens {
    /// A new screen begins at `now`.
    fn begin(&mut self, screenful: Screenful, now: Nanos);

    /// The pages outside any session begin, or go on where they were, at `now`. Without such pages
    /// nothing is shown.
    fn home(&mut self, now: Nanos);

    /// Draws the screen once and takes in what was pressed; the reply ends it. It is drawn again
    /// after each event, and when egui was asked to repaint after some time.
    fn show(&mut self, ui: &mut egui::Ui, now: Nanos) -> Option<Reply>;
}
