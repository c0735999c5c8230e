//! No command: the program's own window, which leads through everything.

use super::out::Failure;
use super::place::Place;
use crate::app;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct WindowArguments {
    /// Where sessions are kept (default: as in the settings)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    #[command(flatten)]
    place: Place,
}

pub(super) fn main(arguments: &WindowArguments) -> Result<ExitCode, Failure> {
    app::open(app::Options {
        size: arguments.place.size(),
        data: arguments.data.clone(),
        input: arguments.place.input,
        mouse: arguments.place.mouse(),
        settings: None,
    })?;
    Ok(ExitCode::SUCCESS)
}
