//! The mouse during a block: the cursor is hidden and held inside the window; and, as a last
//! resort, the window's own events stand in for a source of their own.
//!
//! Those events come late and without a stamp of the system's: they are stamped when they reach us.

use super::handle::{FromMain, MouseFrom};
use crate::clock;
use crate::units::Button;
use winit::dpi::PhysicalPosition;
use winit::event::{DeviceEvent, ElementState, MouseButton, WindowEvent};
use winit::window::{CursorGrabMode, Window};

/// The pointer is led back to the middle once it is nearer to a border than this share of the
/// window's size, so that its way never ends there.
const BORDER_SHARE: f64 = 0.25;

/// The mouse as the window hears it.
#[derive(Debug, Default)]
pub(super) struct Hands {
    pointer: Option<PhysicalPosition<f64>>,
    locked: bool,
}

impl Hands {
    /// Hides the cursor and holds it inside `window`.
    pub(super) fn hold(&mut self, window: &Window, mouse: MouseFrom) {
        window.set_cursor_visible(false);
        let confine = || window.set_cursor_grab(CursorGrabMode::Confined).is_ok();
        let lock = || window.set_cursor_grab(CursorGrabMode::Locked).is_ok();
        // A locked pointer has no way of its own, so it serves only where another source counts,
        // or where nothing else is to be had (Wayland: relative motion then comes instead).
        self.locked = match mouse {
            MouseFrom::Elsewhere => {
                lock() || {
                    confine();
                    false
                }
            }
            MouseFrom::Window => !confine() && lock(),
        };
    }

    /// Keeps where the pointer is, so that its first way in a block is known too.
    pub(super) fn note(&mut self, event: &WindowEvent) {
        match event {
            WindowEvent::CursorMoved { position, .. } => self.pointer = Some(*position),
            WindowEvent::CursorLeft { .. } => self.pointer = None,
            _ => {}
        }
    }

    /// Shows the cursor and lets it go.
    pub(super) fn free(&mut self, window: &Window) {
        // Refused only where it was never held.
        let _never_held = window.set_cursor_grab(CursorGrabMode::None);
        window.set_cursor_visible(true);
        self.locked = false;
    }

    /// The mouse event in `event`, if it is one.
    pub(super) fn hear(&mut self, window: &Window, event: &WindowEvent) -> Option<FromMain> {
        let t = clock::now();
        match event {
            WindowEvent::MouseInput { state, button, .. } => Some(FromMain::MouseButton {
                button: button_of(*button),
                pressed: *state == ElementState::Pressed,
                t,
            }),
            WindowEvent::CursorMoved { position, .. } if !self.locked => {
                let before = self.pointer.replace(*position)?;
                self.lead_back(window, *position);
                let (dx_px, dy_px) = (position.x - before.x, position.y - before.y);
                (dx_px != 0.0 || dy_px != 0.0).then_some(FromMain::MouseMotion { dx_px, dy_px, t })
            }
            _ => None,
        }
    }

    /// Relative motion, where the pointer is locked and the window library passes it on.
    pub(super) fn hear_device(&self, event: &DeviceEvent) -> Option<FromMain> {
        match event {
            DeviceEvent::MouseMotion { delta: (dx_px, dy_px) } if self.locked => {
                Some(FromMain::MouseMotion { dx_px: *dx_px, dy_px: *dy_px, t: clock::now() })
            }
            _ => None,
        }
    }

    fn lead_back(&mut self, window: &Window, at: PhysicalPosition<f64>) {
        let size = window.inner_size().cast::<f64>();
        let near =
            |x: f64, length: f64| x < length * BORDER_SHARE || x > length * (1.0 - BORDER_SHARE);
        if near(at.x, size.width) || near(at.y, size.height) {
            let middle =
                PhysicalPosition::new((size.width / 2.0).floor(), (size.height / 2.0).floor());
            if window.set_cursor_position(middle).is_ok() {
                self.pointer = Some(middle);
            }
        }
    }
}

fn button_of(button: MouseButton) -> Button {
    match button {
        MouseButton::Left => Button::Left,
        MouseButton::Right => Button::Right,
        MouseButton::Middle => Button::Middle,
        // The system numbers the side buttons 8 and 9.
        MouseButton::Back => Button::Other(8),
        MouseButton::Forward => Button::Other(9),
        MouseButton::Other(number) => Button::Other(u8::try_from(number).unwrap_or(u8::MAX)),
    }
}
