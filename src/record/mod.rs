//! The session folder: manifest, protocol, schedule, trials, ratings, events; append, flush,
//! recover, replay.
//!
//! It knows no window, no engine state and no clock: values come in, files come out, and times
//! come in with the values. What has been written is never rewritten by a running session: rows
//! are appended, the manifest alone is replaced, and by rename.

mod abandon;
mod books;
mod create;
mod datapackage;
mod erase;
mod error;
pub mod events;
mod files;
mod keep;
mod ledger;
mod manifest;
mod open;
mod patience;
mod ratings;
mod recover;
mod replay;
mod schedule;
mod store;
mod table;
mod threaded;
mod trials;
mod writer;

pub use crate::engine::{Flag, Flags, Outcome};
pub use abandon::abandon;
pub use create::{About, NewSession, ROOM_BYTES, Start, create, preflight};
pub use datapackage::datapackage;
pub use erase::{erase_player, erase_session};
pub use error::RecordError;
pub use files::RecordFile;
pub use keep::{Keep, MemoryKeeper};
pub use manifest::{
    EndedAs, Expectation, LatencyNote, Machine, Manifest, Priority, ProtocolNote, RigNote, Segment,
    Simulation,
};
pub use open::{Session, Torn, ask_free, open, sessions};
pub(crate) use patience::patiently;
pub use ratings::RatingRow;
pub use recover::{Mended, Resumed, close_partial, next_block, resume};
pub use replay::{Difference, compare_rows, replay_events, replayed_rows};
pub use schedule::ScheduleRow;
pub use store::{Durability, FolderStore, Store};
pub use table::{Column, Kind, Table};
pub use threaded::ThreadedKeeper;
pub use trials::{Answers, FlagList, RowContext, TrialRow};
pub use writer::FolderKeeper;

/// Number of the folder format that this program writes.
pub const FORMAT: u32 = 1;
