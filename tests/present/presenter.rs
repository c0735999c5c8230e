//! The client that presents: two pixmaps in turn, serials from 1, one at a time.

use crate::eye::{Change, Eye};
use crate::pictures::{self, SIZE};
use tautline::clock;
use tautline::display::{Earned, Gpu, LoneClock, Refusal, ShownAs};
use tautline::units::{Nanos, Span, Stamp};
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::present::ConnectionExt as _;
use x11rb::protocol::xproto::{
    ConnectionExt as _, CreateGCAux, CreateWindowAux, EventMask, ImageFormat, Pixmap, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

/// A made-up blank of 60 Hz.
const REFRESH: Span = Span(16_666_667);
/// A picture that is not told of within this time is counted as lost.
const AT_MOST: Span = Span::from_s(5);
/// Presents are scattered over the refresh by up to this share of it.
const SCATTER: f64 = 0.6;

/// What came of it.
pub(crate) struct Told {
    /// For each frame, when it was handed over and the stamp, if any.
    pub(crate) frames: Vec<(Nanos, Option<Stamp>)>,
    /// What the robot saw.
    pub(crate) changes: Vec<Change>,
    /// Whether the program would have believed the clock.
    pub(crate) earned: Result<Earned, Refusal>,
    /// How the pictures were shown.
    pub(crate) shown_as: Option<ShownAs>,
}

/// Presents so many frames.
///
/// # Panics
/// Where there is no server, or it lacks Present.
pub(crate) fn present(count: u32) -> Told {
    let gpu = Gpu::offscreen().expect("a Vulkan driver; a software one will do");
    let pictures = pictures::draw(&gpu);
    let (connection, screen) = RustConnection::connect(None).expect("DISPLAY names a server");
    let root = &connection.setup().roots[screen];
    let [width, height] = [SIZE.width, SIZE.height].map(|px| u16::try_from(px).expect("small"));
    let window = connection.generate_id().expect("a number");
    // No window manager is to move or frame it.
    let look = CreateWindowAux::new().override_redirect(1).event_mask(EventMask::EXPOSURE);
    let class = WindowClass::INPUT_OUTPUT;
    connection
        .create_window(root.root_depth, window, root.root, 0, 0, width, height, 0, class, 0, &look)
        .expect("the server is there");
    connection.map_window(window).expect("the server is there");
    connection.flush().expect("the server is there");
    while !matches!(connection.wait_for_event().expect("the server is there"), Event::Expose(_)) {}
    connection.present_query_version(1, 2).expect("asked").reply().expect("it has Present");
    let pixmap = |bytes: &[u8]| -> Pixmap {
        let pixmap = connection.generate_id().expect("a number");
        let gc = connection.generate_id().expect("a number");
        let depth = root.root_depth;
        connection.create_pixmap(depth, pixmap, window, width, height).expect("sent");
        connection.create_gc(gc, pixmap, &CreateGCAux::new()).expect("sent");
        let format = ImageFormat::Z_PIXMAP;
        connection
            .put_image(format, pixmap, gc, width, height, 0, 0, 0, depth, bytes)
            .expect("sent")
            .check()
            .expect("a picture");
        pixmap
    };
    let pixmaps = [pixmap(&pictures.target), pixmap(&pictures.field)];
    connection.sync().expect("the server is there");
    let mut clock = LoneClock::present_complete(window, REFRESH).expect("the server has Present");
    let middle = |px: u16| i16::try_from(px / 2).expect("small");
    let eye = Eye::open(window, middle(width), middle(height));
    let mut frames = Vec::new();
    let mut due = clock::now() + Span::from_ms(100);
    for number in 1..=count {
        let scatter = SCATTER * f64::from(number * 37 % 60) / 60.0;
        sleep_until(due + Span::from_ms_f64(REFRESH.ms() * scatter));
        let submission = gpu.queue.submit([]);
        let t = clock::now();
        clock.armed(u64::from(number), t, submission);
        let which = pixmaps[usize::from(number % 2 == 0)];
        connection
            .present_pixmap(window, which, number, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, &[])
            .expect("sent");
        connection.flush().expect("the server is there");
        frames.push((t, await_fate(&mut clock, &gpu, t)));
        // Two refreshes apart, so that the robot sees each.
        due = (due + Span(REFRESH.0 * 2)).max(clock::now());
    }
    clock::wait(clock::now() + Span::from_ms(50));
    let (earned, shown_as) = (clock.earned(), clock.shown_as());
    Told { frames, changes: eye.close(), earned, shown_as }
}

fn await_fate(clock: &mut LoneClock, gpu: &Gpu, t: Nanos) -> Option<Stamp> {
    loop {
        let now = clock::now();
        if let Some(fate) = clock.fate(gpu, now) {
            return fate;
        }
        if now - t > AT_MOST {
            return None;
        }
        clock::wait(t + AT_MOST);
    }
}

/// Sleeps through bells.
fn sleep_until(t: Nanos) {
    while clock::now() < t {
        clock::wait(t);
    }
}
