//! Makes a session folder: whole, or not at all.
//!
//! It is filled under a name of its own and renamed once every file is there, so that no half-made
//! session is ever found. It knows no clock: the time comes in.

use super::datapackage::datapackage;
use super::events::file_header;
use super::files::RecordFile;
use super::manifest::{Machine, Manifest, ProtocolNote, Segment};
use super::patience::patiently;
use super::schedule::ScheduleRow;
use super::store::{Durability, FolderStore, replace_file, sync_folder};
use super::table::Table;
use super::trials::{Answers, RowContext, TrialRow};
use super::writer::FolderKeeper;
use super::{FORMAT, LatencyNote, Priority, RatingRow, RecordError, RigNote, Simulation};
use crate::protocol::{Protocol, Schedule};
use crate::units::Nanos;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Room that must be free before a real session starts: an hour of a mouse at 1,000 reports a
/// second and a display at 240 frames a second takes about 30 MB.
pub const ROOM_BYTES: u64 = 48 * 1024 * 1024;

/// What a session starts from.
#[derive(Debug, Clone)]
pub struct NewSession<'a> {
    /// The data folder.
    pub data: &'a Path,
    /// The player's id; `<data>/<player>/` is made where it is missing.
    pub player: &'a str,
    /// The protocol.
    pub protocol: &'a Protocol,
    /// Its file's exact text.
    pub protocol_text: &'a str,
    /// What was drawn.
    pub schedule: &'a Schedule,
    /// What else the manifest says.
    pub about: About,
}

/// What a manifest says beside the protocol and the player.
#[derive(Debug, Clone)]
pub struct About {
    /// The program that writes.
    pub program_version: String,
    /// SHA-256 of the frozen analysis rules, in hex.
    pub rules_hash: String,
    /// Number of the analysis those rules were frozen under.
    pub analysis_version: u32,
    /// The computer.
    pub machine: Machine,
    /// What the display reports of itself and how vsync was judged.
    pub display: Value,
    /// What the input reports of itself.
    pub input: Value,
    /// Which thread asked for which priority, and whether it was granted.
    pub priorities: Vec<Priority>,
    /// Lags that no program can see.
    pub latency_notes: Vec<LatencyNote>,
    /// The rig as it was checked before, and what is another now.
    pub rig: Option<RigNote>,
    /// How far the view turns for one count, px.
    pub px_per_count: f64,
    /// What the simulation put in; nothing where a person answers.
    pub simulation: Option<Simulation>,
    /// When and on which start of the computer.
    pub start: Start,
}

/// When a segment starts, and on which start of the computer.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// Equal in two segments of one start of the computer; must say nothing else.
    pub boot: String,
    /// The wall clock.
    pub utc: jiff::Timestamp,
    /// Local time minus UTC, s.
    pub local_offset_s: i32,
    /// The monotonic clock at `utc`.
    pub clock: Nanos,
}

impl Start {
    pub(super) fn segment(self, number: u32, from_position: Option<usize>) -> Segment {
        Segment {
            number,
            boot: self.boot,
            utc: self.utc,
            local_offset_s: self.local_offset_s,
            clock_ns: self.clock,
            from_position,
            rig: None,
        }
    }
}

/// Makes the folder of a new session and takes hold of it.
///
/// A real session is refused where the disk has less than [`ROOM_BYTES`] left.
///
/// # Errors
/// [`RecordError::Io`] where the folder cannot be written or the disk is full; nothing is left
/// behind then but, at worst, a folder whose name starts with `.new-`.
pub fn create(new: &NewSession) -> Result<FolderKeeper, RecordError> {
    let home = new.data.join(new.player);
    fs::create_dir_all(&home).map_err(RecordError::io("make", &home))?;
    let simulated = new.about.simulation.is_some();
    let durability = if simulated { Durability::Unsynced } else { Durability::Synced };
    if !simulated {
        preflight(&home, ROOM_BYTES)?;
    }
    let stamp = new.about.start.utc.strftime("%Y%m%dT%H%M%SZ");
    let name = free_name(&home, &format!("{stamp}-{}", new.protocol.id));
    let making = home.join(format!(".new-{name}"));
    let folder = home.join(&name);
    let made = fill(&making, &name, new, durability);
    let made = made.and_then(|kept| {
        patiently(|| fs::rename(&making, &folder)).map_err(RecordError::io("make", &folder))?;
        if durability == Durability::Synced {
            sync_folder(&home).map_err(RecordError::io("sync", &home))?;
        }
        Ok(kept)
    });
    match made {
        Ok(kept) => {
            let store = FolderStore::open(&folder, durability)?;
            Ok(FolderKeeper::new(store, kept.manifest, kept.context))
        }
        Err(error) => {
            // The first error is the one to tell; what cannot be cleared away is hidden by its name.
            drop(fs::remove_dir_all(&making));
            Err(error)
        }
    }
}

