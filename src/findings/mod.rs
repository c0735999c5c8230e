//! From numbers to a verdict: the sentence, findings.json, the report, the picture.
//!
//! It reads a record and never changes it. The way through: [`input`] (what a session is to us),
//! [`enter`] (which trials count), [`compare`] (the block table, the model's answer and what may
//! spoil it, as a [`Findings`]), then the forms: [`sentence`], [`json`], [`report`], [`picture`],
//! all painted from one draw list in [`plot`], written by [`files`]. Nothing after `compare`
//! works a number out anew.

pub mod by_task;
pub mod compare;
pub mod cost;
pub mod elsewhere;
pub mod enter;
pub mod error;
pub mod explore;
pub mod files;
pub mod from_record;
pub mod hold_check;
pub mod input;
pub mod json;
pub mod looks;
pub mod over_players;
pub mod over_sessions;
pub mod picture;
pub mod plot;
pub mod primary;
pub mod report;
pub mod secondary;
pub mod sentence;
pub mod settle;
pub mod slope;
pub mod spoil;
pub mod within;

pub use compare::{Asked, Findings, Players, work_out, work_out_as, work_out_by};
pub use error::FindingsError;
pub use from_record::session_data;

/// Number of the analysis: grows when the same rows would give other numbers.
pub const ANALYSIS_VERSION: u32 = 1;

/// Number of the form of findings.json.
pub const FORMAT: u32 = 1;
