//! The file dialog of Windows (the common item dialog) and macOS, by a crate that calls it.
//!
//! The crate tells a closed dialog from a failed one by neither value nor error: both are
//! [`Answer::Closed`]. The list of folders has a button of its own beside it.

use super::{Answer, Dialog, Parent, TABLE_ENDINGS, Want};
use crate::words::choosing as words;
use rfd::FileDialog;
use std::path::PathBuf;
use std::sync::Arc;

pub(super) fn prepare(
    want: Want,
    begin_in: Option<PathBuf>,
    parent: Option<Arc<dyn Parent>>,
) -> Dialog {
    let mut dialog = FileDialog::new().set_title(want.title());
    if let Some(folder) = begin_in {
        dialog = dialog.set_directory(folder);
    }
    if let Some(parent) = parent {
        // Windows tells a window's handle on its own thread alone: this one.
        dialog = dialog.set_parent(&*parent);
    }
    let shown: Box<dyn FnOnce() -> Option<PathBuf> + Send> = match want {
        Want::Table => {
            let dialog = dialog
                .add_filter(words::KIND_TABLES, &TABLE_ENDINGS)
                .add_filter(words::KIND_ALL, &["*"]);
            Box::new(move || dialog.pick_file())
        }
        Want::DataFolder => Box::new(move || dialog.pick_folder()),
        Want::Picture(_) => {
            let dialog = dialog
                .add_filter(words::KIND_PNG, &["png"])
                .set_file_name(want.file_name().unwrap_or_default());
            Box::new(move || dialog.save_file())
        }
    };
    Box::new(move || shown().map_or(Answer::Closed, Answer::Chosen))
}
