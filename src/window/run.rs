//! The run of the event loop, from the first window to the end of the stimulus thread.
//!
//! Waits for events and never polls. The loop outlives the stimulus thread, whose end (be it by a
//! panic) ends it; the window outlives the surface.

use super::error::WindowError;
use super::handle::{MainHandle, Opened, ThreadEnd, ToMain};
use super::live::Live;
use super::place::{self, WindowOptions};
use super::screens::Screens;
use crate::clock::{self, Bell};
use crate::display::Stage;
use crate::units::{Nanos, Span};
use egui_winit::accesskit_winit;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::mpsc;
use std::thread::Builder;
use std::time::Duration;
use winit::application::ApplicationHandler;
use winit::event::{DeviceEvent, DeviceId, StartCause, WindowEvent};
use winit::event_loop::{ActiveEventLoop, ControlFlow, DeviceEvents, EventLoop, EventLoopProxy};
use winit::window::{Window, WindowId};

/// Opens a window, runs `go` on a thread named "stimulus", and returns what it returned, once it
/// has ended. `screens` draws the untimed screens, on this thread.
///
/// Must be called on the main thread, once in a run of the program. A panic of `go` goes on here.
///
/// # Errors
/// No window system, no such display, no graphics device, or the loop broke off.
pub fn open<R: Send + 'static>(
    options: WindowOptions,
    screens: Box<dyn Screens>,
    go: impl FnOnce(Opened) -> R + Send + 'static,
) -> Result<R, WindowError> {
    let mut builder = EventLoop::<ToMain>::with_user_event();
    #[cfg(target_os = "linux")]
    if std::env::var_os("DISPLAY").is_some() && std::env::var_os("WAYLAND_DISPLAY").is_none() {
        use winit::platform::x11::EventLoopBuilderExtX11;
        builder.with_x11();
    }
    let event_loop = builder.build().map_err(|source| WindowError::NoWindowSystem { source })?;
    // On Windows the library registers the raw mouse to itself otherwise, and one registration a
    // process is all there is. Never called again: that would take ours away.
    event_loop.listen_device_events(DeviceEvents::Never);
    event_loop.set_control_flow(ControlFlow::Wait);

    let (result, results) = mpsc::channel();
    let mut run = Run {
        options,
        screens,
        go: Some(Box::new(move |opened| {
            // The receiver lives until the thread has been joined.
            let _kept = result.send(go(opened));
        })),
        proxy: event_loop.create_proxy(),
        opening: None,
        live: None,
        failed: None,
    };
    let looped = event_loop.run_app(&mut run);
    if let Some(error) = run.failed {
        return Err(error);
    }
    if let Some(Err(panic)) = run.live.map(Live::end) {
        std::panic::resume_unwind(panic);
    }
    looped.map_err(|source| WindowError::Loop { source })?;
    Ok(results.recv().expect("a thread that ended without a panic has sent its result"))
}

/// The body of the stimulus thread.
type Go = Box<dyn FnOnce(Opened) + Send>;

/// How long the window may take to reach its size. Window managers do it within a few frames; a
/// missing one never does. Common practice, no source.
const SETTLE: Span = Span::from_ms(1500);

/// How often that is looked at, besides at each event.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

struct Run {
    options: WindowOptions,
    screens: Box<dyn Screens>,
    go: Option<Go>,
    proxy: EventLoopProxy<ToMain>,
    /// The window, until it has reached its size and the stimulus thread starts.
    opening: Option<Opening>,
    live: Option<Live>,
    failed: Option<WindowError>,
}

/// A window that has just been asked for.
struct Opening {
    window: Arc<Window>,
    reader: accesskit_winit::Adapter,
    since: Nanos,
}

impl Opening {
    fn settled(&self) -> bool {
        let size = self.window.inner_size();
        let whole = match self.window.fullscreen() {
            Some(_) => self.window.current_monitor().is_none_or(|all| all.size() == size),
            None => true,
        };
        (whole && self.window.has_focus()) || clock::now() - self.since >= SETTLE
    }
}

