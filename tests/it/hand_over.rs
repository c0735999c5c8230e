//! A file dropped on the window, by the protocol that X11 desktops share (XDND, version 5), and the
//! system's file dialog, by a portal of the test's own. Real window, real bus, real messages.

mod drag;
mod portal;

use crate::keyboard::{ENTER, Keyboard, TAB};
use crate::support::players;
use crate::support::xserver::XServer;
use drag::Drag;
use portal::Portal;
use std::path::{Path, PathBuf};
use std::process::Child;
use tautline::clock;
use tautline::units::Span;

/// A page may take this long to come on a machine that does much else.
const WITHIN: Span = Span::from_s(180);

/// The program on a screen of its own, past the caution.
struct Guest {
    screen: XServer,
    keyboard: Keyboard,
    program: Child,
    folder: PathBuf,
}

impl Drop for Guest {
    fn drop(&mut self) {
        // Already ended is as good: neither answer says more.
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

impl Guest {
    /// `bus`: the address of the session's bus, where nothing answers without one.
    fn new(name: &str, bus: &str) -> Guest {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hand-over").join(name);
        if folder.exists() {
            std::fs::remove_dir_all(&folder).unwrap();
        }
        let settings = folder.join("config/tautline");
        std::fs::create_dir_all(&settings).unwrap();
        std::fs::write(settings.join("settings.toml"), "caution_read = true\n").unwrap();
        std::fs::write(folder.join("counted.csv"), table()).unwrap();
        let screen = XServer::start();
        let mut command = players::on_screen(Path::new(env!("CARGO_BIN_EXE_tautline")), &screen);
        command.env("HOME", &folder).env("XDG_CONFIG_HOME", folder.join("config"));
        command.env("DBUS_SESSION_BUS_ADDRESS", bus);
        command.args(["--window", "1280x720"]).arg("--data").arg(folder.join("data"));
        let program = command.spawn().unwrap();
        let keyboard = Keyboard::on(&screen);
        let mut guest = Guest { screen, keyboard, program, folder };
        guest.until("What do you want to know?");
        guest
    }

    fn wait_for(&mut self, what: &str, done: impl Fn(&Guest) -> bool) {
        let until = clock::now() + WITHIN;
        while !done(self) {
            assert!(self.program.try_wait().unwrap().is_none(), "it ended before {what}");
            let titles = self.keyboard.titles();
            assert!(clock::now() < until, "{what} never came; on show: {titles:?}");
            clock::wait(clock::now() + Span::from_ms(50));
        }
    }

    fn shows(&self, title: &str) -> bool {
        self.keyboard.titles().iter().any(|shown| shown.starts_with(title))
    }

    fn until(&mut self, title: &str) {
        self.wait_for(title, |guest| guest.shows(title));
    }

    /// Presses `key` each time the picture has come to rest, until the page `next` comes.
    fn press_until(&mut self, key: u32, next: &str) {
        let until = clock::now() + WITHIN;
        let mut before = 0;
        while !self.shows(next) {
            let now = self.keyboard.picture();
            if now == before {
                self.keyboard.press(key);
            }
            before = now;
            assert!(clock::now() < until, "{next} never came: {:?}", self.keyboard.titles());
            clock::wait(clock::now() + Span::from_ms(250));
        }
    }

    /// Moves the focus, and waits until that is to be seen.
    fn tab(&mut self) {
        let before = self.keyboard.still(WITHIN);
        self.keyboard.press(TAB);
        self.wait_for("the focus", |guest| guest.keyboard.picture() != before);
    }

    fn table(&self) -> PathBuf {
        self.folder.join("counted.csv")
    }

    /// What the table says was worked out and written beside it.
    fn worked_out(&mut self) {
        // The columns are read beside the window; before that Enter does nothing.
        self.press_until(ENTER, "What was found");
        let report = self.folder.join("counted-findings/report.html");
        self.wait_for("the report", |_| report.exists());
    }
}

/// Invented: two holds in six cycles.
fn table() -> String {
    let mut rows = "hold,cycle,time_ms\n".to_owned();
    for cycle in 0..6 {
        for press in 0..6 {
            let step = (cycle * 3 + press * 7) % 11;
            rows += &format!("open,{cycle},{}\nclosed,{cycle},{}\n", 240 + step, 228 + step);
        }
    }
    rows
}

#[test]
fn a_table_dropped_on_the_window_is_shown_and_worked_out() {
    let mut guest = Guest::new("drop", "unix:path=/nowhere");
    let drag = Drag::on(guest.screen.display());
    let window = guest.keyboard.window_titled("What do you want to know?").unwrap();
    drag.drop_file(window, &guest.table());
    guest.until("Times measured elsewhere");
    guest.worked_out();
}

#[test]
fn a_table_is_chosen_in_the_systems_dialog() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hand-over/dialog");
    let portal = Portal::answering(&folder.join("counted.csv"));
    let mut guest = Guest::new("dialog", portal.address());
    // From the head of the page: history, tables, settings and the rest stand there in this order.
    to_the_tables(&mut guest);
    press_first_button(&mut guest);
    guest.wait_for("the dialog", |_| portal.was_asked());
    guest.worked_out();
    assert!(portal.saw_parent(), "the dialog was told its window");
}

/// In the head stand, in the order of Tab: sessions, tables, settings, quit.
fn to_the_tables(guest: &mut Guest) {
    for _ in 0..2 {
        guest.tab();
    }
    guest.keyboard.press(ENTER);
    guest.until("Times measured elsewhere");
}

/// Below the head's four.
fn press_first_button(guest: &mut Guest) {
    for _ in 0..5 {
        guest.tab();
    }
    guest.keyboard.press(ENTER);
}
