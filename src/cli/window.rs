//! No command: the program's own window, which leads through everything.

use super::out::Failure;
use super::size::{Size, size};
use crate::app;
use crate::input::InputChoice;
use crate::window::WindowSize;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct WindowArguments {
    /// Where sessions are kept (default: as in the settings)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// A window of this size instead of the whole display, for trying
    #[arg(long, value_name = "WxH", value_parser = size)]
    window: Option<Size>,
    /// Where presses come from: auto, evdev, xinput, wayland, rawinput or window
    #[arg(long, value_name = "SOURCE", default_value = "auto")]
    input: InputChoice,
    /// Only this mouse (default: as in the settings)
    #[arg(long, value_name = "ID")]
    mouse: Option<String>,
    /// On this display (default: as in the settings)
    #[arg(long, value_name = "ID", conflicts_with = "window")]
    display: Option<String>,
}

pub(super) fn main(arguments: &WindowArguments) -> Result<ExitCode, Failure> {
    let on_display =
        arguments.display.clone().map(|display| WindowSize::Fullscreen { display: Some(display) });
    app::open(app::Options {
        size: arguments.window.map(Size::windowed).or(on_display),
        data: arguments.data.clone(),
        input: arguments.input,
        mouse: arguments.mouse.clone(),
        settings: None,
    })?;
    Ok(ExitCode::SUCCESS)
}
