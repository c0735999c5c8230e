//! Reads one pixel of a window as fast as the server answers, on a connection and a thread of its
//! own, and tells when it changed.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use tautline::clock;
use tautline::units::{Nanos, Span};
use x11rb::protocol::xproto::{ConnectionExt as _, ImageFormat, Window};

/// Between two readings.
const NAP: Span = Span(100_000);

/// A change of the pixel: after `before`, and not after `after`.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Change {
    /// When the last reading of the old colour was asked for.
    pub(crate) before: Nanos,
    /// When the first of the new one had come.
    pub(crate) after: Nanos,
}

/// A thread that looks.
pub(crate) struct Eye {
    thread: JoinHandle<Vec<Change>>,
    quit: Arc<AtomicBool>,
}

impl Eye {
    /// Begins to look at a pixel of `window`.
    pub(crate) fn open(window: Window, x_px: i16, y_px: i16) -> Eye {
        let quit = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&quit);
        let thread = std::thread::Builder::new()
            .name("eye".to_owned())
            .spawn(move || look(window, [x_px, y_px], &told))
            .expect("a thread");
        Eye { thread, quit }
    }

    /// Every change, in order.
    pub(crate) fn close(self) -> Vec<Change> {
        self.quit.store(true, Ordering::Release);
        self.thread.join().expect("the eye ended")
    }
}

fn look(window: Window, [x, y]: [i16; 2], quit: &AtomicBool) -> Vec<Change> {
    let (connection, _) = x11rb::connect(None).expect("the server");
    let mut changes = Vec::new();
    let mut last: Option<(Vec<u8>, Nanos)> = None;
    while !quit.load(Ordering::Acquire) {
        let asked = clock::now();
        let image = connection
            .get_image(ImageFormat::Z_PIXMAP, window, x, y, 1, 1, !0)
            .expect("the server is there")
            .reply()
            .expect("a pixel");
        let after = clock::now();
        if let Some((_, before)) = last.as_ref().filter(|(colour, _)| *colour != image.data) {
            changes.push(Change { before: *before, after });
        }
        last = Some((image.data, asked));
        clock::wait(after + NAP);
    }
    changes
}
