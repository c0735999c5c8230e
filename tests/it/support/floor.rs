//! A window whose client knows when it drew: what the robot itself can be trusted to.
//!
//! It draws a rectangle by a request of its own and asks the server to answer when that is done, so
//! the onset is known between two readings of the clock; the press is stamped where it is received,
//! by a thread that does nothing else. No GPU, no frames, no event loop: what is left is the robot's
//! and the server's own doubt. It shows a target wherever a task may show one, and turns its view
//! by raw motion as pointing does.

use super::matching::Told;
use super::players::{self, Play, Programs, Timed};
use super::xserver::XServer;
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;
use tautline::clock;
use tautline::units::{Nanos, Span};
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xinput::{self, ConnectionExt as _};
use x11rb::protocol::xproto::{
    ConnectionExt as _, CreateGCAux, CreateWindowAux, EventMask, Gcontext, Rectangle, Window,
    WindowClass,
};
use x11rb::rust_connection::RustConnection;

const WIDTH_PX: i16 = 1280;
const HEIGHT_PX: i16 = 720;
/// Side of the rectangle, px.
const SIDE_PX: i16 = 60;
/// The field's grey, and the target's blue at six tenths of its contrast.
const GREY: u32 = 0x0080_8080;
const BLUE: u32 = 0x0033_789e;
/// Longest time that the window may take to be mapped.
const MAPPED_WITHIN: Duration = Duration::from_secs(60);
/// A target that nobody answers for so long is taken away and shown again.
const ANSWERED_WITHIN: Duration = Duration::from_secs(5);
/// How often a target is shown at most: a robot that was kept from looking takes one that it did
/// not see appear for an old one, and leaves it.
const SHOWINGS: usize = 12;
/// How far the view turns for a count, px. Not 1: the robot must find out.
const PX_PER_COUNT: f64 = 1.7;

/// From the middle of the window, px; y grows downwards.
#[derive(Debug, Clone, Copy)]
struct Offset {
    x_px: f64,
    y_px: f64,
}

/// What came to the window.
#[derive(Debug, Clone, Copy)]
enum Came {
    Press { button: u8, t: Nanos },
    Turned { x_counts: f64, y_counts: f64 },
}

struct Floor {
    connection: RustConnection,
    window: Window,
    paint: Gcontext,
    came: Receiver<Came>,
}

/// Shows `trials` targets of `play`'s task and lets the robot answer them. An answer counts when
/// it is by the right button and, in pointing, with the target in the middle.
///
/// # Panics
/// When the server, the window manager or the robot does not do its part.
#[expect(clippy::print_stderr, reason = "a test that had to begin again says so")]
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
    let own = std::process::id();
    let begin = || {
        let robot = players::robot(programs, screen, &truth, play, own, Some(trials));
        // The robot looks for a window, then whether the field stands: the usual time for that.
        sleep(Span::from_ms(1500));
        robot
    };
    let mut robot = begin();
    let mut told = Vec::new();
    for trial in 0..trials {
        let mut answer = floor.trial(trial, &play.task);
        if answer.is_none() && trial == 0 {
            // It has pressed nothing yet, so that nothing is lost: a machine with much else to do may
            // have kept it from its start.
            eprintln!("{}: a robot never began and is started again: {}", play.task, robot.state());
            robot = begin();
            answer = floor.trial(trial, &play.task);
        }
        told.push(answer.unwrap_or_else(|| {
            panic!("{}: nobody answers target {trial}; the robot: {}", play.task, robot.state())
        }));
    }
    robot.ended("the robot", 30);
    Timed { truth: super::truth::read(&truth), told }
}

fn sleep(span: Span) {
    let until = clock::now() + span;
    while clock::now() < until {
        clock::wait(until);
    }
}

/// Where the target of a trial first stands, with the protocols' usual sizes at 96 px an inch.
fn place(task: &str, trial: u32) -> Offset {
    let side = if trial.is_multiple_of(2) { -1.0 } else { 1.0 };
    match task {
        "choice" => Offset { x_px: side * 226.8, y_px: 0.0 },
        // The slab's edge is 60.5 px from the middle; what shows first lies just outside it.
        "emergence" => Offset { x_px: side * (60.5 + f64::from(SIDE_PX) / 2.0), y_px: 0.0 },
        "pointing" => {
            let (sin, cos) = (f64::from(trial % 8) * 45.0).to_radians().sin_cos();
            Offset { x_px: 226.8 * cos, y_px: 226.8 * sin }
        }
        _ => Offset { x_px: 0.0, y_px: 0.0 },
    }
}

/// X11 number of the button that answers.
fn answer(task: &str, place: Offset) -> u8 {
    if task == "choice" && place.x_px > 0.0 { 3 } else { 1 }
}

impl Floor {
    fn open(screen: &XServer) -> Floor {
        // One connection draws, another listens: neither waits for the other's answers.
        let (connection, number) = x11rb::connect(Some(screen.display())).expect("Xvfb listens");
        let (listening, _) = x11rb::connect(Some(screen.display())).expect("Xvfb listens");
        let root = connection.setup().roots[number].root;
        let window = connection.generate_id().expect("an id");
        let look = CreateWindowAux::new().background_pixel(GREY);
        let size = (WIDTH_PX.cast_unsigned(), HEIGHT_PX.cast_unsigned());
        let class = WindowClass::INPUT_OUTPUT;
        connection
            .create_window(0, window, root, 0, 0, size.0, size.1, 0, class, 0, &look)
            .expect("the server is there");
        let paint = connection.generate_id().expect("an id");
        let ink = CreateGCAux::new().foreground(BLUE);
        connection.create_gc(paint, window, &ink).expect("the server is there");
        answered(&connection);
        let (tell, came) = channel();
        let (ready, exposed) = channel();
        select(&listening, window, root);
        std::thread::Builder::new()
            .name("floor-events".to_owned())
            .spawn(move || listen(&listening, &tell, &ready))
            .expect("the system gives a thread");
        connection.map_window(window).expect("the server is there");
        answered(&connection);
        exposed.recv_timeout(MAPPED_WITHIN).expect("the window manager maps the window");
        Floor { connection, window, paint, came }
    }

