//! Files and folders that the pages ask for: the system's dialog, the list of folders, a table that
//! is dropped on the window, a picture that is saved.

use super::Guide;
use super::chooser::{Answer, Want};
use super::clerk::Job;
use super::outside::{self, Saved};
use super::way::Place;
use crate::sitting::Trouble;
use crate::words::choosing as words;
use std::path::{Path, PathBuf};

impl Guide {
    /// Opens the system's dialog.
    pub(super) fn ask_system(&mut self, want: Want) {
        self.state.browse.close();
        let begin_in = self.begin_in(want);
        self.chooser.ask(want, begin_in);
    }

    /// Takes in what came of the system's dialog; whether something was chosen.
    pub(super) fn hear_dialog(&mut self) -> bool {
        match self.chooser.take() {
            None | Some((_, Answer::Closed)) => false,
            Some((want, Answer::Chosen(path))) => {
                self.take_file(want, path);
                true
            }
            Some((want, Answer::NoDialog(why))) => {
                self.browse(want);
                self.state.browse.why = Some(words::no_dialog(&why));
                false
            }
        }
    }

    /// Opens the list of folders.
    pub(super) fn browse(&mut self, want: Want) {
        self.state.browse.begin(want);
        let begin_in = self.begin_in(want);
        self.errands.give(Job::Folder(want, begin_in));
    }

    /// Reads a folder of the list.
    pub(super) fn enter(&mut self, folder: PathBuf) {
        if let Some(want) = self.state.browse.want() {
            self.errands.give(Job::Folder(want, Some(folder)));
        }
    }

    /// Takes what was chosen, by dialog or from the list.
    pub(super) fn take_file(&mut self, want: Want, path: PathBuf) {
        self.state.browse.close();
        match want {
            Want::Table => self.take_table(&path),
            Want::DataFolder => self.state.typed.take_data(&path),
            Want::Picture(_) => {
                if let Err(trouble) = self.save_picture(want, &path) {
                    self.trouble = Some(trouble);
                }
            }
        }
    }

    /// A table that was chosen or dropped on the window; its page is the one for it.
    pub(super) fn take_table(&mut self, path: &Path) {
        self.state.browse.close();
        self.state.table.take(path);
        self.look_at_columns();
        self.way.go(Place::Tables);
    }

    /// Has the columns of the table looked at anew.
    pub(super) fn look_at_columns(&mut self) {
        match self.state.table.ask_columns() {
            Some((file, mappings)) => self.errands.give(Job::Columns(file, mappings)),
            None => self.errands.forget(&Job::Columns(PathBuf::new(), Vec::new())),
        }
    }

    /// Where looking for it begins.
    fn begin_in(&self, want: Want) -> Option<PathBuf> {
        match want {
            Want::Table => Some(self.state.table.file()?.parent()?.to_owned()),
            Want::DataFolder => self.state.typed.data(),
            Want::Picture(_) => None,
        }
    }

    /// Writes the picture to `path`.
    fn save_picture(&mut self, want: Want, path: &Path) -> Result<(), Trouble> {
        let (Want::Picture(shape), Some(found)) = (want, &self.found) else { return Ok(()) };
        self.done = Some(match outside::save_picture(&found.picture(shape), path)? {
            Saved::There(at) => words::picture_saved(&at.display().to_string()),
            Saved::Beside(at) => words::picture_saved_beside(&at.display().to_string()),
        });
        Ok(())
    }
}
