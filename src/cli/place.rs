//! What every command with a window may be told: where it opens and which mouse it hears.

use super::size::{Size, size};
use crate::input::InputChoice;
use crate::settings::Settings;
use crate::window::{WindowOptions, WindowSize};

#[derive(Debug, clap::Args)]
pub(super) struct Place {
    /// A window of this size instead of the whole display, for trying
    #[arg(long, value_name = "WxH", value_parser = size)]
    window: Option<Size>,
    /// Where presses come from: auto, evdev, xinput, wayland, rawinput or window
    #[arg(long, value_name = "SOURCE", default_value = "auto")]
    pub(super) input: InputChoice,
    /// Only this mouse (`tautline devices` lists them; default: as in the settings)
    #[arg(long, value_name = "ID")]
    mouse: Option<String>,
    /// On this display (`tautline devices` lists them; default: as in the settings)
    #[arg(long, value_name = "ID", conflicts_with = "window")]
    display: Option<String>,
}

impl Place {
    /// The mouse that was asked for.
    pub(super) fn mouse(&self) -> Option<String> {
        self.mouse.clone()
    }

    /// Where the window opens, if that was told.
    pub(super) fn size(&self) -> Option<WindowSize> {
        let on_display =
            self.display.clone().map(|display| WindowSize::Fullscreen { display: Some(display) });
        self.window.map(Size::windowed).or(on_display)
    }

    /// The mouse: what was asked for, else the settings' choice.
    pub(super) fn mouse_or(&self, kept: &Settings) -> Option<String> {
        self.mouse().or_else(|| kept.mouse.clone())
    }

    /// The window: what was asked for, else the settings' choice.
    pub(super) fn window_or(&self, kept: &Settings) -> WindowOptions {
        let size =
            self.size().unwrap_or_else(|| WindowSize::Fullscreen { display: kept.display.clone() });
        WindowOptions { title: "Tautline".to_owned(), size }
    }
}
