//! What we ask of an X11 server on connections of our own: extensions, the compositor, and to be
//! left out of composition.
//!
//! It knows no frames. The window library's connection is never touched.

use x11rb::connection::{Connection, RequestConnection};
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt, MapState, PropMode, Window};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// Why the server does not tell.
#[derive(Debug, thiserror::Error)]
pub(super) enum Fault {
    /// The window is not an X11 window.
    #[error("the window is not an X11 window")]
    NoWindow,
    /// No connection.
    #[error("no connection to the X11 server: {source}")]
    NoConnection {
        /// What the library said.
        #[from]
        source: x11rb::errors::ConnectError,
    },
    /// The connection broke.
    #[error("the connection to the X11 server broke: {source}")]
    Broken {
        /// What the library said.
        #[from]
        source: x11rb::errors::ConnectionError,
    },
    /// The server refused a request.
    #[error("the X11 server refused: {source}")]
    Refused {
        /// What the library said.
        #[from]
        source: x11rb::errors::ReplyError,
    },
    /// No number left for a new object.
    #[error("the X11 server gave no number: {source}")]
    NoNumber {
        /// What the library said.
        #[from]
        source: x11rb::errors::ReplyOrIdError,
    },
    /// An extension is missing.
    #[error("the X11 server lacks the extension {name}")]
    NoExtension {
        /// Its name.
        name: &'static str,
    },
    /// No thread.
    #[error("no thread to listen with: {source}")]
    NoThread {
        /// What the system said.
        source: std::io::Error,
    },
}

/// The screen a connection talks of.
#[derive(Debug, Clone, Copy)]
pub(super) struct ScreenOf {
    /// Its number.
    pub(super) number: usize,
    /// Its root window.
    pub(super) root: Window,
}

/// A connection of our own.
#[derive(Debug)]
pub(super) struct Link {
    /// The connection.
    pub(super) connection: RustConnection,
    /// Its default screen.
    pub(super) screen: ScreenOf,
}

impl Link {
    /// Connects to the server that DISPLAY names.
    pub(super) fn open() -> Result<Link, Fault> {
        let (connection, number) = RustConnection::connect(None)?;
        let root = connection.setup().roots[number].root;
        Ok(Link { connection, screen: ScreenOf { number, root } })
    }

    /// Fails when the server lacks an extension.
    pub(super) fn need(&self, name: &'static str) -> Result<(), Fault> {
        if self.connection.query_extension(name.as_bytes())?.reply()?.present {
            Ok(())
        } else {
            Err(Fault::NoExtension { name })
        }
    }
}

/// The window that owns composition of the screen, if any.
pub(super) fn compositor(
    connection: &impl RequestConnection,
    screen_number: usize,
) -> Result<Option<Window>, Fault> {
    let name = format!("_NET_WM_CM_S{screen_number}");
    let atom = connection.intern_atom(false, name.as_bytes())?.reply()?.atom;
    let owner = connection.get_selection_owner(atom)?.reply()?.owner;
    Ok((owner != x11rb::NONE).then_some(owner))
}

/// Asks compositors to leave the window out. Some ignore it.
pub(super) fn bypass_compositor(link: &Link, xid: Window) -> Result<(), Fault> {
    let atom = link.connection.intern_atom(false, b"_NET_WM_BYPASS_COMPOSITOR")?.reply()?.atom;
    link.connection
        .change_property32(PropMode::REPLACE, xid, atom, AtomEnum::CARDINAL, &[1])?
        .check()?;
    Ok(())
}

/// Whether the window and all that it stands in are on the screen (it may still be covered).
pub(super) fn viewable(xid: Window) -> Result<bool, Fault> {
    let link = Link::open()?;
    let told = link.connection.get_window_attributes(xid)?.reply()?;
    Ok(told.map_state == MapState::VIEWABLE)
}
