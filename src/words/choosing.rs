//! The sentences about choosing a file or a folder: the system's dialog and the list of folders.

/// Title of the system's dialog: a table.
pub const DIALOG_TABLE: &str = "A table of times measured elsewhere";
/// Title of the system's dialog: the data folder.
pub const DIALOG_DATA: &str = "Where sessions are kept";
/// Title of the system's dialog: a picture to be saved.
pub const DIALOG_PICTURE: &str = "Save the picture";
/// Kind of files in the system's dialog.
pub const KIND_TABLES: &str = "Tables (.csv, .tsv, .txt)";
/// Kind of files in the system's dialog.
pub const KIND_ALL: &str = "All files";
/// Kind of files in the system's dialog.
pub const KIND_PNG: &str = "PNG picture";
/// Button: opens the system's dialog.
pub const CHOOSE_FILE: &str = "Choose the file";
/// Button: opens the system's dialog.
pub const CHOOSE_FOLDER: &str = "Choose the folder";
/// Button: opens the system's dialog.
pub const SAVE_WIDE: &str = "Save the wide picture as";
/// Button: opens the system's dialog.
pub const SAVE_TALL: &str = "Save the tall picture as";
/// The dialog is open, perhaps behind the window.
pub const DIALOG_OPEN: &str = "The system's dialog is open. It may stand behind this window.";
/// Button: the dialog is no longer waited for.
pub const DIALOG_LEAVE: &str = "Go on without it";
/// There is none: the list of folders is opened instead.
pub fn no_dialog(why: &str) -> String {
    format!("The system lends no file dialog here ({why}), so choose in this list instead.")
}
/// No dialog on this system.
pub const NO_DIALOG_HERE: &str = "none is known for this system";
/// The dialog ended by itself.
pub const DIALOG_ENDED: &str = "it ended without an answer";
/// The dialog answered with something that is no file of this computer.
pub const NO_FILE_OF_HERE: &str = "what was chosen is no file on this computer";
/// Opens the list of folders.
pub const BROWSE: &str = "Look for it in your folders";
/// Heading of the list.
pub const BROWSE_TITLE: &str = "Your folders";
/// To the folder above.
pub const BROWSE_UP: &str = "The folder above";
/// Closes the list.
pub const BROWSE_OVER: &str = "Stop looking";
/// Takes the folder on show.
pub const BROWSE_TAKE: &str = "Take this folder";
/// Saves into the folder on show.
pub const BROWSE_SAVE: &str = "Save it in this folder";
/// A folder without a table.
pub const BROWSE_NOTHING: &str = "No folder and no table (.csv, .tsv, .txt) is in it.";
/// A folder without a folder.
pub const BROWSE_NO_FOLDER: &str = "No folder is in it.";
/// Too many to list.
pub const BROWSE_MORE: &str = "There are more than are listed: type the path instead.";
/// A folder, by name.
pub fn browse_folder(name: &str) -> String {
    format!("{name} (folder)")
}
/// It does not read.
pub fn browse_fault(why: &str) -> String {
    format!("This folder cannot be read: {why}")
}
/// Where a picture was saved.
pub fn picture_saved(path: &str) -> String {
    format!("The picture was saved: {path}")
}

/// Where a picture was saved, a file of the name that was asked for being there already.
pub fn picture_saved_beside(path: &str) -> String {
    format!(
        "A file of that name is there already and was left as it is. The picture was saved: {path}"
    )
}
