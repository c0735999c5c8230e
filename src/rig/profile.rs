//! The saved rig: a dated file in `<data>/rigs/`, without host, user or serial names.
//!
//! Written by temporary file and rename, so that it is there whole or not at all. A profile is never
//! changed but for the notes of a camera, which are added at its end.

use super::asked::Answered;
use super::bounce::Clicks;
use super::camera::Lag;
use super::changes::{Change, Signs};
use super::computer::Computer;
use super::error::RigError;
use super::finding::{Finding, Grade};
use super::frames::Frames;
use super::mice::Mouse;
use super::report_rate::ReportRate;
use super::slide::CountsPerCm;
use super::wake_ups::{Raised, WakeUps};
use crate::record::Machine;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Number of the file's format.
pub const FORMAT: u32 = 1;
/// The folder of rigs inside the data folder. No player's id is this: ids end in four letters.
pub const FOLDER: &str = "rigs";
/// How a profile's file name ends.
const SUFFIX: &str = "-rig.json";

/// A rig as it was checked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// Number of the file's format.
    pub format: u32,
    /// The program that wrote it.
    pub program_version: String,
    /// When.
    #[serde(with = "timestamp")]
    pub utc: jiff::Timestamp,
    /// The computer.
    pub machine: Machine,
    /// What it tells of itself.
    pub computer: Computer,
    /// What the display reports of itself, as in manifests.
    pub display: Value,
    /// What the frames do; blank where too few were seen.
    pub frames: Option<Frames>,
    /// What the input reports of itself, as in manifests.
    pub input: Value,
    /// What each device did.
    pub mice: Vec<Mouse>,
    /// How the mouse reports; blank where skipped or not told.
    pub report_rate: Option<ReportRate>,
    /// Counts for a centimetre; blank where skipped or not told.
    pub counts_per_cm: Option<CountsPerCm>,
    /// Clicks; blank where skipped.
    pub clicks: Option<Clicks>,
    /// How late a sleeping thread wakes.
    pub wake_ups: Option<WakeUps>,
    /// Whether the priority was granted.
    pub priority: Raised,
    /// What the player was asked.
    pub asked: Vec<Answered>,
    /// What it all means.
    pub findings: Vec<Finding>,
    /// What is another now than in the profile before.
    pub changes: Vec<Change>,
    /// Lags by camera: notes, never added to a time.
    pub camera: Vec<CameraNote>,
}

/// A lag by camera.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CameraNote {
    /// When it was worked out.
    #[serde(with = "timestamp")]
    pub utc: jiff::Timestamp,
    /// The sheet it was read from, by its file name.
    pub sheet: String,
    /// Frames a second, as told.
    pub rate_hz: f64,
    /// The clock of pictures that the lag goes beyond.
    pub display_clock: String,
    /// The source of presses that it goes beyond.
    pub input_source: String,
    /// The lag.
    pub lag: Lag,
}

impl Profile {
    /// What the rig is known by.
    pub fn signs(&self) -> Signs {
        Signs::of(&self.display, &self.input)
    }

    /// Findings of a grade.
    pub fn of_grade(&self, grade: Grade) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |finding| finding.grade == grade)
    }
}

/// A profile in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved {
    /// Its file.
    pub path: PathBuf,
    /// Its name: the file's, without its ending.
    pub name: String,
    /// What it holds.
    pub profile: Profile,
}

/// Where a new sheet for film frames goes; its folder is made.
///
/// # Errors
/// [`RigError::Io`].
pub fn sheet_path(data: &Path, utc: jiff::Timestamp) -> Result<PathBuf, RigError> {
    let folder = data.join(FOLDER);
    fs::create_dir_all(&folder).map_err(RigError::io("make", &folder))?;
    Ok(folder.join(format!("{}-film.csv", utc.strftime("%Y%m%dT%H%M%SZ"))))
}

/// Keeps a new profile under its date.
///
/// # Errors
/// [`RigError::Io`].
pub fn save(data: &Path, profile: Profile) -> Result<Saved, RigError> {
    let folder = data.join(FOLDER);
    fs::create_dir_all(&folder).map_err(RigError::io("make", &folder))?;
    let stamp = profile.utc.strftime("%Y%m%dT%H%M%SZ").to_string();
    let free = (1..).map(|n| if n == 1 { stamp.clone() } else { format!("{stamp}-{n}") });
    let path = free.map(|name| folder.join(name + SUFFIX)).find(|path| !path.exists());
    let path = path.expect("numbers do not end");
    write(&path, &profile)?;
    let name = name_of(&path).unwrap_or_default();
    Ok(Saved { path, name, profile })
}

/// Adds a camera's note to a saved profile.
///
/// # Errors
/// [`RigError::Io`].
pub fn add_camera(saved: &mut Saved, note: CameraNote) -> Result<(), RigError> {
    saved.profile.camera.push(note);
    write(&saved.path, &saved.profile)
}

fn write(path: &Path, profile: &Profile) -> Result<(), RigError> {
    let text = serde_json::to_string_pretty(profile);
    let text = text.expect("text keys and finite values always serialise") + "\n";
    let beside = path.with_extension("json.new");
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    written.map_err(RigError::io("write", &beside))?;
    fs::rename(&beside, path).map_err(RigError::io("write", path))
}

/// The saved profiles, oldest first; none where there is no folder yet.
///
/// # Errors
/// [`RigError`], with the first file that does not read.
pub fn list(data: &Path) -> Result<Vec<Saved>, RigError> {
    paths(data)?.into_iter().map(read).collect()
}

/// The newest profile, if there is one.
///
/// # Errors
/// [`RigError`], where it does not read.
pub fn latest(data: &Path) -> Result<Option<Saved>, RigError> {
    paths(data)?.pop().map(read).transpose()
}

fn paths(data: &Path) -> Result<Vec<PathBuf>, RigError> {
    let folder = data.join(FOLDER);
    if !folder.exists() {
        return Ok(Vec::new());
    }
    let entries = fs::read_dir(&folder).map_err(RigError::io("read", &folder))?;
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()
        .map_err(RigError::io("read", &folder))?;
    paths.retain(|path| name_of(path).is_some());
    // Names begin with the date, and a second of one moment has a longer name.
    paths.sort_by_cached_key(|path| name_of(path).map(|name| (name[..16].to_owned(), name)));
    Ok(paths)
}

/// The name of a profile's file; none of another file.
fn name_of(path: &Path) -> Option<String> {
    let name = path.file_name()?.to_str()?.strip_suffix(SUFFIX)?;
    let dated = name.is_ascii() && name.len() >= 16;
    dated.then(|| name.to_owned())
}

fn read(path: PathBuf) -> Result<Saved, RigError> {
    let text = fs::read_to_string(&path).map_err(RigError::io("read", &path))?;
    let unreadable = |source| RigError::Unreadable { path: path.clone(), source };
    // The number first: a later format need not have the fields of this one.
    let format = serde_json::from_str::<Value>(&text).map_err(unreadable)?;
    let format = format.get("format").and_then(Value::as_u64).unwrap_or(0);
    if format != u64::from(FORMAT) {
        return Err(RigError::Format { path, found: format });
    }
    let profile = serde_json::from_str(&text).map_err(unreadable)?;
    let name = name_of(&path).unwrap_or_default();
    Ok(Saved { path, name, profile })
}

/// A moment as the text it shows itself as.
mod timestamp {
    use serde::{Deserialize, Deserializer, Serializer, de};

    pub(super) fn serialize<S: Serializer>(
        value: &jiff::Timestamp,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        serializer.collect_str(value)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<jiff::Timestamp, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
    }
}
