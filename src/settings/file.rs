//! A small TOML file read whole and replaced whole, by temporary file and rename.
//!
//! It knows no setting.

use super::SettingsError;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs;
use std::io::Write;
use std::path::Path;

/// The file's values, or `None` where there is no file.
pub(super) fn read<T: DeserializeOwned>(path: &Path) -> Result<Option<T>, SettingsError> {
    if !path.exists() {
        return Ok(None);
    }
    let text = fs::read_to_string(path).map_err(SettingsError::io("read", path))?;
    let values = toml::from_str(&text);
    values.map(Some).map_err(|source| SettingsError::Toml { path: path.to_owned(), source })
}

/// Puts the values in the place of what was there.
pub(super) fn write<T: Serialize>(path: &Path, values: &T) -> Result<(), SettingsError> {
    let text = toml::to_string(values)
        .map_err(|source| SettingsError::Unwritable { path: path.to_owned(), source })?;
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(SettingsError::io("make", folder))?;
    }
    let beside = path.with_extension("toml.new");
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    written.map_err(SettingsError::io("write", &beside))?;
    fs::rename(&beside, path).map_err(SettingsError::io("write", path))
}
