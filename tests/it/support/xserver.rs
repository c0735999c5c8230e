//! A screen of one's own: Xvfb on a free display with openbox on it, both ended with the value.
//!
//! Knows nothing of what is shown. Larger than the window that is tried, so that its frame fits.

use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use tautline::clock;
use tautline::units::Span;
use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{
    AtomEnum, ConnectionExt as _, CreateWindowAux, MapState, Window, WindowClass,
};
use x11rb::rust_connection::RustConnection;

/// A running X server with a window manager.
pub(crate) struct XServer {
    server: Child,
    manager: Option<Child>,
    display: String,
}

impl XServer {
    /// Starts both and waits until windows are managed.
    ///
    /// # Panics
    /// When Xvfb or openbox is not installed or does not start within 60 s.
    pub(crate) fn start() -> XServer {
        let mut server = Command::new("Xvfb")
            // The server looks for a free display itself and writes its number to this descriptor.
            .args(["-displayfd", "1", "-screen", "0", "1440x900x24", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("Xvfb is installed (Debian: xvfb)");
        let mut line = String::new();
        let stdout = server.stdout.take().expect("it was piped");
        BufReader::new(stdout).read_line(&mut line).expect("Xvfb tells its display");
        let display = format!(":{}", line.trim());
        // Held from here on, so that a panic below ends the server too.
        let mut started = XServer { server, manager: None, display };
        let manager = Command::new("openbox")
            .arg("--sm-disable")
            .env("DISPLAY", &started.display)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("openbox is installed (Debian: openbox)");
        started.manager = Some(manager);
        started.await_manager();
        started
    }

    /// `:N`.
    pub(crate) fn display(&self) -> &str {
        &self.display
    }

    /// Waits until a window that asks to be mapped is mapped. The manager's own sign of life comes
    /// too early: what is asked between it and the end of its start is forgotten.
    fn await_manager(&self) {
        const WITHIN: Span = Span::from_s(60);
        const AGAIN: Span = Span::from_ms(100);
        let (connection, screen) = x11rb::connect(Some(&self.display)).expect("Xvfb listens");
        let root = connection.setup().roots[screen].root;
        let asked = |name| {
            let cookie = connection.intern_atom(false, name).expect("the server is there");
            cookie.reply().expect("the server answers").atom
        };
        let alive = asked(b"_NET_SUPPORTING_WM_CHECK");
        let until = clock::now() + WITHIN;
        let has_sign = || {
            let sign = connection.get_property(false, root, alive, AtomEnum::WINDOW, 0, 1);
            let sign = sign.expect("the server is there").reply().expect("the server answers");
            sign.value_len > 0
        };
        while !(has_sign() && maps_windows(&connection, root)) {
            assert!(clock::now() < until, "openbox did not take the screen");
            clock::wait(clock::now() + AGAIN);
        }
    }
}

/// Whether a new window asked to be mapped is so within a second.
fn maps_windows(connection: &RustConnection, root: Window) -> bool {
    const WITHIN: Span = Span::from_s(1);
    const AGAIN: Span = Span::from_ms(20);
    let window = connection.generate_id().expect("an id");
    let look = CreateWindowAux::new();
    let class = WindowClass::INPUT_OUTPUT;
    connection
        .create_window(0, window, root, 0, 0, 8, 8, 0, class, 0, &look)
        .expect("the server is there");
    connection.map_window(window).expect("the server is there");
    connection.flush().expect("the server is there");
    let until = clock::now() + WITHIN;
    let is_mapped = || {
        let state = connection.get_window_attributes(window).expect("the server is there");
        state.reply().expect("the server answers").map_state == MapState::VIEWABLE
    };
    let mut mapped = is_mapped();
    while !mapped && clock::now() < until {
        clock::wait(clock::now() + AGAIN);
        mapped = is_mapped();
    }
    connection.destroy_window(window).expect("the server is there");
    connection.flush().expect("the server is there");
    mapped
}

impl Drop for XServer {
    fn drop(&mut self) {
        // Already gone is as good as ended: neither answer says more.
        for child in self.manager.iter_mut().chain([&mut self.server]) {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}
