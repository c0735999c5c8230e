//! The plain loop: what one writes first when a click is to be timed. The measure of comparison for
//! the program's own timing, and nothing else.
//!
//! One thread, one event loop: the stimulus is drawn as part of the usual redraw, `Instant::now()`
//! after present is taken as its onset, and the click is stamped in the window's own mouse event.
//! It uses nothing of the program but the clock, for a common zero, and the colours.

mod loop_log;
mod picture;

use clap::Parser;
use loop_log::LoopLog;
use picture::Picture;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::application::ApplicationHandler;
use winit::dpi::PhysicalSize;
use winit::event::{ElementState, MouseButton, WindowEvent};
use winit::event_loop::{ActiveEventLoop, EventLoop};
use winit::window::{Window, WindowId};

/// Shows a stimulus after a wait and times the click, in the plain way.
#[derive(Debug, Parser)]
struct Options {
    /// Where the times are written
    #[arg(long)]
    out: PathBuf,
    /// Number of trials
    #[arg(long, default_value_t = 60)]
    trials: u32,
    /// Seed of the waits
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Shortest and longest wait, ms
    #[arg(long, num_args = 2, value_names = ["MIN", "MAX"], default_values_t = [300, 900])]
    wait_ms: Vec<u64>,
    /// Size of the window, px
    #[arg(long, num_args = 2, value_names = ["W", "H"], default_values_t = [1280, 720])]
    size_px: Vec<u32>,
}

struct Running {
    window: Arc<Window>,
    picture: Picture,
}

struct Plain {
    options: Options,
    log: LoopLog,
    draw: ChaCha8Rng,
    running: Option<Running>,
    trial: u32,
    show_at: Instant,
    onset: Option<Instant>,
}

#[expect(clippy::disallowed_methods, reason = "asking for the time where one is: the plain way")]
fn now() -> Instant {
    Instant::now()
}

impl Plain {
    fn next_trial(&mut self) {
        let wait_ms = self.draw.random_range(self.options.wait_ms[0]..=self.options.wait_ms[1]);
        self.show_at = now() + Duration::from_millis(wait_ms);
        self.onset = None;
        self.trial += 1;
    }

    fn redraw(&mut self) {
        let Some(running) = &mut self.running else { return };
        let shown = now() >= self.show_at;
        let drawn = running.picture.draw(shown);
        if drawn && shown && self.onset.is_none() {
            self.onset = Some(now());
        }
        running.window.request_redraw();
    }

    fn click(&mut self, event_loop: &ActiveEventLoop) {
        let click = now();
        self.log.write(self.trial, self.onset, click);
        if self.trial >= self.options.trials {
            event_loop.exit();
        } else {
            self.next_trial();
        }
    }
}

impl ApplicationHandler for Plain {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        let size = PhysicalSize::new(self.options.size_px[0], self.options.size_px[1]);
        let attributes =
            Window::default_attributes().with_title("plain loop").with_inner_size(size);
        let window = event_loop.create_window(attributes).expect("a window can be made");
        let window = Arc::new(window);
        let picture = Picture::new(Arc::clone(&window));
        window.request_redraw();
        self.running = Some(Running { window, picture });
        self.show_at = now() + Duration::from_secs(2);
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        match event {
            WindowEvent::RedrawRequested => self.redraw(),
            WindowEvent::MouseInput {
                state: ElementState::Pressed,
                button: MouseButton::Left,
                ..
            } => self.click(event_loop),
            WindowEvent::Resized(size) => {
                if let Some(running) = &mut self.running {
                    running.picture.resize(size);
                }
            }
            WindowEvent::CloseRequested => event_loop.exit(),
            _ => {}
        }
    }
}

fn main() {
    let options = Options::parse();
    let event_loop = EventLoop::new().expect("an event loop");
    let mut plain = Plain {
        log: LoopLog::create(&options.out),
        draw: ChaCha8Rng::seed_from_u64(options.seed),
        options,
        running: None,
        trial: 1,
        show_at: now(),
        onset: None,
    };
    event_loop.run_app(&mut plain).expect("the event loop runs to its end");
}
