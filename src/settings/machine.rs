//! `settings.toml`: what was agreed to and set up on this machine.
//!
//! It holds no answer about anybody's health and no birth date. A key that is not known is kept
//! out, a key that is missing has its first value.

use super::{FOLDER, SettingsError, file};
use etcetera::{BaseStrategy, choose_base_strategy};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// What is kept about this machine.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Whether the caution about flashing was read and the first-start questions were asked.
    pub caution_read: bool,
    /// The player's age band, once told.
    pub age_band: Option<AgeBand>,
    /// Where sessions are kept, where not in the platform's data folder.
    pub data: Option<PathBuf>,
    /// The player who was here last, by id.
    pub last_player: Option<String>,
    /// Display lag as typed from a data sheet, ms: a note, never added.
    pub display_lag_ms: Option<f64>,
    /// Where that figure came from.
    pub display_lag_source: Option<String>,
}

/// Age, as far as it matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AgeBand {
    /// 18 or over.
    Adult,
    /// Under 18; a guardian has agreed.
    MinorWithGuardian,
    /// Under 18; no guardian has agreed.
    Minor,
}

/// Where the settings stand: `settings.toml` in the platform's folder for configuration.
///
/// # Errors
/// [`SettingsError::NoHome`] where the system names no home folder.
pub fn settings_file() -> Result<PathBuf, SettingsError> {
    let folders = choose_base_strategy().map_err(|source| SettingsError::NoHome { source })?;
    Ok(folders.config_dir().join(FOLDER).join("settings.toml"))
}

/// The settings in a file; the first values where there is none yet.
///
/// # Errors
/// Where the file does not read.
pub fn load(path: &Path) -> Result<Settings, SettingsError> {
    Ok(file::read(path)?.unwrap_or_default())
}

/// Keeps the settings.
///
/// # Errors
/// Where the file cannot be written.
pub fn save(path: &Path, settings: &Settings) -> Result<(), SettingsError> {
    file::write(path, settings)
}
