//! The run of the event loop, from the first window to the end of the stimulus thread.
//!
//! Waits for events and never polls. The loop outlives the stimulus thread, whose end (be it by a
//! panic) ends it; the window outlives the surface.

use super::error::WindowError;
use super::frame::{Drawn, Frame, configure};
use super::handle::{FromMain, MainHandle, Mode, MouseFrom, Opened, ThreadEnd, ToMain};
use super::hands::Hands;
use super::keys::session_key;
use super::place::{self, WindowOptions};
use super::screens::{Reply, Screens};
use crate::clock::{self, Bell};
use crate::display::{SizePx, Stage, WindowSize};
use crate::engine::Key;
use crate::units::{Nanos, Span};
use std::sync::Arc;
use std::sync::mpsc::{self, Sender};
use std::thread::{Builder, JoinHandle};
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

/// How long a new screen does not hear mouse buttons: a press meant for the trial that has just
/// ended must not answer it. Common practice, no source.
const CALM: Span = Span::from_ms(400);

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
            match self.start(opening.window, go) {
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
    fn start(&self, window: Arc<Window>, go: Go) -> Result<Live, WindowError> {
        let stage = Stage::open(Arc::clone(&window), place::size(&window))?;
        let size = Arc::clone(&stage.window.size);
        let (sender, from_main) = mpsc::channel();
        let (bell_sender, bells) = mpsc::channel();
        let main = MainHandle::new(self.proxy.clone());
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
        let (hands, mode) = (Hands::default(), Mode::Screens);
        let lent_at = clock::now();
        Ok(Live {
            window,
            size,
            sender,
            bell,
            thread,
            mode,
            hands,
            lent: None,
            lent_at,
            frame: None,
        })
    }
}

impl ApplicationHandler<ToMain> for Run {
    fn resumed(&mut self, event_loop: &ActiveEventLoop) {
        if self.go.is_none() || self.opening.is_some() {
            return;
        }
        match place::create(event_loop, &self.options) {
            Ok(window) => {
                self.opening = Some(Opening { window: Arc::new(window), since: clock::now() });
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
                live.window.request_redraw();
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
            ToMain::Mode(mode) => {
                event_loop.set_control_flow(ControlFlow::Wait);
                live.set_mode(mode);
            }
            ToMain::Close => live.window.set_visible(false),
            ToMain::ThreadEnded => event_loop.exit(),
        }
    }

    fn window_event(&mut self, event_loop: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        let Some(live) = &mut self.live else { return self.start_if_settled(event_loop) };
        live.tell(&event);
        match live.mode {
            Mode::Screens => {
                live.hands.note(&event);
                live.screen_event(event_loop, &event, &mut *self.screens);
            }
            Mode::Trials(mouse) => live.trial_event(&event, mouse),
        }
    }

    fn device_event(&mut self, _: &ActiveEventLoop, _: DeviceId, event: DeviceEvent) {
        let Some(live) = &mut self.live else { return };
        if live.mode == Mode::Trials(MouseFrom::Window)
            && let Some(message) = live.hands.hear_device(&event)
        {
            live.send(message);
        }
    }
}

/// A window with a running stimulus thread.
struct Live {
    window: Arc<Window>,
    /// Where the stimulus thread reads the window's size.
    size: Arc<WindowSize>,
    sender: Sender<FromMain>,
    bell: Bell,
    thread: JoinHandle<()>,
    mode: Mode,
    hands: Hands,
    /// The surface, while an untimed screen is shown.
    lent: Option<Stage>,
    lent_at: Nanos,
    frame: Option<Frame>,
}

impl Live {
    fn send(&self, message: FromMain) {
        // A thread that has ended hears nothing more, and needs nothing more.
        let _ended = self.sender.send(message);
        self.bell.ring();
    }

