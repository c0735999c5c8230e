//! A session's files while they are written: append, sync, replace the manifest, end.
//!
//! After the first failure it refuses, so that nothing is written behind a torn end; what was
//! written before it stays. It knows no plan and no engine.

use super::RecordError;
use super::abandon::{abandon, abandon_block};
use super::files::RecordFile;
use super::manifest::{EndedAs, Manifest};
use super::store::Store;
use super::table::Table;
use super::trials::TrialRow;
use sha2::{Digest, Sha256};
use std::io;
use std::path::Path;

/// The files of a session and its manifest.
#[derive(Debug)]
pub(super) struct Books<S: Store> {
    store: S,
    pub(super) manifest: Manifest,
    failed: bool,
}

impl<S: Store> Books<S> {
    pub(super) fn new(store: S, manifest: Manifest) -> Books<S> {
        Books { store, manifest, failed: false }
    }

    pub(super) fn folder(&self) -> &Path {
        self.store.folder()
    }

    pub(super) fn append(&mut self, file: RecordFile, bytes: &[u8]) -> Result<(), RecordError> {
        self.refuse_if_failed()?;
        if bytes.is_empty() {
            return Ok(());
        }
        let appended = self.store.append(file, bytes);
        self.check("write", file, appended)
    }

    pub(super) fn sync(&mut self) -> Result<(), RecordError> {
        self.refuse_if_failed()?;
        for file in RecordFile::GROWING {
            let synced = self.store.sync(file);
            self.check("sync", file, synced)?;
        }
        Ok(())
    }

    pub(super) fn put_manifest(&mut self) -> Result<(), RecordError> {
        self.refuse_if_failed()?;
        let put = self.store.replace(RecordFile::Manifest, self.manifest.text().as_bytes());
        self.check("write", RecordFile::Manifest, put)
    }

    /// Ends the session: marks what was begun again, takes checksums, lets go of the folder.
    pub(super) fn close(&mut self, ending: EndedAs) -> Result<(), RecordError> {
        self.sync()?;
        self.mark_abandoned()?;
        for file in RecordFile::CHECKED {
            let bytes = self.store.read(file);
            let bytes = self.check("read", file, bytes)?;
            self.manifest.checksums.insert(file.name().to_owned(), sha256_hex(&bytes));
        }
        self.manifest.ending = Some(ending);
        self.put_manifest()?;
        let released = self.store.release();
        self.check("let go of", RecordFile::Manifest, released)
    }

    /// Marks the rows of blocks that were begun again; returns how many.
    pub(super) fn mark_abandoned(&mut self) -> Result<usize, RecordError> {
        let segments = self.manifest.segments.clone();
        self.rewrite_trials(|rows| abandon(rows, &segments))
    }

    /// Marks the rows so far of the block at `position`, which is begun again in this very run.
    pub(super) fn abandon_block(&mut self, position: usize) -> Result<usize, RecordError> {
        self.sync()?;
        self.rewrite_trials(|rows| abandon_block(rows, position))
    }

    /// Changes rows by `mark`, which says how many it changed, and replaces the file if any were.
    fn rewrite_trials(
        &mut self,
        mark: impl FnOnce(&mut [TrialRow]) -> usize,
    ) -> Result<usize, RecordError> {
        let bytes = self.store.read(RecordFile::Trials);
        let bytes = self.check("read", RecordFile::Trials, bytes)?;
        let path = self.store.folder().join(RecordFile::Trials.name());
        let mut rows = TrialRow::read(&bytes, &path)?;
        let changed = mark(&mut rows);
        if changed > 0 {
            let put = self.store.replace(RecordFile::Trials, TrialRow::file(&rows).as_bytes());
            self.check("write", RecordFile::Trials, put)?;
        }
        Ok(changed)
    }

    pub(super) fn into_store(self) -> S {
        self.store
    }

    fn refuse_if_failed(&self) -> Result<(), RecordError> {
        if self.failed {
            return Err(RecordError::Stopped { folder: self.store.folder().to_owned() });
        }
        Ok(())
    }

    fn check<T>(
        &mut self,
        doing: &'static str,
        file: RecordFile,
        result: io::Result<T>,
    ) -> Result<T, RecordError> {
        self.failed |= result.is_err();
        result.map_err(RecordError::io(doing, &self.store.folder().join(file.name())))
    }
}

/// SHA-256 in hex.
pub(super) fn sha256_hex(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// SHA-256 in hex of all that a reader holds, a piece at a time: a long file is never in memory whole.
pub(super) fn sha256_hex_of(mut reader: impl io::Read) -> io::Result<String> {
    let mut hash = Sha256::new();
    let mut piece = vec![0; PIECE_BYTES];
    loop {
        match reader.read(&mut piece) {
            Ok(0) => return Ok(hex(&hash.finalize())),
            Ok(read) => hash.update(&piece[..read]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

/// Small enough to stay in a core's own cache between reading and hashing.
const PIECE_BYTES: usize = 128 * 1024;

fn hex(digest: &[u8]) -> String {
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}
