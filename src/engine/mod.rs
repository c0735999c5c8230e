//! What happens next: a pure state machine. Events in, actions and trial records out.
//!
//! It knows no window, no clock and no file: the only time it has is the time inside an event.
//! Feed one event with [`Engine::step`], drain all actions with [`Engine::poll_action`], then wait
//! for the next event, at the latest until [`Engine::wake_at`].

mod event;
mod trial;

pub use event::*;
pub use trial::*;
