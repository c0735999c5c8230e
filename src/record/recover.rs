//! Takes a session up again after a crash or a stop, or closes it as it stands.
//!
//! Torn ends are cut and reported; a block that was broken off is begun again whole, and its
//! trials stay in the file as `abandoned` (the file is rewritten once, by rename, so that any
//! program that reads it sees the same). Of ended sessions only one that the player stopped is taken up
//! again, once its checksums have been found right; no other is touched.

use super::RecordError;
use super::books::Books;
use super::create::{ROOM_BYTES, Start, preflight};
use super::events::{decode, file_header};
use super::files::RecordFile;
use super::manifest::{EndedAs, Manifest, RigNote};
use super::open::{Session, open, read_bytes, read_manifest, read_table};
use super::ratings::RatingRow;
use super::store::{Durability, FolderStore, Store};
use super::table::Table;
use super::trials::TrialRow;
use super::writer::FolderKeeper;
use crate::protocol::{Protocol, Schedule};
use std::path::Path;

/// What had to be mended to write on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mended {
    /// Cut from the end of trials.csv.
    pub trials_bytes: usize,
    /// Cut from the end of ratings.csv.
    pub ratings_bytes: usize,
    /// Cut from the end of events.bin.
    pub events_bytes: usize,
    /// Stretches within events.bin that are not whole chunks; left as they are.
    pub damaged_stretches: usize,
    /// Trials of the broken-off block, now `abandoned`.
    pub trials_abandoned: usize,
}

/// A session taken up again.
#[derive(Debug)]
pub struct Resumed {
    /// The session as mended.
    pub session: Session,
    /// The block to go on with (index into the schedule's blocks); nothing when all are done.
    pub next_block: Option<usize>,
    /// Number of the segment that starts now.
    pub segment: u32,
    /// What had to be mended.
    pub mended: Mended,
    store: FolderStore,
    events_begun: bool,
}

impl Resumed {
    /// With what is another in the rig now; it stands in the manifest from the next block's end on.
    pub fn with_rig(mut self, rig: RigNote) -> Resumed {
        if let Some(segment) = self.session.manifest.segments.last_mut() {
            segment.rig = Some(rig);
        }
        self
    }

    /// A keeper that writes on. `protocol` and `schedule`: those of the session's own protocol
    /// text and seed.
    pub fn keeper(self, protocol: &Protocol, schedule: &Schedule) -> FolderKeeper {
        let context = self.session.context(protocol, schedule);
        if self.events_begun {
            FolderKeeper::going_on(self.store, self.session.manifest, context)
        } else {
            FolderKeeper::new(self.store, self.session.manifest, context)
        }
    }
}

/// Takes a session that broke off or was stopped up again at the next block border.
///
/// # Errors
/// [`RecordError::Ended`] for a session that ended otherwise, [`RecordError::InUse`] while another run
/// holds it, or where a file does not read, cannot be mended, or was changed since the stop.
pub fn resume(folder: &Path, start: Start) -> Result<Resumed, RecordError> {
    let Held { store, mut manifest, mut mended, events_begun } = hold(folder, true)?;
    if !manifest.simulated {
        preflight(folder, ROOM_BYTES)?;
    }
    let before = open(folder)?;
    // The seal of the stop is lifted; a new one is set at the next end.
    manifest.ending = None;
    manifest.checksums.clear();
    let next_block = next_block(&before);
    let position = next_position(&before);
    let segment = manifest.segments.last().map_or(1, |last| last.number + 1);
    manifest.segments.push(start.segment(segment, Some(position)));
    let mut books = Books::new(store, manifest);
    mended.trials_abandoned = books.mark_abandoned()?;
    books.put_manifest()?;
    let (store, session) = (books.into_store(), open(folder)?);
    Ok(Resumed { session, next_block, segment, mended, store, events_begun })
}

