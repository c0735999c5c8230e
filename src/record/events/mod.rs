//! `events.bin`: every event the engine was fed, in order, exact to the nanosecond.
//!
//! Drawn byte by byte in docs/events-bin.md. The encoder is fed on the stimulus thread and writes
//! into memory only; the decoder believes no length it has not checked against the bytes at hand,
//! and reserves no room for what a file merely claims to hold.

mod decode;
mod encode;
mod kind;
mod listing;
mod wire;

pub use decode::{Decoded, decode};
pub use encode::{Encoder, file_header};
pub use listing::{EventRow, to_csv};

use thiserror::Error;

/// Number of the event format that this program writes.
pub const EVENTS_FORMAT: u32 = 1;

/// The first bytes of the file; the format number follows.
pub const MAGIC: [u8; 8] = *b"tl-event";

/// `events.bin` cannot be read at all.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EventsError {
    /// The first bytes are not those of the format.
    #[error("this is not an event file")]
    NotEvents,
    /// Written by a newer program.
    #[error("event format {found}; this program reads up to {known}")]
    NewerFormat {
        /// Its format number.
        found: u32,
        /// The newest that is known here.
        known: u32,
    },
}
