//! A window with a running stimulus thread: who holds the surface, and what becomes of an event.
//!
//! Two modes. During a block nothing is drawn here and egui hears nothing; on an untimed screen the
//! surface is here, and goes back with the player's reply.

use super::frame::{Drawn, Frame, TRY_AGAIN, configure};
use super::handle::{FromMain, Mode, MouseFrom};
use super::hands::Hands;
use super::keys::{InBlock, session_key};
use super::screens::{Reply, Screens};
use crate::clock::{self, Bell};
use crate::display::{SizePx, Stage, WindowSize};
use crate::engine::Key;
use crate::units::{Nanos, Span};
use egui_winit::accesskit_winit;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::thread::JoinHandle;
use winit::event::{DeviceEvent, WindowEvent};
use winit::event_loop::{ActiveEventLoop, ControlFlow};
use winit::window::Window;

/// How long a new screen does not hear mouse buttons: a press meant for the trial that has just
/// ended must not answer it. Common practice, no source.
const CALM: Span = Span::from_ms(400);

/// A window with a running stimulus thread.
pub(super) struct Live {
    window: Arc<Window>,
    /// Where the stimulus thread reads the window's size.
    size: Arc<WindowSize>,
    sender: Sender<FromMain>,
    bell: Bell,
    thread: JoinHandle<()>,
    close_asked: Arc<AtomicBool>,
    mode: Mode,
    hands: Hands,
    /// The surface, while an untimed screen is shown.
    lent: Option<Stage>,
    lent_at: Nanos,
    frame: Option<Frame>,
    /// The way to a screen reader, while no frame has it.
    reader: Option<accesskit_winit::Adapter>,
    /// What it asked before there was a frame.
    reader_asked: Option<accesskit_winit::WindowEvent>,
}

impl Live {
    /// Untimed screens first; the surface is with the stimulus thread.
    pub(super) fn new(
        window: Arc<Window>,
        size: Arc<WindowSize>,
        sender: Sender<FromMain>,
        bell: Bell,
        thread: JoinHandle<()>,
        close_asked: Arc<AtomicBool>,
        reader: accesskit_winit::Adapter,
    ) -> Live {
        let (hands, mode, lent_at) = (Hands::default(), Mode::Screens, clock::now());
        let (lent, frame) = (None, None);
        let reader = Some(reader);
        Live {
            window,
            size,
            sender,
            bell,
            thread,
            close_asked,
            mode,
            hands,
            lent,
            lent_at,
            frame,
            reader,
            reader_asked: None,
        }
    }

    /// The window.
    pub(super) fn window(&self) -> &Window {
        &self.window
    }

    /// Takes in an event of the window.
    pub(super) fn hear(
        &mut self,
        event_loop: &ActiveEventLoop,
        event: &WindowEvent,
        screens: &mut dyn Screens,
    ) {
        self.tell(event);
        match self.mode {
            Mode::Screens => {
                self.hands.note(event);
                self.screen_event(event_loop, event, screens);
            }
            Mode::Trials(mouse) => self.trial_event(event, mouse),
        }
    }

    /// Takes in what a screen reader asks; it is drawn with the next screen.
    pub(super) fn hear_reader(&mut self, event: accesskit_winit::WindowEvent) {
        if let Some(frame) = &mut self.frame {
            frame.hear_reader(event);
            if self.lent.is_some() {
                self.window.request_redraw();
            }
        } else {
            self.reader_asked = Some(event);
        }
    }

    /// Takes in relative motion, where that is the mouse's last resort.
    pub(super) fn hear_device(&mut self, event: &DeviceEvent) {
        if self.mode == Mode::Trials(MouseFrom::Window)
            && let Some(message) = self.hands.hear_device(event)
        {
            self.send(message);
        }
    }

    fn send(&self, message: FromMain) {
        // A thread that has ended hears nothing more, and needs nothing more.
        let _ended = self.sender.send(message);
        self.bell.ring();
    }

    pub(super) fn set_mode(&mut self, mode: Mode) {
        self.mode = mode;
        match mode {
            Mode::Screens => self.hands.free(&self.window),
            Mode::Trials(mouse) => {
                // Untimed screens tell nothing of the focus, so a block starts by telling it.
                let focused = self.window.has_focus();
                self.send(FromMain::Focus { focused, t: clock::now() });
                // Held once the focus comes back, otherwise.
                if focused {
                    self.hands.hold(&self.window, mouse);
                }
            }
        }
    }

    pub(super) fn take_over(&mut self, mut stage: Stage) {
        self.set_mode(Mode::Screens);
        self.bind(&mut stage);
        self.lent = Some(stage);
        self.lent_at = clock::now();
        self.window.request_redraw();
    }

    /// Binds egui to the stage's device, opened again if it was lost; not, if the driver does not
    /// answer yet.
    fn bind(&mut self, stage: &mut Stage) {
        if !self.frame.as_ref().is_some_and(|frame| frame.serves(&stage.gpu)) {
            if let Some(frame) = self.frame.take() {
                self.reader = frame.into_reader();
            }
            if stage.gpu.faults.lost() {
                // Tried again at the next drawing.
                let Ok(gpu) = stage.gpu.reopened() else { return };
                stage.gpu = Arc::new(gpu);
            }
            self.frame = Some(Frame::new(&self.window, &stage.gpu, self.reader.take()));
        }
        if let Some(frame) = &mut self.frame {
            if let Some(asked) = self.reader_asked.take() {
                frame.hear_reader(asked);
            }
            frame.take_over(&self.window, stage);
        }
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
            // Another window over the whole of ours: the focus may stay where it is.
            WindowEvent::Occluded(covered) => {
                if let Mode::Trials(_) = self.mode {
                    let focused = !covered && self.window.has_focus();
                    self.send(FromMain::Focus { focused, t: clock::now() });
                }
            }
            WindowEvent::Resized(size) => {
                self.size.tell(SizePx { width: size.width, height: size.height });
                self.send(FromMain::Resized { width_px: size.width, height_px: size.height });
            }
            WindowEvent::CloseRequested => {
                self.close_asked.store(true, Ordering::Release);
                self.send(FromMain::CloseAsked);
                self.give_back(Reply::Key(Key::Stop));
            }
            _ => {}
        }
    }

    fn trial_event(&mut self, event: &WindowEvent, mouse: MouseFrom) {
        if let WindowEvent::KeyboardInput { event, .. } = event {
            let t = clock::now();
            match session_key(event) {
                Some(InBlock::Key(key)) => self.send(FromMain::Key { key, t }),
                Some(InBlock::Cue) => self.send(FromMain::Cue { t }),
                None => {}
            }
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
        let Some(mut stage) = self.lent.take() else { return };
        if !self.frame.as_ref().is_some_and(|frame| frame.serves(&stage.gpu)) {
            self.bind(&mut stage);
        }
        let stage = self.lent.insert(stage);
        let Some(frame) = &mut self.frame else {
            return event_loop.set_control_flow(ControlFlow::wait_duration(TRY_AGAIN));
        };
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
    pub(super) fn end(self) -> std::thread::Result<()> {
        let Live { thread, sender, bell, lent, frame, window, .. } = self;
        drop((sender, frame, lent));
        bell.ring();
        let ended = thread.join();
        drop(window);
        ended
    }
}
