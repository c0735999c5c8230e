//! The window library's Wayland connection, spoken on beside it: a queue of our own, its surface.
//!
//! It knows no frames. Invariant: the library stays the owner of connection and surface; nothing
//! of it is destroyed here, and no second role or timing object is ever made for the surface.

use std::os::fd::{AsRawFd, BorrowedFd};

use wayland_backend::client::{Backend, ObjectId};
use wayland_client::protocol::wl_surface::WlSurface;
use wayland_client::{Connection, Proxy};

use super::WaylandHandles;
use crate::units::Span;

/// Why the compositor does not tell.
#[derive(Debug, thiserror::Error)]
pub(super) enum Fault {
    /// The window is not a Wayland window.
    #[error("the window is not a Wayland window")]
    NoWindow,
    /// The compositor's objects could not be listed.
    #[error("the compositor does not list what it offers: {source}")]
    NoList {
        /// What the library said.
        #[from]
        source: wayland_client::globals::GlobalError,
    },
    /// It lacks what is needed.
    #[error("the compositor does not offer {name}: {source}")]
    NotOffered {
        /// The interface.
        name: &'static str,
        /// What the library said.
        source: wayland_client::globals::BindError,
    },
    /// The surface is not what the window library said.
    #[error("the window's surface is not one: {source}")]
    NoSurface {
        /// What the library said.
        #[from]
        source: wayland_backend::client::InvalidId,
    },
    /// The connection broke.
    #[error("the connection to the compositor broke: {source}")]
    Broken {
        /// What the library said.
        #[from]
        source: wayland_client::DispatchError,
    },
    /// It did not say on which clock its times are.
    #[error("the compositor does not say on which clock its times are")]
    NoClock,
    /// Its clock cannot be read here.
    #[error("the compositor's times are on clock {number}, which cannot be read here")]
    ForeignClock {
        /// The clock's number.
        number: u32,
    },
    /// No thread.
    #[error("no thread to listen with: {source}")]
    NoThread {
        /// What the system said.
        source: std::io::Error,
    },
}

/// The window library's connection and the window's surface, as objects of our own.
#[derive(Debug)]
pub(super) struct Link {
    /// The connection.
    pub(super) connection: Connection,
    /// The window's surface.
    pub(super) surface: WlSurface,
}

impl Link {
    /// Joins the connection that the window library opened.
    #[expect(unsafe_code, reason = "the window library hands out addresses")]
    pub(super) fn of(window: WaylandHandles) -> Result<Link, Fault> {
        let display = std::ptr::with_exposed_provenance_mut(window.display);
        // SAFETY: the address of a live wl_display, told by the window library; it outlives this
        // link, which ends with the stimulus thread, before the event loop that owns the display.
        let backend = unsafe { Backend::from_foreign_display(display) };
        let connection = Connection::from_backend(backend);
        let surface = std::ptr::with_exposed_provenance_mut(window.surface);
        // SAFETY: the address of the live wl_surface of the same window and display; the window
        // outlives this link for the same reason, and the number is never used to destroy it.
        let id = unsafe { ObjectId::from_ptr(WlSurface::interface(), surface) }?;
        let surface = WlSurface::from_id(&connection, id)?;
        Ok(Link { connection, surface })
    }
}

/// Waits until the connection has something to read, at most `longest`.
#[expect(unsafe_code, reason = "poll has no safe face in std")]
pub(super) fn readable(connection: BorrowedFd<'_>, longest: Span) -> Readable {
    let mut wait = libc::pollfd { fd: connection.as_raw_fd(), events: libc::POLLIN, revents: 0 };
    let ms = libc::c_int::try_from(longest.0 / 1_000_000).expect("at most 20 ms");
    // SAFETY: one pollfd, which outlives the call and into which the kernel writes `revents`.
    let code = unsafe { libc::poll(&raw mut wait, 1, ms) };
    let interrupted =
        code < 0 && std::io::Error::last_os_error().kind() == std::io::ErrorKind::Interrupted;
    if code == 0 || interrupted {
        Readable::NotYet
    } else if wait.revents & libc::POLLIN != 0 {
        Readable::Yes
    } else {
        Readable::Never
    }
}

/// Whether there is something to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Readable {
    /// There is.
    Yes,
    /// Not within the time.
    NotYet,
    /// The connection is gone.
    Never,
}