impl Run {
    /// Starts the stimulus thread, once the window has reached its size.
    fn start_if_settled(&mut self, event_loop: &ActiveEventLoop) {
        if !self.opening.as_ref().is_some_and(Opening::settled) {
            return;
        }
        event_loop.set_control_flow(ControlFlow::Wait);
        if let (Some(opening), Some(go)) = (self.opening.take(), self.go.take()) {
            match self.start(opening, go) {
                Ok(live) => self.live = Some(live),
                Err(error) => self.fail(event_loop, error),
            }
        }
    }

    fn fail(&mut self, event_loop: &ActiveEventLoop, error: WindowError) {
        self.failed = Some(error);
        event_loop.exit();
    }

    /// Makes the stage and starts the stimulus thread.
    fn start(&self, opening: Opening, go: Go) -> Result<Live, WindowError> {
        let Opening { window, reader, .. } = opening;
        let stage = Stage::open(Arc::clone(&window), place::size(&window))?;
        let size = Arc::clone(&stage.window.size);
        let (sender, from_main) = mpsc::channel();
        let (bell_sender, bells) = mpsc::channel();
        let close_asked = Arc::new(AtomicBool::new(false));
        let main = MainHandle::new(self.proxy.clone(), Arc::clone(&close_asked));
        let facts = place::facts(&window);
        let end = ThreadEnd(self.proxy.clone());
        let for_thread = Arc::clone(&window);
        let thread = Builder::new()
            .name("stimulus".to_owned())
            .spawn(move || {
                let _end = end;
                let bell = Bell::of_this_thread();
                // Main waits for it below.
                let _kept = bell_sender.send(bell.clone());
                go(Opened { stage, from_main, main, bell, window: for_thread, facts });
            })
            .map_err(|source| WindowError::NoThread { source })?;
        let bell = bells.recv().expect("the thread sends its bell before anything else");
        Ok(Live::new(window, size, sender, bell, thread, close_asked, reader))
    }
}

impl ApplicationHandler<ToMain> for Run {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if self.go.is_none() || self.opening.is_some() {
            return;
        }
        match place::create(event_loop, &self.options) {
            Ok(window) => {
                let proxy = self.proxy.clone();
                let reader =
                    accesskit_winit::Adapter::with_event_loop_proxy(event_loop, &window, proxy);
                window.set_visible(true);
                let window = Arc::new(window);
                self.opening = Some(Opening { window, reader, since: clock::now() });
                event_loop.set_control_flow(ControlFlow::wait_duration(LOOK_AGAIN));
            }
            Err(error) => self.fail(event_loop, error),
        }
    }

    fn new_events(&mut self, event_loop: &ActiveEventLoop, cause: StartCause) {
        if !matches!(cause, StartCause::ResumeTimeReached { .. }) {
            return;
        }
        match &self.live {
            Some(live) => {
                event_loop.set_control_flow(ControlFlow::Wait);
                live.window().request_redraw();
            }
            None => {
                event_loop.set_control_flow(ControlFlow::wait_duration(LOOK_AGAIN));
                self.start_if_settled(event_loop);
            }
        }
    }

    fn user_event(&mut self, event_loop: &ActiveEventLoop, message: ToMain) {
        let Some(live) = &mut self.live else { return };
        match message {
            ToMain::Lend(lent) => {
                let (stage, screenful) = *lent;
                self.screens.begin(screenful, clock::now());
                live.take_over(stage);
            }
            ToMain::LendHome(stage) => {
                self.screens.home(clock::now());
                live.take_over(*stage);
            }
            ToMain::Reader(event) => live.hear_reader(event.window_event),
            ToMain::Mode(mode) => {
                event_loop.set_control_flow(ControlFlow::Wait);
                live.set_mode(mode);
            }
            ToMain::Close => live.window().set_visible(false),
            ToMain::ThreadEnded => event_loop.exit(),
        }
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        match &mut self.live {
            Some(live) => live.hear(event_loop, &event, &mut *self.screens),
            None => self.start_if_settled(event_loop),
        }
    }

    fn device_event(&mut self, _: &ActiveEventLoop, _: DeviceId, event: DeviceEvent) {
        if let Some(live) = &mut self.live {
            live.hear_device(&event);
        }
    }
}
