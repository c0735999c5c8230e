//! What a session for real is told before it begins, and what it tells when it is over.

use super::apparatus::Apparatus;
use super::roles::Wishes;
use crate::engine::{Ending, Start};
use crate::input::InputChoice;
use crate::input::force::{AxisName, Calibration};
use crate::protocol::{Protocol, Schedule};
use crate::record::{Keep, RecordError};
use crate::rig::known::Known;
use crate::session::Judge;
use crate::settings::Gain;
use crate::window::{Age, Ended};
use std::sync::Arc;

/// What a session for real needs to know.
pub struct Plan {
    /// What was planned.
    pub protocol: Arc<Protocol>,
    /// Its blocks.
    pub schedule: Arc<Schedule>,
    /// Where it is taken up.
    pub start: Start,
    /// The player's nickname.
    pub player: String,
    /// How far the view turns for one count.
    pub gain: Gain,
    /// The player's force axis and scale, once calibrated.
    pub force: Option<(AxisName, Calibration)>,
    /// Display lag that no program can see, ms: a note.
    pub display_lag_ms: Option<f64>,
    /// Which input source.
    pub input: InputChoice,
    /// The rig as it was before, to be compared with.
    pub known_rig: Known,
    /// Whose press is an answer and whose ends a partner's wait.
    pub wishes: Wishes,
    /// Whether the cautions of the first start are due.
    pub first_start: bool,
    /// Whether the player is known to be under 18.
    pub minor: bool,
    /// Whether this is a long session with firm holds, which is not for those under 18.
    pub hour_of_firm: bool,
    /// How long the session will take, minutes.
    pub minutes: f64,
    /// Takes the planned looks.
    pub judge: Box<dyn Judge + Send>,
    /// Whether the last screen is shown here.
    pub last_screen: LastScreen,
    /// Opens the record, once the apparatus is known.
    pub open_record: OpenRecord,
    /// Works out what the last screen says, once the record is closed.
    pub sum_up: SumUp,
}

/// Whether a session shows its own last screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LastScreen {
    /// It thanks, and says what was found.
    #[default]
    Shown,
    /// Something else follows in the same window.
    LeftOut,
}

/// Opens the record, once the apparatus is known.
pub type OpenRecord = Box<dyn FnOnce(Apparatus) -> Result<Box<dyn Keep>, RecordError> + Send>;
/// Works out what the last screen says.
pub type SumUp = Box<dyn FnOnce(Ending) -> Ended + Send>;

/// How it went.
#[derive(Debug, Clone, PartialEq)]
pub enum Played {
    /// The player did not agree, or was asked to see a clinician first: nothing was run.
    NotStarted,
    /// It ran.
    Ended {
        /// What the last screen said.
        ended: Ended,
        /// The age band told at the first start, if this was one.
        age: Option<Age>,
    },
}
