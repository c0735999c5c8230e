//! The session folder: manifest, protocol, schedule, trials, ratings, events; append, flush,
//! recover, replay.
//!
//! It knows no window, no engine state and no clock: values come in, files come out, and times
//! come in with the values. What has been written is never rewritten by a running session: rows
//! are appended, the manifest alone is replaced, and by rename.

mod error;
pub mod events;
mod keep;

pub use error::RecordError;
pub use keep::{Keep, MemoryKeeper, TrialKeeper};
