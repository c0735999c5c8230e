//! A window whose client knows when it drew: what the robot itself can be trusted to.
//!
//! It draws a rectangle by a request of its own and asks the server to answer when that is done, so
//! the onset is known between two readings of the clock; the press is stamped where it is received.
//! No GPU, no frames, no event loop: what is left is the robot's and the server's own doubt.

use super::matching::Told;
use super::players::{self, Play, Programs, Timed};
use super::xserver::XServer;
use std::path::Path;
use tautline::clock;
use tautline::units::Span;
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    ConnectionExt as _, CreateGCAux, CreateWindowAux, EventMask, Gcontext, Rectangle, Window,
    WindowClass,
};
use x11rb::rust_connection::RustConnection;

const WIDTH_PX: u16 = 1280;
const HEIGHT_PX: u16 = 720;
/// Side of the rectangle, px.
const SIDE_PX: u16 = 60;
/// The field's grey, and the target's blue at six tenths of its contrast.
const GREY: u32 = 0x0080_8080;
const BLUE: u32 = 0x0033_789e;
/// Longest time that a press may take to come.
const WITHIN: Span = Span::from_s(5);

struct Floor {
    connection: RustConnection,
    window: Window,
    paint: Gcontext,
}

/// Shows `trials` rectangles and lets the robot answer them.
///
/// # Panics
/// When the server, the window manager or the robot does not do its part.
pub(crate) fn play(
    programs: &Programs,
    screen: &XServer,
    trials: u32,
    folder: &Path,
    play: &Play,
) -> Timed {
    std::fs::create_dir_all(folder).expect("a folder for the truth");
    let floor = Floor::open(screen);
    let truth = folder.join("truth.csv");
    let mut robot =
        players::robot(programs, screen, &truth, play, std::process::id(), Some(trials));
    // The robot looks for a window, then whether the field stands; give it the time.
    sleep(Span::from_ms(1500));
    let told = (0..trials).map(|trial| floor.trial(trial)).collect();
    robot.ended("the robot", 30);
    Timed { truth: super::truth::read(&truth), told }
}

fn sleep(span: Span) {
    let until = clock::now() + span;
    while clock::now() < until {
        clock::wait(until);
    }
}

impl Floor {
    fn open(screen: &XServer) -> Floor {
        let (connection, number) = x11rb::connect(Some(screen.display())).expect("Xvfb listens");
        let root = connection.setup().roots[number].root;
        let window = connection.generate_id().expect("an id");
        let events = EventMask::BUTTON_PRESS | EventMask::EXPOSURE;
        let look = CreateWindowAux::new().background_pixel(GREY).event_mask(events);
        let class = WindowClass::INPUT_OUTPUT;
        connection
            .create_window(0, window, root, 0, 0, WIDTH_PX, HEIGHT_PX, 0, class, 0, &look)
            .expect("the server is there");
        let paint = connection.generate_id().expect("an id");
        let ink = CreateGCAux::new().foreground(BLUE);
        connection.create_gc(paint, window, &ink).expect("the server is there");
        connection.map_window(window).expect("the server is there");
        connection.flush().expect("the server is there");
        let floor = Floor { connection, window, paint };
        floor.wait_for(|event| matches!(event, Event::Expose(_)));
        floor
    }

    fn trial(&self, trial: u32) -> Told {
        // Not in step with the robot's looks.
        sleep(Span(350_000_000 + i64::from(trial) * 7_310_000 % 250_000_000));
        let place = |whole: u16| i16::try_from((whole - SIDE_PX) / 2).expect("a screen");
        let target =
            Rectangle { x: place(WIDTH_PX), y: place(HEIGHT_PX), width: SIDE_PX, height: SIDE_PX };
        let before = clock::now();
        let drawn = self.connection.poly_fill_rectangle(self.window, self.paint, &[target]);
        drawn.expect("the server is there");
        self.answered();
        let after = clock::now();
        self.wait_for(|event| matches!(event, Event::ButtonPress(_)));
        let press = clock::now();
        let cleared = self.connection.clear_area(false, self.window, 0, 0, 0, 0);
        cleared.expect("the server is there");
        self.answered();
        Told {
            shown_ns: Some(before.0.midpoint(after.0)),
            press_ns: Some(press.0),
            begun_ns: None,
            rt_sd_ms: None,
            shown_sd_ms: None,
            flagged: false,
            counts: true,
        }
    }

    /// Returns once the server has done everything asked so far.
    fn answered(&self) {
        let asked = self.connection.get_input_focus().expect("the server is there");
        asked.reply().expect("the server answers");
    }

    fn wait_for(&self, wanted: impl Fn(&Event) -> bool) {
        let until = clock::now() + WITHIN;
        loop {
            // Polled, not blocked: a robot that never presses must not hang the test.
            match self.connection.poll_for_event().expect("the server is there") {
                Some(event) if wanted(&event) => return,
                Some(_) => {}
                None => {
                    assert!(clock::now() < until, "the event did not come");
                    clock::wait(clock::now() + Span(50_000));
                }
            }
        }
    }
}
