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
    /// Where sessions are kept, where not in the platform's data folder.
    pub data: Option<PathBuf>,
    /// The player who was here last, by id.
    pub last_player: Option<String>,
    /// Display lag as typed from a data sheet, ms: a note, never added.
    pub display_lag_ms: Option<f64>,
    /// Where that figure came from.
    pub display_lag_source: Option<String>,
    /// Size of text on screen, as a multiple of the usual, 0.8 to 2.
    pub text_size: Option<f64>,
    /// Nothing on the untimed pages moves by itself.
    pub reduced_motion: bool,
    /// How far the target's colour stands from the field in plans begun on screen, 0.1 to 1.
    pub contrast_share: Option<f64>,
    /// The display the window opens on, by name.
    pub display: Option<String>,
    /// The mouse that is listened to, by id.
    pub mouse: Option<String>,
}

impl Settings {
    /// Size of text on screen, as a multiple of the usual: within what stays readable and whole.
    #[expect(clippy::cast_possible_truncation, reason = "0.8 to 2")]
    pub fn text_scale(&self) -> f32 {
        self.text_size.filter(|size| size.is_finite()).unwrap_or(1.0).clamp(0.8, 2.0) as f32
    }
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
