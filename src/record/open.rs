//! Opens a session folder, ended or broken off, without changing it.
//!
//! A torn last line is left out and counted. It parses no protocol: the text comes out as it was
//! written, for whoever knows protocols.

use super::books::{sha256_hex, sha256_hex_of};
use super::files::RecordFile;
use super::manifest::Manifest;
use super::store::hold_lock;
use super::table::Table;
use super::trials::{Answers, RowContext, TrialRow};
use super::{FORMAT, RatingRow, RecordError, ScheduleRow};
use crate::protocol::{Protocol, Schedule};
use std::fs;
use std::path::{Path, PathBuf};

/// A session as its folder tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// Where it lies.
    pub folder: PathBuf,
    /// Its manifest.
    pub manifest: Manifest,
    /// The protocol's exact text.
    pub protocol_text: String,
    /// What was drawn.
    pub schedule: Vec<ScheduleRow>,
    /// Every trial attempt.
    pub trials: Vec<TrialRow>,
    /// Every rating.
    pub ratings: Vec<RatingRow>,
    /// What was being written when the program was killed, and is left out here.
    pub torn: Torn,
    /// Files that are not as they were when the session ended.
    pub changed: Vec<RecordFile>,
}

/// Torn ends, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Torn {
    /// Of trials.csv.
    pub trials_bytes: usize,
    /// Of ratings.csv.
    pub ratings_bytes: usize,
}

impl Session {
    /// The context of this session's rows, for rows made anew by a replay.
    pub fn context(&self, protocol: &Protocol, schedule: &Schedule) -> RowContext {
        let answers = if self.manifest.simulated { Answers::Simulated } else { Answers::Real };
        let (session, player) = (&self.manifest.session, &self.manifest.player);
        RowContext::new(protocol, schedule, answers, session, player)
    }
}

/// Opens a session folder and changes nothing in it.
///
/// # Errors
/// Where a file is missing, of a newer format, or does not read (but for a torn last line).
pub fn open(folder: &Path) -> Result<Session, RecordError> {
    let manifest = read_manifest(folder)?;
    let mut sums = Checked { folder, manifest: &manifest, changed: Vec::new() };
    let trials = sums.table::<TrialRow>(RecordFile::Trials)?;
    let ratings = sums.table::<RatingRow>(RecordFile::Ratings)?;
    let schedule = sums.table::<ScheduleRow>(RecordFile::Schedule)?;
    let protocol_text = text(folder, RecordFile::Protocol, sums.read(RecordFile::Protocol)?)?;
    for file in [RecordFile::Events, RecordFile::DataPackage] {
        sums.pass_over(file)?;
    }
    sums.changed.sort_unstable();
    Ok(Session {
        folder: folder.to_owned(),
        protocol_text,
        schedule: schedule.rows,
        torn: Torn { trials_bytes: trials.torn_bytes, ratings_bytes: ratings.torn_bytes },
        trials: trials.rows,
        ratings: ratings.rows,
        changed: sums.changed,
        manifest,
    })
}

/// Reads files once each, and compares what was read with the checksums taken at the end.
struct Checked<'a> {
    folder: &'a Path,
    manifest: &'a Manifest,
    changed: Vec<RecordFile>,
}

impl Checked<'_> {
    fn read(&mut self, file: RecordFile) -> Result<Vec<u8>, RecordError> {
        let bytes = read_bytes(self.folder, file)?;
        self.compare(file, || Ok(sha256_hex(&bytes)))?;
        Ok(bytes)
    }

    fn table<Row: Table>(&mut self, file: RecordFile) -> Result<WholeRows<Row>, RecordError> {
        whole_rows(&self.read(file)?, &self.folder.join(file.name()))
    }

    /// A file of which nothing but its checksum is wanted.
    fn pass_over(&mut self, file: RecordFile) -> Result<(), RecordError> {
        let folder = self.folder;
        self.compare(file, || {
            let path = there(folder, file)?;
            let summed = fs::File::open(&path).and_then(sha256_hex_of);
            summed.map_err(RecordError::io("read", &path))
        })
    }

    /// A session that was broken off has no checksums: nothing is summed then.
    fn compare(
        &mut self,
        file: RecordFile,
        found: impl FnOnce() -> Result<String, RecordError>,
    ) -> Result<(), RecordError> {
        if let Some(expected) = self.manifest.checksums.get(file.name())
            && found()? != *expected
        {
            self.changed.push(file);
        }
        Ok(())
    }
}

