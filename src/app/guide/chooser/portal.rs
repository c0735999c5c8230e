//! The file dialog of a Linux desktop, by its portal (org.freedesktop.portal.FileChooser): the same
//! way for every desktop and inside a sandbox, with no toolkit of our own.

use super::{Answer, Dialog, Parent, TABLE_ENDINGS, Want};
use crate::words::choosing as words;
use ashpd::desktop::ResponseError;
use ashpd::desktop::file_chooser::{FileFilter, SelectedFiles};
use ashpd::{Error, WindowIdentifier};
use std::ffi::OsString;
use std::os::unix::ffi::OsStringExt;
use std::path::PathBuf;
use std::sync::Arc;

pub(super) fn prepare(
    want: Want,
    begin_in: Option<PathBuf>,
    parent: Option<Arc<dyn Parent>>,
) -> Dialog {
    Box::new(move || {
        let answered = pollster::block_on(ask(want, begin_in, parent.as_deref()));
        match answered {
            Ok(uris) => match uris.first().and_then(|uri| path_of(uri)) {
                Some(path) => Answer::Chosen(path),
                None => Answer::NoDialog(words::NO_FILE_OF_HERE.to_owned()),
            },
            Err(Error::Response(ResponseError::Cancelled)) => Answer::Closed,
            Err(Error::Response(ResponseError::Other)) => {
                Answer::NoDialog(words::DIALOG_ENDED.to_owned())
            }
            Err(error) => Answer::NoDialog(error.to_string()),
        }
    })
}

async fn ask(
    want: Want,
    begin_in: Option<PathBuf>,
    parent: Option<&dyn Parent>,
) -> Result<Vec<String>, Error> {
    let parent = match parent {
        Some(parent) => identifier(parent).await,
        None => None,
    };
    let request = match want {
        Want::Table | Want::DataFolder => {
            let request = SelectedFiles::open_file()
                .identifier(parent)
                .title(want.title())
                .modal(true)
                .multiple(false)
                .directory(want == Want::DataFolder)
                .current_folder::<PathBuf>(begin_in)?;
            let request = match want {
                Want::Table => request.filter(tables()).filter(all()),
                Want::DataFolder | Want::Picture(_) => request,
            };
            request.send().await?
        }
        Want::Picture(_) => {
            let name = want.file_name();
            SelectedFiles::save_file()
                .identifier(parent)
                .title(want.title())
                .modal(true)
                .current_name(name.as_deref())
                .current_folder::<PathBuf>(begin_in)?
                .filter(FileFilter::new(words::KIND_PNG).glob(&any_case("png")))
                .send()
                .await?
        }
    };
    let files = request.response()?;
    Ok(files.uris().iter().map(|uri| uri.as_str().to_owned()).collect())
}

/// How the dialog is told which window it stands in front of; without it the dialog comes too, but
/// may stand behind.
async fn identifier(parent: &dyn Parent) -> Option<WindowIdentifier> {
    let window = parent.window_handle().ok()?.as_raw();
    let display = parent.display_handle().ok().map(|display| display.as_raw());
    WindowIdentifier::from_raw_handle(&window, display.as_ref()).await
}

fn tables() -> FileFilter {
    let filter = FileFilter::new(words::KIND_TABLES);
    TABLE_ENDINGS.iter().fold(filter, |filter, ending| filter.glob(&any_case(ending)))
}

fn all() -> FileFilter {
    FileFilter::new(words::KIND_ALL).glob("*")
}

/// Patterns tell capitals apart: each letter in both, as the portal's documentation advises.
fn any_case(ending: &str) -> String {
    let letters = ending.chars().map(|c| format!("[{c}{}]", c.to_ascii_uppercase()));
    format!("*.{}", letters.collect::<String>())
}

/// The path of a file on this computer (RFC 8089, RFC 3986): `%` and two digits are a byte.
fn path_of(uri: &str) -> Option<PathBuf> {
    let rest = uri.strip_prefix("file://")?;
    let rest = rest.strip_prefix("localhost").unwrap_or(rest);
    if !rest.starts_with('/') {
        return None;
    }
    let mut bytes = Vec::with_capacity(rest.len());
    let mut left = rest.bytes();
    while let Some(byte) = left.next() {
        if byte == b'%' {
            let digits = [left.next()?, left.next()?];
            let digits = std::str::from_utf8(&digits).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    Some(PathBuf::from(OsString::from_vec(bytes)))
}

#[cfg(test)]
mod tests {
    use super::{any_case, path_of};
    use std::path::{Path, PathBuf};

    /// RFC 8089, appendix B has the forms with and without a host; the bytes are RFC 3986's.
    #[test]
    fn a_uri_of_this_computer_is_its_path() {
        let path = |text: &str| path_of(text);
        assert_eq!(path("file:///a/b.csv"), Some(PathBuf::from("/a/b.csv")));
        assert_eq!(path("file://localhost/a"), Some(PathBuf::from("/a")));
        assert_eq!(path("file:///a%20b/%C3%BC.csv").as_deref(), Some(Path::new("/a b/\u{fc}.csv")));
        for wrong in ["https://a/b", "file://elsewhere/a", "file:///a%2", "file:///a%zz", ""] {
            assert_eq!(path(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_pattern_takes_both_cases() {
        assert_eq!(any_case("csv"), "*.[cC][sS][vV]");
    }
}