    fn trial(&self, trial: u32, task: &str) -> Option<Told> {
        (0..SHOWINGS).find_map(|_| self.showing(trial, task))
    }

    /// One showing of a trial's target; nothing when it was not answered.
    fn showing(&self, trial: u32, task: &str) -> Option<Told> {
        // Not in step with the robot's looks.
        sleep(Span(350_000_000 + i64::from(trial) * 7_310_000 % 250_000_000));
        let mut at = place(task, trial);
        let wanted = answer(task, at);
        while self.came.try_recv().is_ok() {}
        let before = clock::now();
        self.draw(at);
        let after = clock::now();
        let pressed = loop {
            match self.came.recv_timeout(ANSWERED_WITHIN) {
                Ok(Came::Press { button, t }) => break Some((button, t)),
                Ok(Came::Turned { x_counts, y_counts }) if task == "pointing" => {
                    at.x_px -= x_counts * PX_PER_COUNT;
                    at.y_px -= y_counts * PX_PER_COUNT;
                    self.clear();
                    self.draw(at);
                }
                Ok(Came::Turned { .. }) => {}
                Err(RecvTimeoutError::Timeout) => break None,
                Err(RecvTimeoutError::Disconnected) => panic!("the server is gone"),
            }
        };
        self.clear();
        answered(&self.connection);
        let (button, press) = pressed?;
        let half_px = f64::from(SIDE_PX) / 2.0;
        let on_target =
            task != "pointing" || (at.x_px.abs() <= half_px && at.y_px.abs() <= half_px);
        Some(Told {
            shown_ns: Some(before.0.midpoint(after.0)),
            move_ns: None,
            five_ns: None,
            fit_ns: None,
            press_ns: Some(press.0),
            begun_ns: None,
            rt_sd_ms: None,
            shown_sd_ms: None,
            flagged: false,
            counts: button == wanted && on_target,
        })
    }

    /// Draws the target and returns when the server has.
    #[expect(clippy::cast_possible_truncation, reason = "a window is far below 32768 px")]
    fn draw(&self, at: Offset) {
        let target = Rectangle {
            x: (WIDTH_PX - SIDE_PX) / 2 + at.x_px.round() as i16,
            y: (HEIGHT_PX - SIDE_PX) / 2 + at.y_px.round() as i16,
            width: SIDE_PX.cast_unsigned(),
            height: SIDE_PX.cast_unsigned(),
        };
        let drawn = self.connection.poly_fill_rectangle(self.window, self.paint, &[target]);
        drawn.expect("the server is there");
        answered(&self.connection);
    }

    fn clear(&self) {
        let cleared = self.connection.clear_area(false, self.window, 0, 0, 0, 0);
        cleared.expect("the server is there");
    }
}

/// Asks for presses on the window and for raw motion anywhere.
fn select(connection: &RustConnection, window: Window, root: Window) {
    let mask = x11rb::protocol::xproto::ChangeWindowAttributesAux::new()
        .event_mask(EventMask::BUTTON_PRESS | EventMask::EXPOSURE);
    connection.change_window_attributes(window, &mask).expect("the server is there");
    let asked = connection.xinput_xi_query_version(2, 1).expect("the server is there");
    asked.reply().expect("the server answers");
    let raw = xinput::EventMask {
        deviceid: xinput::Device::ALL_MASTER.into(),
        mask: vec![xinput::XIEventMask::RAW_MOTION],
    };
    connection.xinput_xi_select_events(root, &[raw]).expect("the server is there");
    answered(connection);
}

/// Stamps and passes on what comes, until the server is gone.
fn listen(connection: &RustConnection, tell: &Sender<Came>, ready: &Sender<()>) {
    while let Ok(event) = connection.wait_for_event() {
        let t = clock::now();
        let told = match event {
            Event::Expose(_) => {
                // Only the first is waited for; later ones find nobody, as they should.
                let _ = ready.send(());
                Ok(())
            }
            Event::ButtonPress(press) => tell.send(Came::Press { button: press.detail, t }),
            Event::XinputRawMotion(motion) => tell.send(turned(&motion)),
            _ => Ok(()),
        };
        if told.is_err() {
            // The trials are over and nobody listens any more.
            return;
        }
    }
}

/// The counts of a raw motion: valuator 0 is rightwards, 1 downwards.
fn turned(motion: &xinput::RawMotionEvent) -> Came {
    let mask = motion.valuator_mask.first().copied().unwrap_or(0);
    let mut values = motion
        .axisvalues_raw
        .iter()
        .map(|value| f64::from(value.integral) + f64::from(value.frac) / f64::from(u32::MAX));
    let mut axis = |bit: u32| if mask & bit == 0 { 0.0 } else { values.next().unwrap_or(0.0) };
    let (x_counts, y_counts) = (axis(1), axis(2));
    Came::Turned { x_counts, y_counts }
}

/// Returns once the server has done everything asked so far.
fn answered(connection: &RustConnection) {
    let asked = connection.get_input_focus().expect("the server is there");
    asked.reply().expect("the server answers");
}
