//! What is kept about this machine and its players: `settings.toml` and a `player.toml` each.
//!
//! The nickname, gain and hand of a player stand in `player.toml` alone, so that a session folder
//! can be given away. It knows no session and no clock. First-start questions about health are not
//! kept: only that they were asked.

mod error;
mod file;
mod gain;
pub mod machine;
pub mod players;

pub use error::SettingsError;
pub use gain::Gain;
pub use machine::{AgeBand, Settings, load, save, settings_file};

use etcetera::{BaseStrategy, choose_base_strategy};
use std::path::PathBuf;

/// The program's folder among those of other programs.
const FOLDER: &str = "tautline";

/// Where sessions are kept unless told otherwise: the platform's data folder.
///
/// # Errors
/// [`SettingsError::NoHome`] where the system names no home folder.
pub fn data_dir() -> Result<PathBuf, SettingsError> {
    let folders = choose_base_strategy().map_err(|source| SettingsError::NoHome { source })?;
    Ok(folders.data_dir().join(FOLDER))
}
