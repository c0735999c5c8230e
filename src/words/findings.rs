//! The sentences of the findings: figures and names here, each subject in a file of its own.
//!
//! Plain words; numbers come in worked out and are only rounded here. No sentence claims anything
//! about health, and none says more than its numbers do.

mod captions;
mod doubts;
mod hold_check;
mod verdicts;

pub use captions::*;
pub(super) use doubts::doubt;
pub use doubts::*;
pub use hold_check::*;
pub use verdicts::*;

use std::fmt;

/// Milliseconds as a reader sees them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ms {
    value_ms: f64,
    decimals: usize,
}

impl Ms {
    /// Below this give or take, one decimal is shown.
    const FINE_MS: f64 = 5.0;

    /// Rounded to what its give or take allows: whole milliseconds, or tenths below 5 and where
    /// the value itself is below 1.
    pub fn rounded_with(value_ms: f64, give_or_take_ms: f64) -> Ms {
        let fine = give_or_take_ms < Ms::FINE_MS || value_ms.abs() < 0.95;
        Ms { value_ms, decimals: usize::from(fine) }
    }

    /// As written in the protocol: without needless decimals.
    pub fn plain(value_ms: f64) -> Ms {
        let whole = (value_ms - value_ms.round()).abs() < 1e-9;
        Ms { value_ms, decimals: usize::from(!whole) }
    }
}

impl fmt::Display for Ms {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.*}", self.decimals, self.value_ms)
    }
}

/// What was measured, as a verb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Did {
    /// The click.
    Clicked,
    /// The movement onset.
    BeganToMove,
    /// An answer of a kind that is not known: of a table measured elsewhere.
    Answered,
    /// Taps, one after the other.
    Tapped,
    /// Following a moving target.
    Followed,
    /// Keeping still.
    KeptStill,
}

impl Did {
    /// "clicked", "began to move", "answered", and so on.
    pub const fn verb(self) -> &'static str {
        match self {
            Did::Clicked => "clicked",
            Did::BeganToMove => "began to move",
            Did::Answered => "answered",
            Did::Tapped => "took",
            Did::Followed => "strayed",
            Did::KeptStill => "moved",
        }
    }

    /// The unit of its figures.
    pub const fn unit(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped => "ms",
            Did::Followed => "px",
            Did::KeptStill => "counts",
        }
    }

    /// Whether its figures are times.
    pub const fn is_of_time(self) -> bool {
        matches!(self, Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped)
    }

    /// What stands behind the figure and its unit: "sooner", "less from tap to tap".
    const fn less(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered => "sooner",
            Did::Tapped => "less from tap to tap",
            Did::Followed => "less from the target",
            Did::KeptStill => "less while keeping still",
        }
    }

    /// In one word: "sooner".
    pub const fn better(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered => "sooner",
            Did::Tapped => "quicker",
            Did::Followed => "closer",
            Did::KeptStill => "stiller",
        }
    }

    /// In one word, of a hold: "faster".
    const fn hold(self) -> &'static str {
        match self {
            Did::Clicked | Did::BeganToMove | Did::Answered | Did::Tapped => "faster",
            Did::Followed | Did::KeptStill => "better",
        }
    }
}

/// A hold's id as a name: `firm_claw` becomes "firm claw".
pub fn hold(id: &str) -> String {
    id.replace(['_', '-'], " ")
}

/// With a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The first letter small again, inside a sentence.
fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A share as a per cent figure, whole.
pub fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent > 0.0 && percent < 0.5 {
        "under 1 %".to_owned()
    } else if percent > 99.5 && percent < 100.0 {
        "over 99 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

/// A confidence as a per cent figure, with the decimals it was written with.
pub fn confidence(share: f64) -> String {
    let percent = (share * 1000.0).round() / 10.0;
    format!("{percent} %")
}

/// A confidence that may be very near to 1, as a per cent figure.
pub fn fine_confidence(share: f64) -> String {
    if share < 0.999 {
        return confidence(share);
    }
    let percent = (share * 1e6).floor() / 1e4;
    format!("{percent} %")
}
