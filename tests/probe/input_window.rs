//! A window with a picture in it, for sources that hear only what a window of their own is told.

use tautline::app::Sheets;
use tautline::display::{Screen, ScreenWish};
use tautline::input::{OfWindow, WaylandDisplay};
use tautline::window::{self, Mode, MouseFrom, WindowOptions, WindowSize};

/// Opens it, shows the field, holds the pointer, and runs `go` on the stimulus thread.
pub(crate) fn with_window(go: impl FnOnce(OfWindow) + Send + 'static) {
    let size = WindowSize::Windowed { width_px: 640, height_px: 480 };
    let options = WindowOptions { title: "input probe".to_owned(), size };
    let opened = window::open(options, Box::new(Sheets::default()), move |opened| {
        let wayland = opened.stage.window.wayland;
        let of_window =
            OfWindow { wayland: wayland.map(|handles| WaylandDisplay(handles.display)) };
        opened.main.set_mode(Mode::Trials(MouseFrom::Elsewhere));
        let screen = Screen::start(opened.stage, &opened.bell, &ScreenWish::default());
        let screen = screen.expect("the window can be drawn on");
        go(of_window);
        drop(screen);
    });
    opened.expect("a window");
}
