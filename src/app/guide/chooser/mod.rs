//! The system's own file dialog, beside the window.
//!
//! It runs on a thread of its own and may stay open for minutes; the pages look now and then whether
//! it was answered. Where the system lends none, the answer says why, and the pages open their own
//! list of folders.

#[cfg(any(windows, target_os = "macos"))]
mod common;
#[cfg(target_os = "linux")]
mod portal;

use crate::findings::picture::PictureShape;
use crate::words::choosing as words;
use raw_window_handle::{HasDisplayHandle, HasWindowHandle};
use std::path::PathBuf;
use std::sync::Weak;
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread::Builder;

/// Endings of files that may be a table.
pub(super) const TABLE_ENDINGS: [&str; 3] = ["csv", "tsv", "txt"];

/// What is to be chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Want {
    /// A table of times measured elsewhere.
    Table,
    /// Where sessions are kept.
    DataFolder,
    /// Where a picture is saved.
    Picture(PictureShape),
}

impl Want {
    /// Title of the dialog.
    const fn title(self) -> &'static str {
        match self {
            Want::Table => words::DIALOG_TABLE,
            Want::DataFolder => words::DIALOG_DATA,
            Want::Picture(_) => words::DIALOG_PICTURE,
        }
    }

    /// The name that a saved file is given at first.
    pub(super) fn file_name(self) -> Option<String> {
        match self {
            Want::Picture(shape) => Some(format!("tautline-{}.png", shape.name())),
            Want::Table | Want::DataFolder => None,
        }
    }
}

/// What came of a dialog.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    /// A file or folder.
    Chosen(PathBuf),
    /// The dialog was closed without a choice.
    Closed,
    /// There is no dialog, and why.
    NoDialog(String),
}

/// A window that a dialog stands in front of.
pub(in crate::app) trait Parent:
    HasWindowHandle + HasDisplayHandle + Send + Sync
{
}

impl<T: HasWindowHandle + HasDisplayHandle + Send + Sync> Parent for T {}

/// The way to the dialog, and the one that is open.
#[derive(Default)]
pub(super) struct Chooser {
    /// The program's window, while there is one.
    parent: Option<Weak<dyn Parent>>,
    open: Option<(Want, Receiver<Answer>)>,
}

impl Chooser {
    /// The window that dialogs stand in front of from now on.
    pub(super) fn stand_before(&mut self, parent: Weak<dyn Parent>) {
        self.parent = Some(parent);
    }

    /// Opens the dialog, beginning in the folder `begin_in`; one that is open already is no longer
    /// listened to. Must be called on the thread of the window.
    pub(super) fn ask(&mut self, want: Want, begin_in: Option<PathBuf>) {
        let parent = self.parent.as_ref().and_then(Weak::upgrade);
        let dialog = prepare(want, begin_in, parent);
        let (say, heard) = mpsc::channel();
        let thread = Builder::new().name("dialog".to_owned());
        self.open = Some((want, heard));
        let refused = say.clone();
        let started = thread.spawn(move || {
            // Nobody hears it where the pages went on without it.
            let _left = say.send(dialog());
        });
        if let Err(error) = started {
            let _heard_below = refused.send(Answer::NoDialog(error.to_string()));
        }
    }

    /// What came of the open dialog, if it was answered.
    pub(super) fn take(&mut self) -> Option<(Want, Answer)> {
        let (want, heard) = self.open.as_ref()?;
        let answer = match heard.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Answer::NoDialog(words::DIALOG_ENDED.to_owned()),
        };
        let want = *want;
        self.open = None;
        Some((want, answer))
    }

    /// What is being asked for.
    pub(super) fn asking(&self) -> Option<Want> {
        self.open.as_ref().map(|(want, _)| *want)
    }

    /// The open dialog is no longer listened to.
    pub(super) fn leave(&mut self) {
        self.open = None;
    }
}

/// Shows a dialog and waits for its answer.
type Dialog = Box<dyn FnOnce() -> Answer + Send>;

#[cfg(target_os = "linux")]
use portal::prepare;

#[cfg(any(windows, target_os = "macos"))]
use common::prepare;

#[cfg(not(any(target_os = "linux", windows, target_os = "macos")))]
fn prepare(_: Want, _: Option<PathBuf>, _: Option<std::sync::Arc<dyn Parent>>) -> Dialog {
    Box::new(|| Answer::NoDialog(words::NO_DIALOG_HERE.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::{Answer, Chooser, Want};
    use std::sync::mpsc;

    #[test]
    fn an_answer_comes_once_and_a_dialog_that_ended_is_told() {
        let mut chooser = Chooser::default();
        let (say, heard) = mpsc::channel();
        chooser.open = Some((Want::Table, heard));
        assert_eq!(chooser.take(), None);
        assert_eq!(chooser.asking(), Some(Want::Table));
        say.send(Answer::Closed).unwrap();
        assert_eq!(chooser.take(), Some((Want::Table, Answer::Closed)));
        assert_eq!(chooser.asking(), None);
        let (say, heard) = mpsc::channel::<Answer>();
        chooser.open = Some((Want::DataFolder, heard));
        drop(say);
        assert!(matches!(chooser.take(), Some((Want::DataFolder, Answer::NoDialog(_)))));
    }
}
