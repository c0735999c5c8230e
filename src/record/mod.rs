//! The session folder: manifest, protocol, schedule, trials, ratings, events; append, flush,
//! recover, replay.
//!
//! It knows no window, no engine state and no clock: values come in, files come out, and times
//! come in with the values. What has been written is never rewritten by a running session: rows
//! are appended, the manifest alone is replaced, and by rename.

mod datapackage;
mod error;
pub mod events;
mod files;
mod keep;
mod manifest;
mod ratings;
mod schedule;
mod table;
mod trials;

pub use datapackage::datapackage;
pub use error::RecordError;
pub use files::RecordFile;
pub use keep::{Keep, MemoryKeeper, TrialKeeper};
pub use manifest::{
    EndedAs, Expectation, LatencyNote, Machine, Manifest, Priority, ProtocolNote, Segment,
    Simulation,
};
pub use ratings::RatingRow;
pub use schedule::ScheduleRow;
pub use table::{Column, Kind, Table};
pub use trials::{Answers, FlagList, RowContext, TrialRow};

/// Number of the folder format that this program writes.
pub const FORMAT: u32 = 1;
