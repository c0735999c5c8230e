//! A sitting: what has to be there before a session can run, and what is made of it afterwards.
//!
//! The command line and the window both come here, so that a session is the same whichever started
//! it: the protocol and its text, the player, the seed, what earlier sessions say, the record.
//! Nothing is drawn and nothing is printed here.

#[cfg(feature = "window")]
mod first_start;
mod looks;
pub mod machine;
pub mod results;
#[cfg(feature = "window")]
pub mod rig_check;
#[cfg(feature = "window")]
mod setup;
pub mod source;
#[cfg(feature = "window")]
pub mod today;

#[cfg(feature = "window")]
pub use first_start::{age_band, keep_first_start};
pub use looks::{Looks, TellTrouble};
#[cfg(feature = "window")]
pub use setup::{Around, Begun, Planned, Sitting, USUAL_PX_PER_COUNT, Wanted, plan};
pub use source::Source;

use crate::words::{Tell, Told};

/// One or more things that are in the way, each as a person reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble(pub Vec<Told>);

impl Trouble {
    /// A single one.
    pub fn one(what: String, place: Option<String>, mend: String) -> Trouble {
        Trouble(vec![Told { what, place, mend }])
    }
}

impl<T: Tell> From<T> for Trouble {
    fn from(fault: T) -> Trouble {
        Trouble(vec![fault.tell()])
    }
}
