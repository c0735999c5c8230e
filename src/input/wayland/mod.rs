//! Wayland's pointer, spoken on beside the window library: motion before acceleration, and the
//! compositor's own times, which in practice are the kernel's.
//!
//! A queue and a pointer object of our own on the window library's connection: another connection
//! would hear nothing. It cannot tell two mice apart: a seat has one pointer. Invariants: the window
//! library stays the owner of the connection; what is believed of a time is never older than
//! [`BELIEVED`], so the watermark is that far behind. What the library allocates for an event lies
//! before the stamp's way into the ring, not on it.

mod seats;
mod times;

use self::seats::{Ears, Known};
use self::times::BELIEVED;
use super::WaylandDisplay;
use super::choice::Reason;
use super::devices::Devices;
use super::lane::LaneIn;
use super::source::{Ended, LONGEST_WAIT, Source};
use super::wait::poll;
use crate::clock;
use std::os::fd::AsRawFd;
use std::sync::Arc;
use wayland_backend::client::{Backend, WaylandError};
use wayland_client::globals::registry_queue_init;
use wayland_client::{Connection, EventQueue};

/// The pointers of every seat (or of the wanted one).
pub(crate) struct Wayland {
    queue: EventQueue<Ears>,
    ears: Ears,
}

impl Wayland {
    /// Joins the window library's connection.
    ///
    /// # Errors
    /// The compositor gives no relative motion, or has no pointer, or not the wanted one.
    #[expect(unsafe_code, reason = "the window library hands out an address")]
    pub(crate) fn join(
        WaylandDisplay(display): WaylandDisplay,
        devices: Arc<Devices>,
        wanted: Option<&str>,
    ) -> Result<Wayland, Reason> {
        let display = std::ptr::with_exposed_provenance_mut(display);
        // SAFETY: the address of a live wl_display, told by the window library. `Hands` waits for
        // this source's thread before it is gone, and it is gone before the event loop that owns
        // the display.
        let backend = unsafe { Backend::from_foreign_display(display) };
        Wayland::on(&Connection::from_backend(backend), devices, wanted)
    }

    /// Looks, on a connection of its own, whether a window of ours would be served.
    ///
    /// # Errors
    /// As [`Wayland::join`], and where no compositor answers.
    pub(crate) fn look(devices: Arc<Devices>) -> Result<(), Reason> {
        let connection = Connection::connect_to_env()
            .map_err(|error| Reason::NoCompositor { detail: error.to_string() })?;
        Wayland::on(&connection, devices, None).map(drop)
    }

    fn on(
        connection: &Connection,
        devices: Arc<Devices>,
        wanted: Option<&str>,
    ) -> Result<Wayland, Reason> {
        let (globals, mut queue) = registry_queue_init::<Ears>(connection)
            .map_err(|error| Reason::NoCompositor { detail: error.to_string() })?;
        let known = Known { devices, wanted: wanted.map(str::to_owned) };
        let mut ears = Ears::open(&globals, &queue.handle(), known)?;
        // Once for what the seats can, once more for what follows from it.
        for _ in 0..2 {
            queue
                .roundtrip(&mut ears)
                .map_err(|error| Reason::NoCompositor { detail: error.to_string() })?;
            ears.look_at_seats(None);
        }
        ears.judge_wanted()?;
        Ok(Wayland { queue, ears })
    }

    /// Waits for the connection and reads it. Another thread of the program may read it too: then
    /// there is nothing left to read, and what it read for us waits in the queue.
    fn read(&self) -> Result<(), Ended> {
        self.queue.flush().map_err(|error| ended("writing to the compositor", &error))?;
        // `None`: something came meanwhile and waits to be dispatched.
        let Some(reading) = self.queue.prepare_read() else { return Ok(()) };
        let fd = reading.connection_fd().as_raw_fd();
        let mut waits = [libc::pollfd { fd, events: libc::POLLIN, revents: 0 }];
        poll(&mut waits, LONGEST_WAIT)?;
        match waits[0].revents {
            0 => Ok(()),
            some if some & libc::POLLIN != 0 => match reading.read() {
                Ok(_) => Ok(()),
                Err(WaylandError::Io(error)) if error.kind() == std::io::ErrorKind::WouldBlock => {
                    Ok(())
                }
                Err(error) => Err(ended("reading from the compositor", &error)),
            },
            _ => Err(Ended { what: "reading from the compositor", detail: "it is gone".into() }),
        }
    }
}

impl Source for Wayland {
    const THREAD: &'static str = "input wayland";

    fn turn(&mut self, lane: &mut LaneIn) -> Result<(), Ended> {
        self.read()?;
        // What comes later is received later, and believed only if it is hardly older.
        let pass = clock::now();
        self.queue
            .dispatch_pending(&mut self.ears)
            .map_err(|error| ended("hearing the compositor", &error))?;
        self.ears.hand_over(lane);
        self.ears.look_at_seats(Some(lane));
        lane.settle(pass - BELIEVED);
        Ok(())
    }
}

impl Drop for Wayland {
    fn drop(&mut self) {
        self.ears.let_go();
        // A connection that broke has let go of everything itself.
        let _broken = self.queue.flush();
    }
}

fn ended(what: &'static str, error: &dyn std::error::Error) -> Ended {
    Ended { what, detail: error.to_string() }
}