/// Writes `room_bytes` into a file of its own and removes it: whether there is room, and whether
/// the folder can be written.
///
/// # Errors
/// [`RecordError::Io`] with what the system said.
pub fn preflight(folder: &Path, room_bytes: u64) -> Result<(), RecordError> {
    let path = folder.join(".room");
    let written = fill_with_zeros(&path, room_bytes);
    let removed = fs::remove_file(&path);
    written.map_err(RecordError::io("write", &path))?;
    removed.map_err(RecordError::io("remove", &path))
}

/// Written out, not only made long: a file with a hole takes no room.
fn fill_with_zeros(path: &Path, bytes: u64) -> io::Result<()> {
    let mut file = fs::File::create(path)?;
    io::copy(&mut io::Read::take(io::repeat(0), bytes), &mut file)?;
    Ok(())
}

/// The name, or the first of name-2, name-3, ... that is free.
fn free_name(home: &Path, name: &str) -> String {
    let taken = |name: &str| home.join(name).exists() || home.join(format!(".new-{name}")).exists();
    if !taken(name) {
        return name.to_owned();
    }
    let mut others = (2_u64..).map(|number| format!("{name}-{number}"));
    others.find(|name| !taken(name)).expect("some number is free")
}

/// What the files were filled from.
struct Kept {
    manifest: Manifest,
    context: RowContext,
}

fn fill(
    folder: &Path,
    name: &str,
    new: &NewSession,
    durability: Durability,
) -> Result<Kept, RecordError> {
    fs::create_dir_all(folder).map_err(RecordError::io("make", folder))?;
    let manifest = manifest(name, new);
    let answers = if manifest.simulated { Answers::Simulated } else { Answers::Real };
    let context = RowContext::new(new.protocol, new.schedule, answers, name, new.player);
    let package = datapackage(name, &new.protocol.title, manifest.simulated);
    let package = serde_json::to_string_pretty(&package).expect("a JSON value serialises") + "\n";
    let notes = if manifest.simulated { "Simulated data: no person took part.\n" } else { "" };
    let put = |file: RecordFile, bytes: &[u8]| {
        let path: PathBuf = folder.join(file.name());
        replace_file(folder, file.name(), bytes, durability)
            .map_err(RecordError::io("write", &path))
    };
    put(RecordFile::Protocol, new.protocol_text.as_bytes())?;
    let schedule = ScheduleRow::file(&ScheduleRow::of(new.schedule, &context));
    put(RecordFile::Schedule, schedule.as_bytes())?;
    put(RecordFile::Trials, TrialRow::header().as_bytes())?;
    put(RecordFile::Ratings, RatingRow::header().as_bytes())?;
    put(RecordFile::Events, &file_header())?;
    put(RecordFile::Notes, notes.as_bytes())?;
    put(RecordFile::DataPackage, package.as_bytes())?;
    put(RecordFile::Manifest, manifest.text().as_bytes())?;
    Ok(Kept { manifest, context })
}

fn manifest(name: &str, new: &NewSession) -> Manifest {
    let about = new.about.clone();
    Manifest {
        format: FORMAT,
        program_version: about.program_version,
        session: name.to_owned(),
        player: new.player.to_owned(),
        simulated: about.simulation.is_some(),
        simulation: about.simulation,
        protocol: ProtocolNote { id: new.protocol.id.clone(), title: new.protocol.title.clone() },
        rules_hash: about.rules_hash,
        analysis_version: about.analysis_version,
        draw_rule: new.schedule.draw_rule,
        seed: new.schedule.seed,
        px_per_count: about.px_per_count,
        machine: about.machine,
        display: about.display,
        input: about.input,
        priorities: about.priorities,
        latency_notes: about.latency_notes,
        rig: about.rig,
        expectation: None,
        segments: vec![about.start.segment(1, Some(1))],
        blocks_finished: Vec::new(),
        ending: None,
        checksums: BTreeMap::new(),
    }
}