    fn set_mode(&mut self, mode: Mode) {
        self.mode = mode;
        match mode {
            Mode::Screens => self.hands.free(&self.window),
            Mode::Trials(mouse) if self.window.has_focus() => {
                self.hands.hold(&self.window, mouse);
            }
            // Held once the focus comes back.
            Mode::Trials(_) => self.send(FromMain::Focus { focused: false, t: clock::now() }),
        }
    }

    fn take_over(&mut self, mut stage: Stage) {
        self.set_mode(Mode::Screens);
        let frame = match self.frame.take() {
            Some(frame) if frame.is_on(&stage.gpu) => frame,
            Some(_) | None => Frame::new(&self.window, &stage.gpu),
        };
        self.frame.insert(frame).take_over(&self.window, &mut stage);
        self.lent = Some(stage);
        self.lent_at = clock::now();
        self.window.request_redraw();
    }

    fn give_back(&mut self, reply: Reply) {
        if let Some(stage) = self.lent.take() {
            let stage = Box::new(stage);
            self.send(FromMain::Returned { stage, reply, t: clock::now() });
        }
    }

    /// What the stimulus thread hears in either mode.
    fn tell(&mut self, event: &WindowEvent) {
        match *event {
            WindowEvent::Focused(focused) => {
                if let Mode::Trials(mouse) = self.mode {
                    self.send(FromMain::Focus { focused, t: clock::now() });
                    if focused {
                        self.hands.hold(&self.window, mouse);
                    } else {
                        self.hands.free(&self.window);
                    }
                }
            }
            WindowEvent::Resized(size) => {
                self.size.tell(SizePx { width: size.width, height: size.height });
                self.send(FromMain::Resized { width_px: size.width, height_px: size.height });
            }
            WindowEvent::CloseRequested => {
                self.send(FromMain::CloseAsked);
                self.give_back(Reply::Key(Key::Stop));
            }
            _ => {}
        }
    }

    fn trial_event(&mut self, event: &WindowEvent, mouse: MouseFrom) {
        if let WindowEvent::KeyboardInput { event, .. } = event
            && let Some(key) = session_key(event)
        {
            self.send(FromMain::Key { key, t: clock::now() });
        }
        if mouse == MouseFrom::Window
            && let Some(message) = self.hands.hear(&self.window, event)
        {
            self.send(message);
        }
    }

    fn screen_event(
        &mut self,
        event_loop: &ActiveEventLoop,
        event: &WindowEvent,
        screens: &mut dyn Screens,
    ) {
        let (Some(stage), Some(frame)) = (&mut self.lent, &mut self.frame) else { return };
        match event {
            WindowEvent::RedrawRequested => {
                let Drawn { reply, again_in } = frame.draw(&self.window, stage, screens);
                event_loop.set_control_flow(match again_in {
                    Some(delay) if !delay.is_zero() => ControlFlow::wait_duration(delay),
                    Some(_) | None => ControlFlow::Wait,
                });
                if let Some(reply) = reply {
                    self.give_back(reply);
                } else if again_in.is_some_and(|delay| delay.is_zero()) {
                    self.window.request_redraw();
                }
            }
            event => {
                if matches!(event, WindowEvent::Resized(_)) {
                    configure(&self.window, stage);
                }
                let ignored = match event {
                    // A held key must not answer two screens.
                    WindowEvent::KeyboardInput { event, .. } => {
                        event.repeat && event.logical_key == winit::keyboard::NamedKey::Enter
                    }
                    WindowEvent::MouseInput { .. } => clock::now() - self.lent_at < CALM,
                    _ => false,
                };
                if !ignored && frame.hear(&self.window, event) {
                    self.window.request_redraw();
                }
            }
        }
    }

    /// Waits for the thread; its panic, if it had one. If the loop broke off, the thread learns
    /// that from its closed channel.
    fn end(self) -> std::thread::Result<()> {
        let Live { thread, sender, bell, lent, frame, window, .. } = self;
        drop((sender, frame, lent));
        bell.ring();
        let ended = thread.join();
        drop(window);
        ended
    }
}
