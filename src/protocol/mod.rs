//! What was planned: the protocol file, checked; the draw; the schedule.
//!
//! Text in, values out. It knows no clock, no window and no player; the same text, seed and draw
//! rule give the same schedule on every machine and in every release.

mod check;
mod check_task;
mod draw;
mod fault;
mod frozen;
mod keys;
mod minutes;
mod model;
mod orders;
mod read;
mod read_task;
mod refusal;
mod schedule;
mod schema;
pub mod shipped;
mod walk;
mod words_drawn;
mod write;

pub use draw::{DRAW_RULE, draw};
pub use fault::{Fault, ProtocolError};
pub use frozen::{as_frozen, rules_hash};
pub use minutes::{Minutes, mean_wait_ms, minutes, minutes_from};
pub use model::*;
pub use orders::{
    BlockOrder, OtherDraws, REDRAWS, attainable_p, other_draws, redraws, trend_widens,
    williams_rows,
};
pub use read::read;
pub use refusal::{LookRefusal, Refusal, resized, whole_set};
pub use schedule::*;
pub use schema::json_schema;
pub use write::write;
