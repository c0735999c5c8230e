//! The sheet on which film frames are noted: a CSV file with a row for each answered click.
//!
//! Columns are found by name. The program fills in what it saw; the player fills in `press_frame`
//! and `answer_frame` for some clicks, there or on the command line.

use super::Reading;
use super::film::Answer;
use crate::words::{Tell, Told};
use std::path::{Path, PathBuf};

/// One click on the sheet.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Row {
    /// Number of the click, from 1.
    pub click: usize,
    /// What the strip shows in the first picture with the answer.
    pub counter: u64,
    /// From the stamp of the press to the stamp of that picture, ms.
    pub own_ms: f64,
    /// That picture's stamp, ms since the first row's.
    pub shown_ms: f64,
    /// The clock of pictures.
    pub display_clock: String,
    /// The source of presses.
    pub input_source: String,
    /// First film frame in which the button is down; blank until read.
    pub press_frame: Option<u64>,
    /// First film frame in which the patch has changed; blank until read.
    pub answer_frame: Option<u64>,
}

/// What is wrong with a sheet.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// It cannot be read.
    #[error("this sheet does not read: {source}")]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What and where.
        source: csv::Error,
    },
    /// It cannot be written.
    #[error("this sheet cannot be written: {source}")]
    Unwritable {
        /// The file.
        path: PathBuf,
        /// Why.
        source: csv::Error,
    },
    /// One of the two frames is missing.
    #[error("click {click} has only one of press_frame and answer_frame")]
    Half {
        /// The file.
        path: PathBuf,
        /// Number of the click.
        click: usize,
    },
    /// Frames were typed for a click that is not on the sheet.
    #[error("there is no click {click} on this sheet; it has 1 to {most}")]
    NoSuchClick {
        /// The file.
        path: PathBuf,
        /// Typed.
        click: usize,
        /// On the sheet.
        most: usize,
    },
}

impl Tell for SheetError {
    fn tell(&self) -> Told {
        let (path, mend) = match self {
            SheetError::Unreadable { path, .. } => (
                path,
                "keep the header as it was written, and whole numbers in press_frame and answer_frame",
            ),
            SheetError::Unwritable { path, .. } => {
                (path, "make room there, or choose another folder with --data")
            }
            SheetError::Half { path, .. } => (path, "write both, or leave both blank"),
            SheetError::NoSuchClick { path, .. } => {
                (path, "write CLICK:PRESS-ANSWER, for example 3:1041-1066")
            }
        };
        let place = Some(path.display().to_string());
        Told { what: self.to_string(), place, mend: mend.to_owned() }
    }
}

/// The rows of what a screen saw.
pub fn rows(answers: &[Answer]) -> Vec<Row> {
    let first = answers.first().map(|answer| answer.shown.t);
    (1..)
        .zip(answers)
        .map(|(click, answer)| Row {
            click,
            counter: answer.counter,
            own_ms: (answer.shown.t - answer.press.t).ms(),
            shown_ms: first.map_or(0.0, |first| (answer.shown.t - first).ms()),
            display_clock: answer.shown.source.name().to_owned(),
            input_source: answer.press.source.name().to_owned(),
            press_frame: None,
            answer_frame: None,
        })
        .collect()
}

/// Writes a new sheet.
///
/// # Errors
/// [`SheetError::Unwritable`].
pub fn write(path: &Path, rows: &[Row]) -> Result<(), SheetError> {
    let unwritable = |source| SheetError::Unwritable { path: path.to_owned(), source };
    let mut writer = csv::Writer::from_path(path).map_err(unwritable)?;
    for row in rows {
        writer.serialize(row).map_err(unwritable)?;
    }
    writer.flush().map_err(|source| unwritable(source.into()))
}

/// Reads a sheet.
///
/// # Errors
/// [`SheetError::Unreadable`] with the line.
pub fn read(path: &Path) -> Result<Vec<Row>, SheetError> {
    let unreadable = |source| SheetError::Unreadable { path: path.to_owned(), source };
    let mut reader =
        csv::ReaderBuilder::new().trim(csv::Trim::All).from_path(path).map_err(unreadable)?;
    reader.deserialize().collect::<Result<_, _>>().map_err(unreadable)
}

/// Film frames that were typed: `CLICK:PRESS-ANSWER`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Typed {
    /// Number of the click.
    pub click: usize,
    /// Film frame of the press.
    pub press_frame: u64,
    /// Film frame of the answer.
    pub answer_frame: u64,
}

impl std::str::FromStr for Typed {
    type Err = String;
    fn from_str(text: &str) -> Result<Typed, String> {
        let wrong =
            || format!("write CLICK:PRESS-ANSWER, for example 3:1041-1066, instead of `{text}`");
        let (click, frames) = text.trim().split_once(':').ok_or_else(wrong)?;
        let (press, answer) = frames.split_once('-').ok_or_else(wrong)?;
        let frame = |text: &str| text.trim().parse::<u64>().ok().ok_or_else(wrong);
        let click = click.trim().parse().ok().ok_or_else(wrong)?;
        Ok(Typed { click, press_frame: frame(press)?, answer_frame: frame(answer)? })
    }
}

/// The readings on a sheet, those that were typed on top. `path`: for what is told.
///
/// # Errors
/// [`SheetError::Half`], [`SheetError::NoSuchClick`].
pub fn readings(
    path: &Path,
    mut rows: Vec<Row>,
    typed: &[Typed],
) -> Result<Vec<Reading>, SheetError> {
    let most = rows.len();
    for &Typed { click, press_frame, answer_frame } in typed {
        let row = rows
            .iter_mut()
            .find(|row| row.click == click)
            .ok_or_else(|| SheetError::NoSuchClick { path: path.to_owned(), click, most })?;
        (row.press_frame, row.answer_frame) = (Some(press_frame), Some(answer_frame));
    }
    let mut readings = Vec::new();
    for row in rows {
        let Row { click, own_ms, shown_ms, .. } = row;
        match (row.press_frame, row.answer_frame) {
            (Some(press_frame), Some(answer_frame)) => {
                readings.push(Reading { click, press_frame, answer_frame, own_ms, shown_ms });
            }
            (None, None) => {}
            _ => return Err(SheetError::Half { path: path.to_owned(), click }),
        }
    }
    Ok(readings)
}
