//! The keys of a session during a block: Esc pauses, F10 asks whether to stop, H says that the hand
//! hurts; the space bar is the partner's.
//!
//! Only the first press counts; the keyboard's own repeats do not.

use crate::engine::Key;
use winit::event::{ElementState, KeyEvent};
use winit::keyboard::{Key as Pressed, KeyCode, NamedKey, PhysicalKey};

/// What a key says during a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum InBlock {
    /// A key of the session.
    Key(Key),
    /// The partner ends the wait.
    Cue,
}

/// What `event` says, if it is a key of the session.
pub(super) fn session_key(event: &KeyEvent) -> Option<InBlock> {
    if event.state != ElementState::Pressed || event.repeat {
        return None;
    }
    let key = match &event.logical_key {
        Pressed::Named(NamedKey::Space) => return Some(InBlock::Cue),
        Pressed::Named(NamedKey::Escape) => Some(Key::Pause),
        Pressed::Named(NamedKey::F10) => Some(Key::AskStop),
        Pressed::Character(text) if text.eq_ignore_ascii_case("h") => Some(Key::Hurts),
        // A layout without Latin letters: the key that says H elsewhere.
        Pressed::Character(text)
            if !text.is_ascii() && event.physical_key == PhysicalKey::Code(KeyCode::KeyH) =>
        {
            Some(Key::Hurts)
        }
        _ => None,
    };
    key.map(InBlock::Key)
}
