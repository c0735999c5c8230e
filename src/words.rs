//! Every sentence that a person reads, in one file: screens and reports use the plain words,
//! files the standard terms.
//!
//! Also the one form of an error that a user sees: what is wrong, where, and how to mend it.

pub mod afterwards;
pub mod by_task;
pub mod choosing;
pub mod costs;
pub mod explored;
pub mod findings;
pub mod force;
pub mod guide;
pub mod looks;
pub mod methods;
pub mod over_time;
pub mod plan;
pub mod rig;
pub mod screens;
mod session;
pub mod tables;

pub use session::{
    SECOND_FIRM_TODAY, attainable, display_source, input_source, light_holds_only, no_outlook,
    not_under_18, outlook, sources, timing,
};

use crate::scene::Notice;
use std::{fmt, io};

/// An error as a person reads it, in the terminal or in the window.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What is wrong.
    pub what: String,
    /// Where, if there is a place.
    pub place: Option<String>,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "error: {}", self.what)?;
        if let Some(place) = &self.place {
            writeln!(f, "  in {place}")?;
        }
        write!(f, "  {}", self.mend)
    }
}

/// An error enum that can be told to a person. Its text stands with the enum.
pub trait Tell {
    /// What, where, and how to mend it.
    fn tell(&self) -> Told;
}

/// What to do where another program holds a file open; `None` for any other error.
pub fn held_elsewhere(error: &io::Error) -> Option<&'static str> {
    // ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION, winerror.h
    let by_windows = cfg!(windows) && matches!(error.raw_os_error(), Some(32 | 33));
    (by_windows || error.kind() == io::ErrorKind::ResourceBusy).then_some(
        "another program has this file open, for example a spreadsheet: close it there and try \
         again; what was written is kept",
    )
}

/// The word on the field for a notice.
pub const fn notice(notice: Notice) -> &'static str {
    match notice {
        Notice::Early => "early",
        Notice::Wrong => "not that one",
        Notice::Missed => "no answer in time",
        Notice::EmptyWaitPassed => "empty wait, rightly left alone",
        Notice::RightlyLeft => "rightly left alone",
        Notice::Again => "this one comes again",
        Notice::Measuring => "one moment: the display is being measured",
    }
}
