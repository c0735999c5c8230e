//! A keyboard and a pair of eyes on one X server: keys by XTEST, the title of the window by its
//! property. Knows nothing of the program.

use crate::support::xserver::XServer;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use tautline::clock;
use tautline::units::Span;
use x11rb::protocol::xproto::{
    AtomEnum, ConnectionExt as _, ImageFormat, KEY_PRESS_EVENT, KEY_RELEASE_EVENT, Window,
};
use x11rb::protocol::xtest::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;

/// Keysyms of the X11 protocol, keysym encoding.
pub(crate) const ENTER: u32 = 0xff0d;
pub(crate) const ESCAPE: u32 = 0xff1b;
pub(crate) const TAB: u32 = 0xff09;
pub(crate) const FIVE: u32 = 0x35;
pub(crate) const DOWN: u32 = 0xff54;

/// A keyboard.
pub(crate) struct Keyboard {
    connection: RustConnection,
    root: Window,
    first_code: u8,
    per_code: usize,
    keysyms: Vec<u32>,
}

impl Keyboard {
    /// # Panics
    /// When the server does not answer.
    pub(crate) fn on(screen: &XServer) -> Keyboard {
        let (connection, number) = x11rb::connect(Some(screen.display())).expect("it listens");
        let setup = x11rb::connection::Connection::setup(&connection);
        let root = setup.roots[number].root;
        let (first_code, last) = (setup.min_keycode, setup.max_keycode);
        let asked = connection.get_keyboard_mapping(first_code, last - first_code + 1);
        let map = asked.expect("it is there").reply().expect("it answers");
        let per_code = usize::from(map.keysyms_per_keycode.max(1));
        Keyboard { connection, root, first_code, per_code, keysyms: map.keysyms }
    }

    /// Presses one key for as long as a finger would.
    ///
    /// # Panics
    /// When no key has this keysym.
    pub(crate) fn press(&self, keysym: u32) {
        self.send(KEY_PRESS_EVENT, keysym);
        self.send(KEY_RELEASE_EVENT, keysym);
    }

    fn send(&self, kind: u8, keysym: u32) {
        let place =
            self.keysyms.chunks(self.per_code).position(|syms| syms.first() == Some(&keysym));
        let place = place.unwrap_or_else(|| panic!("no key for {keysym:#x}"));
        let code = self.first_code + u8::try_from(place).expect("a keyboard has 255 codes");
        let sent = self.connection.xtest_fake_input(kind, code, 0, self.root, 0, 0, 0);
        sent.expect("it is there");
        // Answered only after the fake input was taken in.
        self.connection.get_input_focus().expect("it is there").reply().expect("it answers");
        clock::wait(clock::now() + Span::from_ms(40));
    }

    /// What is on the screen, in a number that another picture would not have.
    pub(crate) fn picture(&self) -> u64 {
        let size = self.connection.get_geometry(self.root).expect("it is there");
        let size = size.reply().expect("it answers");
        let (width, height) = (size.width, size.height);
        let asked =
            self.connection.get_image(ImageFormat::Z_PIXMAP, self.root, 0, 0, width, height, !0);
        let picture = asked.expect("it is there").reply().expect("it answers");
        let mut hasher = DefaultHasher::new();
        picture.data.hash(&mut hasher);
        hasher.finish()
    }

    /// The same, once it is the same twice.
    ///
    /// # Panics
    /// When it never comes to rest `within` that time.
    pub(crate) fn still(&self, within: Span) -> u64 {
        let until = clock::now() + within;
        let mut before = self.picture();
        loop {
            clock::wait(clock::now() + Span::from_ms(250));
            let now = self.picture();
            if now == before {
                return now;
            }
            assert!(clock::now() < until, "the page never came to rest");
            before = now;
        }
    }

    /// Types small letters; each is its own keysym.
    pub(crate) fn type_in(&self, text: &str) {
        for letter in text.chars() {
            self.press(u32::from(letter));
        }
    }

    /// The titles of every window, managed ones below their frames.
    pub(crate) fn titles(&self) -> Vec<String> {
        self.windows().into_iter().map(|(_, title)| title).collect()
    }

    /// A window whose title begins with `title`.
    pub(crate) fn window_titled(&self, title: &str) -> Option<Window> {
        let windows = self.windows();
        let named = windows.iter().rev().find(|(_, shown)| shown.starts_with(title));
        named.map(|(window, _)| *window)
    }

    fn windows(&self) -> Vec<(Window, String)> {
        let mut titles = Vec::new();
        let mut windows = vec![self.root];
        while let Some(window) = windows.pop() {
            // A window may go away while it is looked at.
            let name = self.connection.intern_atom(false, b"_NET_WM_NAME").expect("it is there");
            let name = name.reply().expect("it answers").atom;
            let asked = self.connection.get_property(false, window, name, AtomEnum::ANY, 0, 256);
            if let Ok(said) = asked.expect("it is there").reply()
                && !said.value.is_empty()
            {
                titles.push((window, String::from_utf8_lossy(&said.value).into_owned()));
            }
            if let Ok(tree) = self.connection.query_tree(window).expect("it is there").reply() {
                windows.extend(tree.children);
            }
        }
        titles
    }
}
