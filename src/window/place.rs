//! Where the window stands: which display, and how it is asked for.

use super::error::WindowError;
use super::handle::WindowFacts;
use crate::display::SizePx;
use winit::dpi::PhysicalSize;
use winit::event_loop::ActiveEventLoop;
use winit::monitor::MonitorHandle;
use winit::window::{Fullscreen, Window, WindowAttributes};

/// How big the window is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WindowSize {
    /// Without borders, over the whole display.
    Fullscreen {
        /// Its name, or its number from 1; `None`: the system's choice.
        display: Option<String>,
    },
    /// A plain window, for trying.
    Windowed {
        /// Physical px.
        width_px: u32,
        /// Physical px.
        height_px: u32,
    },
}

/// How the window is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WindowOptions {
    /// Title.
    pub title: String,
    /// Size.
    pub size: WindowSize,
}

/// Makes the window, not shown yet: a screen reader has to be told of it first.
pub(super) fn create(
    event_loop: &ActiveEventLoop,
    options: &WindowOptions,
) -> Result<Window, WindowError> {
    let attributes =
        WindowAttributes::default().with_title(options.title.clone()).with_visible(false);
    let attributes = match &options.size {
        WindowSize::Fullscreen { display } => {
            let monitor = display.as_deref().map(|name| find(event_loop, name)).transpose()?;
            attributes
                .with_decorations(false)
                .with_fullscreen(Some(Fullscreen::Borderless(monitor)))
        }
        &WindowSize::Windowed { width_px, height_px } => {
            attributes.with_inner_size(PhysicalSize::new(width_px, height_px)).with_resizable(false)
        }
    };
    event_loop.create_window(attributes).map_err(|source| WindowError::Refused { source })
}

fn find(event_loop: &ActiveEventLoop, asked: &str) -> Result<MonitorHandle, WindowError> {
    let name = |monitor: &MonitorHandle| monitor.name().unwrap_or_else(|| "(unnamed)".to_owned());
    let all: Vec<MonitorHandle> = event_loop.available_monitors().collect();
    let by_name = all.iter().find(|monitor| name(monitor) == asked);
    let by_number =
        || asked.parse::<usize>().ok().and_then(|number| all.get(number.checked_sub(1)?));
    by_name.or_else(by_number).cloned().ok_or_else(|| WindowError::NoSuchDisplay {
        asked: asked.to_owned(),
        known: all.iter().map(name).collect(),
    })
}

/// What the window library knows of `window`.
pub(super) fn facts(window: &Window) -> WindowFacts {
    let monitor = window.current_monitor();
    WindowFacts {
        display: monitor.as_ref().and_then(MonitorHandle::name),
        rate_hz: monitor
            .as_ref()
            .and_then(MonitorHandle::refresh_rate_millihertz)
            .map(|rate| f64::from(rate) / 1e3),
        scale: window.scale_factor(),
        fullscreen: window.fullscreen().is_some(),
    }
}

/// The window's size now, physical px.
pub(super) fn size(window: &Window) -> SizePx {
    let size = window.inner_size();
    SizePx { width: size.width, height: size.height }
}
