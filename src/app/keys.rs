//! The keyboard as the untimed screens hear it.
//!
//! Taken out of egui's events before any widget sees them, so that one press does one thing.

use egui::{Event, Key, Ui};

/// One press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pressed {
    /// Enter or the space bar: takes what is marked.
    Enter,
    /// Up, or Shift and Tab.
    Up,
    /// Down, or Tab.
    Down,
    /// Left.
    Left,
    /// Right.
    Right,
    /// 0 to 9.
    Digit(u8),
    /// Esc.
    Escape,
    /// F10: stop the session.
    Stop,
    /// H: my hand hurts.
    Hurts,
}

/// The presses since the last frame, in order. They are gone from egui afterwards.
pub(super) fn take(ui: &Ui) -> Vec<Pressed> {
    let mut presses = Vec::new();
    ui.input_mut(|input| {
        input.events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } => {
                let meant = meaning(*key, modifiers.shift);
                presses.extend(meant);
                meant.is_none()
            }
            _ => true,
        });
    });
    presses
}

const fn meaning(key: Key, shift: bool) -> Option<Pressed> {
    Some(match key {
        Key::Enter | Key::Space => Pressed::Enter,
        Key::ArrowUp => Pressed::Up,
        Key::ArrowDown => Pressed::Down,
        Key::ArrowLeft => Pressed::Left,
        Key::ArrowRight => Pressed::Right,
        Key::Tab if shift => Pressed::Up,
        Key::Tab => Pressed::Down,
        Key::Escape => Pressed::Escape,
        Key::F10 => Pressed::Stop,
        Key::H => Pressed::Hurts,
        Key::Num0 => Pressed::Digit(0),
        Key::Num1 => Pressed::Digit(1),
        Key::Num2 => Pressed::Digit(2),
        Key::Num3 => Pressed::Digit(3),
        Key::Num4 => Pressed::Digit(4),
        Key::Num5 => Pressed::Digit(5),
        Key::Num6 => Pressed::Digit(6),
        Key::Num7 => Pressed::Digit(7),
        Key::Num8 => Pressed::Digit(8),
        Key::Num9 => Pressed::Digit(9),
        _ => return None,
    })
}
