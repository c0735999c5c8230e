//! What the pages hand to the system: a report for the browser, a folder for the file manager, a
//! note behind the others.

use crate::clock;
use crate::sitting::Trouble;
use crate::words::afterwards as after;
use std::ffi::OsStr;
use std::fs::OpenOptions;
use std::io::{self, Write};
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

/// More pictures of one name than this are not numbered.
const MOST_OF_A_NAME: u32 = 999;

/// Where a picture was saved.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Saved {
    /// As asked.
    There(PathBuf),
    /// Beside a file of that name.
    Beside(PathBuf),
}

/// Copies `picture` to `path` (ending `.png` where it has none). A file that is there already is left
/// as it is, and the picture gets the next free number behind its name.
///
/// # Errors
/// It cannot be read or written.
pub(super) fn save_picture(picture: &Path, path: &Path) -> Result<Saved, Trouble> {
    let mut path = path.to_owned();
    if path.extension().is_none() {
        path.set_extension("png");
    }
    let faulty = |error: io::Error| {
        Trouble::one(
            format!("the picture cannot be saved: {error}"),
            Some(path.display().to_string()),
            "choose another folder, or make room on the disk".to_owned(),
        )
    };
    let bytes = std::fs::read(picture).map_err(faulty)?;
    let mut number = 1;
    loop {
        let free = if number == 1 { path.clone() } else { numbered(&path, number) };
        // Looked for and made in one, so that a file made meanwhile is not written over.
        match OpenOptions::new().write(true).create_new(true).open(&free) {
            Ok(mut file) => {
                file.write_all(&bytes).and_then(|()| file.sync_all()).map_err(faulty)?;
                return Ok(if number == 1 { Saved::There(free) } else { Saved::Beside(free) });
            }
            Err(error)
                if error.kind() == io::ErrorKind::AlreadyExists && number < MOST_OF_A_NAME =>
            {
                number += 1;
            }
            Err(error) => return Err(faulty(error)),
        }
    }
}

/// `path` with a number behind its name.
fn numbered(path: &Path, number: u32) -> PathBuf {
    let part = |part: Option<&OsStr>| part.unwrap_or_default().to_os_string();
    let mut name = part(path.file_stem());
    name.push(format!("-{number}."));
    name.push(part(path.extension()));
    path.with_file_name(name)
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

#[cfg(test)]
mod tests {
    use super::{Saved, save_picture};
    use std::fs;

    #[test]
    fn a_picture_never_replaces_a_file() {
        let folder = std::env::temp_dir().join(format!("tautline-pictures-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let at = |name: &str| folder.join(name);
        fs::write(at("made"), b"new").unwrap();
        fs::write(at("mine.png"), b"kept").unwrap();
        fs::write(at("mine-2.png"), b"kept too").unwrap();
        // With the ending and without it the name is the same.
        assert_eq!(
            save_picture(&at("made"), &at("mine.png")).unwrap(),
            Saved::Beside(at("mine-3.png"))
        );
        assert_eq!(
            save_picture(&at("made"), &at("mine")).unwrap(),
            Saved::Beside(at("mine-4.png"))
        );
        assert_eq!(
            save_picture(&at("made"), &at("other.png")).unwrap(),
            Saved::There(at("other.png"))
        );
        assert_eq!(fs::read(at("mine.png")).unwrap(), b"kept");
        assert_eq!(fs::read(at("mine-2.png")).unwrap(), b"kept too");
        assert_eq!(fs::read(at("mine-3.png")).unwrap(), b"new");
        let trouble = save_picture(&at("made"), &at("none/other.png")).unwrap_err();
        assert!(trouble.0[0].what.contains("cannot be saved"), "{trouble:?}");
        fs::remove_dir_all(&folder).unwrap();
    }
}
