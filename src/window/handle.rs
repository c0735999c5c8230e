//! The two directions between the main thread and the stimulus thread.
//!
//! The stimulus thread commands by [`MainHandle`]; the main thread tells by [`FromMain`] and rings
//! the stimulus thread's bell after each one.

use super::screens::{Reply, Screenful};
use crate::clock::Bell;
use crate::display::Stage;
use crate::engine::Key;
use crate::units::{Button, Nanos};
use egui_winit::accesskit_winit;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Receiver;
use winit::event_loop::EventLoopProxy;

/// From the main thread to the stimulus thread.
#[derive(Debug)]
pub enum FromMain {
    /// The surface comes back, configured as the untimed screens had it: configure it anew.
    Returned {
        /// The surface.
        stage: Box<Stage>,
        /// What the player answered.
        reply: Reply,
        /// When.
        t: Nanos,
    },
    /// A key of the session, during a block.
    Key {
        /// Which.
        key: Key,
        /// When it reached us.
        t: Nanos,
    },
    /// The partner's key, during a block.
    Cue {
        /// When it reached us.
        t: Nanos,
    },
    /// The window got or lost the focus. Told during blocks, and as each block starts; untimed
    /// screens do not care.
    Focus {
        /// Whether it has it now.
        focused: bool,
        /// When it reached us.
        t: Nanos,
    },
    /// The window has a new size, physical px.
    Resized {
        /// Width.
        width_px: u32,
        /// Height.
        height_px: u32,
    },
    /// The window was asked to close. Where a screen was shown, [`FromMain::Returned`] comes too.
    CloseAsked,
    /// A mouse button, by the window's own events ([`MouseFrom::Window`] only).
    MouseButton {
        /// Which.
        button: Button,
        /// Down or up.
        pressed: bool,
        /// When it reached us.
        t: Nanos,
    },
    /// The mouse moved, by the window's own events ([`MouseFrom::Window`] only): after pointer
    /// acceleration where it is the pointer's way.
    MouseMotion {
        /// Rightwards, px.
        dx_px: f64,
        /// Downwards, px.
        dy_px: f64,
        /// When it reached us.
        t: Nanos,
    },
}

impl FromMain {
    /// The surface and the answer, where it is they that came back; what else the window tells is of
    /// no use while a screen is lent.
    pub fn returned(self) -> Option<(Stage, Reply)> {
        match self {
            FromMain::Returned { stage, reply, .. } => Some((*stage, reply)),
            FromMain::Key { .. }
            | FromMain::Cue { .. }
            | FromMain::Focus { .. }
            | FromMain::Resized { .. }
            | FromMain::CloseAsked
            | FromMain::MouseButton { .. }
            | FromMain::MouseMotion { .. } => None,
        }
    }
}

/// From the stimulus thread to the main thread.
#[derive(Debug)]
pub(super) enum ToMain {
    /// Show this on that.
    Lend(Box<(Stage, Screenful)>),
    /// Show the program's own pages, which lie outside any session.
    LendHome(Box<Stage>),
    /// A screen reader asks for something.
    Reader(accesskit_winit::Event),
    /// Another mode.
    Mode(Mode),
    /// Close the window, once the stimulus thread has ended.
    Close,
    /// The stimulus thread has ended.
    ThreadEnded,
}

impl From<accesskit_winit::Event> for ToMain {
    fn from(event: accesskit_winit::Event) -> ToMain {
        ToMain::Reader(event)
    }
}

/// Who hears the mouse during a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MouseFrom {
    /// A source of its own; the window keeps still.
    Elsewhere,
    /// The window's own events, as a last resort.
    Window,
}

/// What the main thread does with events.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Untimed screens: the cursor is free and shown. A lent surface brings this mode along.
    Screens,
    /// A block: the cursor is hidden and held, nothing is drawn here, egui hears nothing.
    Trials(MouseFrom),
}

/// The main thread, as the stimulus thread sees it.
///
/// Should the event loop break off, messages go nowhere and the channel of [`FromMain`] is closed.
#[derive(Debug, Clone)]
pub struct MainHandle {
    proxy: EventLoopProxy<ToMain>,
    close_asked: Arc<AtomicBool>,
}

impl MainHandle {
    pub(super) fn new(proxy: EventLoopProxy<ToMain>, close_asked: Arc<AtomicBool>) -> MainHandle {
        MainHandle { proxy, close_asked }
    }

    /// Lends the surface for one screen; it comes back by [`FromMain::Returned`].
    pub fn lend(&self, stage: Stage, screenful: Screenful) {
        self.send(ToMain::Lend(Box::new((stage, screenful))));
    }

    /// Lends the surface for the pages outside any session ([`Screens::home`]); it comes back by
    /// [`FromMain::Returned`] with [`Reply::Home`].
    ///
    /// [`Screens::home`]: super::Screens::home
    pub fn lend_home(&self, stage: Stage) {
        self.send(ToMain::LendHome(Box::new(stage)));
    }

    /// Whether the window was asked to close, ever.
    pub fn close_asked(&self) -> bool {
        self.close_asked.load(Ordering::Acquire)
    }

    /// Sets what the main thread does with events.
    pub fn set_mode(&self, mode: Mode) {
        self.send(ToMain::Mode(mode));
    }

    /// Hides the window; it is gone once the stimulus thread has ended.
    pub fn close(&self) {
        self.send(ToMain::Close);
    }

    fn send(&self, message: ToMain) {
        // The closed channel of `FromMain` tells the same.
        let _loop_gone = self.proxy.send_event(message);
    }
}

/// Tells the event loop, when dropped, that the thread has ended, be it by a panic.
pub(super) struct ThreadEnd(pub(super) EventLoopProxy<ToMain>);

impl Drop for ThreadEnd {
    fn drop(&mut self) {
        // Nobody is left to tell once the loop itself has failed.
        let _loop_gone = self.0.send_event(ToMain::ThreadEnded);
    }
}

/// What the window library knows of the window; the stage knows the window system and its handles.
#[derive(Debug, Clone, PartialEq)]
pub struct WindowFacts {
    /// Name of the display it stands on.
    pub display: Option<String>,
    /// That display's refresh as asked of it, Hz.
    pub rate_hz: Option<f64>,
    /// Physical pixels a point.
    pub scale: f64,
    /// Whether it covers the display.
    pub fullscreen: bool,
}

/// What the stimulus thread starts with.
#[derive(Debug)]
pub struct Opened {
    /// The surface and its device.
    pub stage: Stage,
    /// What the main thread tells.
    pub from_main: Receiver<FromMain>,
    /// The main thread.
    pub main: MainHandle,
    /// The bell of this very thread, for other producers.
    pub bell: Bell,
    /// The window itself: a lost surface is made anew from it. Touch nothing else of it.
    pub window: Arc<winit::window::Window>,
    /// What the window library knows of it.
    pub facts: WindowFacts,
}
