//! A thread that hears one X11 connection, stamps what comes and rings the stimulus thread's bell.
//!
//! It waits in the connection and does nothing else, so that the stamp at receipt is as early as
//! the system wakes it. It knows no frames. Invariant: a full ring loses the newest and counts it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;

use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    ClientMessageEvent, ConnectionExt, CreateWindowAux, EventMask, Window, WindowClass,
};
use x11rb::rust_connection::RustConnection;

use crate::clock::{self, Bell};
use crate::display::x11::Fault;
use crate::units::{Nanos, Span};

/// Far more than one frame can cause; beyond that something else draws to the window.
const RING: usize = 256;

/// One thing heard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Heard {
    /// The moment it speaks of.
    pub(super) t: Nanos,
    /// The server's number of the present, where there is one.
    pub(super) serial: u32,
    /// The server's number of the vertical blank, where there is one.
    pub(super) blank: u64,
    /// The picture was passed over.
    pub(super) skipped: bool,
    /// How far `t` can be off.
    pub(super) sd: Span,
}

/// A thread on an X11 connection of its own; ends when dropped.
#[derive(Debug)]
pub(super) struct Listener {
    ring: rtrb::Consumer<Heard>,
    connection: Arc<RustConnection>,
    own: Window,
    quit: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Listener {
    /// Hears `connection` until dropped. `hear` makes of an event and the clock at its receipt
    /// what is pushed, or nothing.
    pub(super) fn start(
        name: &str,
        connection: RustConnection,
        root: Window,
        bell: Bell,
        hear: impl Fn(&Event, Nanos) -> Option<Heard> + Send + 'static,
    ) -> Result<Listener, Fault> {
        let own = connection.generate_id()?;
        let aux = CreateWindowAux::new();
        connection
            .create_window(0, own, root, 0, 0, 1, 1, 0, WindowClass::INPUT_ONLY, 0, &aux)?
            .check()?;
        let (mut push, ring) = rtrb::RingBuffer::new(RING);
        let quit = Arc::new(AtomicBool::new(false));
        let connection = Arc::new(connection);
        let (heard_by, told) = (Arc::clone(&connection), Arc::clone(&quit));
        let thread = std::thread::Builder::new()
            .name(name.to_owned())
            .spawn(move || {
                // A broken connection ends the thread: the clock is then silent, which the
                // screen notices, tells and answers by falling back.
                while let Ok(event) = heard_by.wait_for_event() {
                    let now = clock::now();
                    if told.load(Ordering::Acquire) {
                        break;
                    }
                    if let Some(heard) = hear(&event, now)
                        && push.push(heard).is_ok()
                    {
                        bell.ring();
                    }
                }
            })
            .map_err(|source| Fault::NoThread { source })?;
        Ok(Listener { ring, connection, own, quit, thread: Some(thread) })
    }

    /// The oldest thing heard and not yet taken.
    pub(super) fn take(&mut self) -> Option<Heard> {
        self.ring.pop().ok()
    }

    /// The connection it hears, to ask on.
    pub(super) fn connection(&self) -> &RustConnection {
        &self.connection
    }

    fn wake(&self) -> Result<(), Fault> {
        // Without an event mask it goes to the client that made the window: to ourselves.
        let nothing = ClientMessageEvent::new(32, self.own, 1u32, [0u32; 5]);
        self.connection.send_event(false, self.own, EventMask::NO_EVENT, nothing)?;
        Ok(self.connection.flush()?)
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        self.quit.store(true, Ordering::Release);
        // Where the message cannot be sent the connection is broken and the thread has ended.
        if self.wake().is_ok()
            && let Some(thread) = self.thread.take()
        {
            // A listener that panicked has nothing left to end.
            drop(thread.join());
        }
    }
}