/// Ends a broken-off session as it stands: a normal end, marked as partial.
///
/// # Errors
/// As [`resume`].
pub fn close_partial(folder: &Path) -> Result<Mended, RecordError> {
    let Held { store, manifest, mended, .. } = hold(folder, false)?;
    Books::new(store, manifest).close(EndedAs::Partial)?;
    Ok(mended)
}

/// The block (index into the schedule's blocks) that a broken-off session goes on with; nothing when
/// all are done.
pub fn next_block(session: &Session) -> Option<usize> {
    let blocks = session.schedule.iter().map(|row| row.position).max().unwrap_or(0);
    let position = next_position(session);
    (position <= blocks).then(|| position - 1)
}

/// The place of the first block that has not come to its end. The manifest tells of each end; a
/// row of a later block tells it too, should the program have been killed in between.
fn next_position(session: &Session) -> usize {
    let finished = session.manifest.blocks_finished.iter().copied().max().unwrap_or(0);
    let begun = session.trials.iter().map(|row| row.position).max().unwrap_or(1);
    finished.max(begun.saturating_sub(1)) + 1
}

/// A broken-off session, held by this run, its torn ends cut.
struct Held {
    store: FolderStore,
    manifest: Manifest,
    mended: Mended,
    events_begun: bool,
}

fn hold(folder: &Path, stopped_too: bool) -> Result<Held, RecordError> {
    // First of all, so that a folder which is no session is left as it is.
    let simulated = read_manifest(folder)?.simulated;
    let durability = if simulated { Durability::Unsynced } else { Durability::Synced };
    let mut store = FolderStore::open(folder, durability)?;
    // Again, now that nobody else writes.
    let manifest = read_manifest(folder)?;
    let goes_on = match stopped_too {
        true => EndedAs::can_go_on(manifest.ending),
        false => manifest.ending.is_none(),
    };
    let refusal = if !goes_on {
        Some(RecordError::Ended { folder: folder.to_owned() })
    } else if manifest.ending.is_some() {
        // A seal is compared before anything is mended: what was changed since is left as it is.
        let changed = open(folder)?.changed;
        changed
            .first()
            .map(|file| RecordError::Changed { folder: folder.to_owned(), file: file.name() })
    } else {
        None
    };
    if let Some(refusal) = refusal {
        store.release().map_err(RecordError::io("let go of", folder))?;
        return Err(refusal);
    }
    let trials_bytes = mend_table::<TrialRow>(&mut store, RecordFile::Trials)?;
    let ratings_bytes = mend_table::<RatingRow>(&mut store, RecordFile::Ratings)?;
    let path = folder.join(RecordFile::Events.name());
    let decoded = decode(&read_bytes(folder, RecordFile::Events)?)
        .map_err(|source| RecordError::Events { path: path.clone(), source })?;
    if decoded.whole_bytes == 0 {
        let put = store.replace(RecordFile::Events, &file_header());
        put.map_err(RecordError::io("write", &path))?;
    } else if decoded.torn_bytes > 0 {
        store.cut(RecordFile::Events, decoded.whole_bytes as u64)?;
    }
    let mended = Mended {
        trials_bytes,
        ratings_bytes,
        events_bytes: decoded.torn_bytes,
        damaged_stretches: decoded.damaged_stretches,
        trials_abandoned: 0,
    };
    Ok(Held { store, manifest, mended, events_begun: !decoded.events.is_empty() })
}

/// Cuts a torn end; returns how many bytes it had.
fn mend_table<Row: Table>(store: &mut FolderStore, file: RecordFile) -> Result<usize, RecordError> {
    let whole = read_table::<Row>(store.folder(), file)?;
    if whole.whole_bytes == 0 {
        let path = store.folder().join(file.name());
        let put = store.replace(file, Row::header().as_bytes());
        put.map_err(RecordError::io("write", &path))?;
    } else if whole.torn_bytes > 0 {
        store.cut(file, whole.whole_bytes as u64)?;
    }
    Ok(whole.torn_bytes)
}
