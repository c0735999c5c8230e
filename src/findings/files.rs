//! Writes findings.json, the report and the pictures into one folder.
//!
//! They can be made again at any time and lie outside a session's checksums. Each file is written
//! beside its place and then renamed, so that no reader sees half of one.

use super::json::FindingsJson;
use super::picture::{Naming, PictureShape, as_png, as_svg};
use super::{Findings, FindingsError, report};
use crate::record::patiently;
use std::fs;
use std::path::{Path, PathBuf};

/// The folder inside a session's folder.
pub const FOLDER: &str = "findings";

/// What was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The report.
    pub report: PathBuf,
    /// Every file, the report among them.
    pub files: Vec<PathBuf>,
}

/// Writes everything into `folder`, which is made where it is missing.
///
/// # Errors
/// [`FindingsError::Write`] with the path; [`FindingsError::Picture`].
pub fn write_all(findings: &Findings, folder: &Path) -> Result<Written, FindingsError> {
    let report = folder.join("report.html");
    let mut files = vec![
        write(&folder.join("findings.json"), FindingsJson::of(findings).text().as_bytes())?,
        write(&report, report::html(findings).as_bytes())?,
    ];
    files.extend(write_pictures(findings, folder, Naming::Nobody)?);
    Ok(Written { report, files })
}

/// Writes the pictures alone.
///
/// # Errors
/// [`FindingsError::Write`] with the path; [`FindingsError::Picture`].
pub fn write_pictures(
    findings: &Findings,
    folder: &Path,
    naming: Naming,
) -> Result<Vec<PathBuf>, FindingsError> {
    let mut files = Vec::new();
    for shape in PictureShape::ALL {
        let place = |ending: &str| folder.join(shape.file_name(ending));
        files.push(write(&place("png"), &as_png(findings, shape, naming)?)?);
        files.push(write(&place("svg"), as_svg(findings, shape, naming).as_bytes())?);
    }
    Ok(files)
}

fn write(path: &Path, bytes: &[u8]) -> Result<PathBuf, FindingsError> {
    let failed = |source| FindingsError::Write { path: path.to_owned(), source };
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(failed)?;
    }
    let mut beside = path.as_os_str().to_owned();
    beside.push(".part");
    fs::write(&beside, bytes).map_err(failed)?;
    patiently(|| fs::rename(&beside, path)).map_err(failed)?;
    Ok(path.to_owned())
}
