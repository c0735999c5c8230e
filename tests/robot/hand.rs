//! Presses, moves and types, through XTEST on a connection of its own.
//!
//! Each act stands between two readings of the clock: before it was written and after the server
//! had answered that it was done. Knows nothing of what is on the screen.

use crate::error::RobotError;
use tautline::clock;
use tautline::units::{Nanos, Span};
use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ConnectionExt as _, KEY_PRESS_EVENT,
    KEY_RELEASE_EVENT, MOTION_NOTIFY_EVENT, Window,
};
use x11rb::protocol::xtest::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;

/// An act, and between which two moments the server did it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Done {
    pub(crate) before: Nanos,
    pub(crate) after: Nanos,
}

/// X11 number of the left button.
pub(crate) const LEFT: u8 = 1;
/// X11 number of the right button.
pub(crate) const RIGHT: u8 = 3;

/// Keysym of Enter (X11 protocol, keysym encoding).
const ENTER: u32 = 0xff0d;

/// A connection that only acts.
pub(crate) struct Hand {
    connection: RustConnection,
    root: Window,
    enter: u8,
}

impl Hand {
    pub(crate) fn open(display: Option<&str>) -> Result<Hand, RobotError> {
        let (connection, screen) = x11rb::connect(display)?;
        connection.xtest_get_version(2, 2)?.reply()?;
        let root = connection.setup().roots[screen].root;
        let enter = keycode(&connection, ENTER)?;
        Ok(Hand { connection, root, enter })
    }

    /// Puts the pointer at a point of the screen.
    pub(crate) fn place(&self, x_px: i16, y_px: i16) -> Result<Done, RobotError> {
        self.fake(MOTION_NOTIFY_EVENT, 0, x_px, y_px)
    }

    /// Moves by counts.
    pub(crate) fn shift(&self, dx: i16, dy: i16) -> Result<Done, RobotError> {
        // XTEST's detail 1 of a motion: relative.
        self.fake(MOTION_NOTIFY_EVENT, 1, dx, dy)
    }

    pub(crate) fn press(&self, button: u8) -> Result<Done, RobotError> {
        self.fake(BUTTON_PRESS_EVENT, button, 0, 0)
    }

    pub(crate) fn release(&self, button: u8) -> Result<Done, RobotError> {
        self.fake(BUTTON_RELEASE_EVENT, button, 0, 0)
    }

    /// Presses Enter for as long as a finger would.
    pub(crate) fn enter(&self) -> Result<(), RobotError> {
        const HELD: Span = Span::from_ms(40);
        self.fake(KEY_PRESS_EVENT, self.enter, 0, 0)?;
        sleep_until(clock::now() + HELD);
        self.fake(KEY_RELEASE_EVENT, self.enter, 0, 0)?;
        Ok(())
    }

    fn fake(&self, kind: u8, detail: u8, x: i16, y: i16) -> Result<Done, RobotError> {
        let before = clock::now();
        self.connection.xtest_fake_input(kind, detail, 0, self.root, x, y, 0)?;
        // Answered only after the fake input was taken in: requests of one client keep their order.
        self.connection.get_input_focus()?.reply()?;
        Ok(Done { before, after: clock::now() })
    }
}

fn keycode(connection: &RustConnection, keysym: u32) -> Result<u8, RobotError> {
    let (low, high) = (connection.setup().min_keycode, connection.setup().max_keycode);
    let map = connection.get_keyboard_mapping(low, high - low + 1)?.reply()?;
    let per_code = usize::from(map.keysyms_per_keycode.max(1));
    let index = map.keysyms.chunks(per_code).position(|syms| syms.contains(&keysym));
    let index = index.and_then(|index| u8::try_from(index).ok()).unwrap_or(0);
    Ok(low + index)
}

/// Sleeps until `until`.
pub(crate) fn sleep_until(until: Nanos) {
    while clock::now() < until {
        clock::wait(until);
    }
}

/// Waits for `until` as exactly as it can be done: sleeps, then spins for the last bit.
pub(crate) fn wait_exactly(until: Nanos) {
    const SPIN: Span = Span(250_000);
    sleep_until(until - SPIN);
    while clock::now() < until {
        std::hint::spin_loop();
    }
}
