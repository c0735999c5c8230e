//! What the pages hand to the system: a report for the browser, a folder for the file manager, a
//! note behind the others.

use crate::clock;
use crate::sitting::Trouble;
use crate::words::afterwards as after;
use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The system's own opener of files and folders.
#[cfg(not(any(target_os = "macos", windows)))]
const OPENER: &str = "xdg-open";
#[cfg(target_os = "macos")]
const OPENER: &str = "open";
#[cfg(windows)]
const OPENER: &str = "explorer";

/// Opens a file or folder with the system's own program; what to say about it.
///
/// # Errors
/// There is no such program: the path is told, to be opened by hand.
pub(super) fn open(path: &Path) -> Result<String, Trouble> {
    let mut command = Command::new(OPENER);
    command.arg(path).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let opened = command.spawn().and_then(|mut child| {
        // Waited for beside the window, so that no ended process is left over.
        std::thread::Builder::new().name("opener".to_owned()).spawn(move || {
            let _its_own_exit_code = child.wait();
        })
    });
    opened.map_err(|error| {
        Trouble::one(
            format!("`{OPENER}` cannot be started: {error}"),
            Some(path.display().to_string()),
            "open this path by hand".to_owned(),
        )
    })?;
    Ok(after::opened(&path.display().to_string()))
}

/// Whether the window library hears of a file that is dropped on the window: not on Wayland, which
/// it takes where the system names a compositor.
pub(super) fn can_drop() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(not(target_os = "linux")) || !(named("WAYLAND_DISPLAY") || named("WAYLAND_SOCKET"))
}

/// Copies `picture` to `path` (ending `.png` where it has none), where a file of that name is
/// replaced, as a dialog has asked; where it was saved.
///
/// # Errors
/// It cannot be read or written.
pub(super) fn save_picture(picture: &Path, path: &Path) -> Result<PathBuf, Trouble> {
    let mut path = path.to_owned();
    if path.extension().is_none() {
        path.set_extension("png");
    }
    std::fs::copy(picture, &path).map_err(|error| {
        Trouble::one(
            format!("the picture cannot be saved: {error}"),
            Some(path.display().to_string()),
            "choose another folder, or make room on the disk".to_owned(),
        )
    })?;
    Ok(path)
}

/// Adds a note with its day to `notes.md` of the session in `folder`.
///
/// # Errors
/// It cannot be written.
pub(super) fn add_note(folder: &Path, note: &str) -> Result<(), Trouble> {
    let path = folder.join("notes.md");
    let day = clock::utc().strftime("%Y-%m-%d %H:%M UTC").to_string();
    let text = format!("\n## {day}\n\n{note}\n");
    let written = OpenOptions::new()
        .create(true)
        .append(true)
        .open(&path)
        .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.sync_all()));
    written.map_err(|error| {
        Trouble::one(
            format!("the note cannot be written: {error}"),
            Some(path.display().to_string()),
            "make room on the disk, or allow writing there".to_owned(),
        )
    })
}