/// Whether no other run holds a session's folder, asked before a window is opened for it.
///
/// # Errors
/// [`RecordError::InUse`] while another run holds it; [`RecordError::Io`] where that cannot be found
/// out.
pub fn ask_free(folder: &Path) -> Result<(), RecordError> {
    hold_lock(folder).map(drop)
}

/// The session folders under a data folder, oldest first within a player.
///
/// # Errors
/// [`RecordError::Io`] where a folder cannot be listed. A data folder that is not there yet holds
/// no session.
pub fn sessions(data: &Path) -> Result<Vec<PathBuf>, RecordError> {
    let mut found = Vec::new();
    for player in folders(data)? {
        for folder in folders(&player)? {
            if folder.join(RecordFile::Manifest.name()).is_file() {
                found.push(folder);
            }
        }
    }
    Ok(found)
}

/// The folders in a folder, by name, without those that are being made or erased.
pub(super) fn folders(parent: &Path) -> Result<Vec<PathBuf>, RecordError> {
    if !parent.exists() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(parent).map_err(RecordError::io("list", parent))? {
        let entry = entry.map_err(RecordError::io("list", parent))?;
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        if entry.path().is_dir() && !hidden {
            found.push(entry.path());
        }
    }
    found.sort();
    Ok(found)
}

pub(super) fn read_manifest(folder: &Path) -> Result<Manifest, RecordError> {
    /// The one field that every format has.
    #[derive(serde::Deserialize)]
    struct Formatted {
        format: u32,
    }
    let path = folder.join(RecordFile::Manifest.name());
    let text = read_text(folder, RecordFile::Manifest)?;
    let json = |source| RecordError::Json { path: path.clone(), source };
    let Formatted { format: found } = serde_json::from_str(&text).map_err(json)?;
    if found > FORMAT {
        return Err(RecordError::NewerFormat { path, found, known: FORMAT });
    }
    serde_json::from_str(&text).map_err(json)
}

pub(super) fn read_bytes(folder: &Path, file: RecordFile) -> Result<Vec<u8>, RecordError> {
    let path = there(folder, file)?;
    fs::read(&path).map_err(RecordError::io("read", &path))
}

/// Where a file lies, if the folder has it.
fn there(folder: &Path, file: RecordFile) -> Result<PathBuf, RecordError> {
    let path = folder.join(file.name());
    if folder.is_dir() && !path.exists() {
        return Err(RecordError::NotASession { folder: folder.to_owned(), missing: file.name() });
    }
    Ok(path)
}

fn read_text(folder: &Path, file: RecordFile) -> Result<String, RecordError> {
    text(folder, file, read_bytes(folder, file)?)
}

fn text(folder: &Path, file: RecordFile, bytes: Vec<u8>) -> Result<String, RecordError> {
    String::from_utf8(bytes).map_err(|error| RecordError::NotText {
        path: folder.join(file.name()),
        offset: error.utf8_error().valid_up_to(),
    })
}

/// The whole rows of a table, and where they end.
pub(super) struct WholeRows<Row> {
    pub(super) rows: Vec<Row>,
    pub(super) whole_bytes: usize,
    pub(super) torn_bytes: usize,
}

pub(super) fn read_table<Row: Table>(
    folder: &Path,
    file: RecordFile,
) -> Result<WholeRows<Row>, RecordError> {
    let bytes = read_bytes(folder, file)?;
    whole_rows(&bytes, &folder.join(file.name()))
}

/// A line that has not ended was being written; so was a last line that does not read (after a
/// power cut its bytes may be there in length only).
fn whole_rows<Row: Table>(bytes: &[u8], path: &Path) -> Result<WholeRows<Row>, RecordError> {
    let ended = line_end(bytes);
    match Row::read(&bytes[..ended], path) {
        Ok(rows) => Ok(WholeRows { rows, whole_bytes: ended, torn_bytes: bytes.len() - ended }),
        Err(error) => {
            let before = line_end(&bytes[..ended.saturating_sub(1)]);
            match Row::read(&bytes[..before], path) {
                Ok(rows) if before > 0 => {
                    let torn_bytes = bytes.len() - before;
                    Ok(WholeRows { rows, whole_bytes: before, torn_bytes })
                }
                // More than the last line is wrong: the first error says where.
                Ok(_) | Err(_) => Err(error),
            }
        }
    }
}

/// Where the last ended line ends.
fn line_end(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |place| place + 1)
}
