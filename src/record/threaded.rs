//! Keeps a session in its folder on a thread of its own: the stimulus thread hands over owned
//! batches and writes no file.
//!
//! Batches are written in the order in which they were handed over. An error shows at the next
//! call, and at the latest at the end, which waits for the thread.

use super::RecordError;
use super::events::Encoder;
use super::keep::Keep;
use super::ledger::Ledger;
use super::store::Store;
use super::writer::FolderKeeper;
use crate::engine::{Ending, Event, RatingRecord, TrialRecord};
use crate::units::Nanos;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{Builder, JoinHandle};

/// Keeps a session through a writer thread.
#[derive(Debug)]
pub struct ThreadedKeeper {
    folder: PathBuf,
    encoder: Encoder,
    batches: Option<Sender<Batch>>,
    spare: Receiver<Vec<u8>>,
    errors: Receiver<RecordError>,
    thread: Option<JoinHandle<()>>,
    held: Option<RecordError>,
}

/// Events so far, and what came after them.
#[derive(Debug)]
struct Batch {
    chunks: Vec<u8>,
    then: Then,
}

#[derive(Debug)]
enum Then {
    Nothing,
    Begin(Nanos),
    Trial(Box<TrialRecord>),
    Ratings(RatingRecord),
    Display(serde_json::Value),
    /// One entry of what the input reports.
    Input(&'static str, serde_json::Value),
    BlockEnd(usize),
    /// A block is begun again.
    BlockAbandoned(usize),
    Close(Ending),
}

impl ThreadedKeeper {
    /// Moves a keeper's files to a thread of their own.
    ///
    /// # Errors
    /// [`RecordError::Io`] where the system starts no thread.
    pub fn start<S: Store + 'static>(
        keeper: FolderKeeper<S>,
    ) -> Result<ThreadedKeeper, RecordError> {
        let folder = keeper.folder().to_owned();
        let FolderKeeper { encoder, ledger } = keeper;
        let (batches, incoming) = channel();
        let (returned, spare) = channel();
        let (failed, errors) = channel();
        // One spare at the start: two buffers take turns, without a new one in the steady state.
        drop(returned.send(Encoder::room()));
        let writer = Builder::new().name("record".to_owned());
        let thread = writer
            .spawn(move || write_all(ledger, &incoming, &returned, &failed))
            .map_err(RecordError::io("start the writer thread for", &folder))?;
        let (batches, thread) = (Some(batches), Some(thread));
        Ok(ThreadedKeeper { folder, encoder, batches, spare, errors, thread, held: None })
    }

    /// The session folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    fn hand_over(&mut self, then: Then) -> Result<(), RecordError> {
        if let Some(error) = self.held.take() {
            return Err(error);
        }
        if let Ok(error) = self.errors.try_recv() {
            return Err(error);
        }
        let empty = self.spare.try_recv().unwrap_or_else(|_| Encoder::room());
        let chunks = self.encoder.swap(empty);
        let sent = self.batches.as_ref().map(|batches| batches.send(Batch { chunks, then }));
        match sent {
            Some(Ok(())) => Ok(()),
            Some(Err(_)) | None => Err(RecordError::Stopped { folder: self.folder.clone() }),
        }
    }

    /// Waits for the thread to write what it was given; its first error, if any.
    fn join(&mut self) -> Result<(), RecordError> {
        self.batches = None;
        if let Some(thread) = self.thread.take()
            && thread.join().is_err()
        {
            let source = io::Error::other("the writer thread panicked");
            return Err(RecordError::io("write", &self.folder)(source));
        }
        match self.errors.try_recv() {
            Ok(error) => Err(error),
            Err(_) => Ok(()),
        }
    }
}

/// The writer thread: until the keeper is gone.
fn write_all<S: Store>(
    mut ledger: Ledger<S>,
    incoming: &Receiver<Batch>,
    returned: &Sender<Vec<u8>>,
    failed: &Sender<RecordError>,
) {
    for Batch { chunks, then } in incoming {
        let written = ledger.events(&chunks).and_then(|()| match then {
            Then::Nothing => Ok(()),
            Then::Begin(t) => {
                ledger.begin(t);
                Ok(())
            }
            Then::Trial(trial) => ledger.trial(&trial),
            Then::Ratings(ratings) => ledger.ratings(&ratings),
            Then::Display(display) => {
                ledger.display(display);
                Ok(())
            }
            Then::Input(name, value) => {
                ledger.input(name, value);
                Ok(())
            }
            Then::BlockEnd(block) => ledger.block_end(block),
            Then::BlockAbandoned(block) => ledger.block_abandoned(block),
            Then::Close(ending) => ledger.close(ending.into()),
        });
        if let Err(error) = written {
            // The keeper may be gone already; then nobody is left to be told.
            drop(failed.send(error));
        }
        drop(returned.send(chunks));
    }
}

impl Keep for ThreadedKeeper {
    fn event(&mut self, event: &Event) {
        if let Event::Begin(begin) = event {
            // A begin returns nothing: its error is kept for the next call.
            self.held = self.hand_over(Then::Begin(begin.t)).err();
        }
        self.encoder.push(event);
    }

    fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError> {
        self.hand_over(Then::Trial(Box::new(trial.clone())))
    }

    fn ratings(&mut self, ratings: &RatingRecord) -> Result<(), RecordError> {
        self.hand_over(Then::Ratings(ratings.clone()))
    }

    fn display(&mut self, display: serde_json::Value) -> Result<(), RecordError> {
        self.hand_over(Then::Display(display))
    }

    fn input(&mut self, name: &'static str, value: serde_json::Value) -> Result<(), RecordError> {
        self.hand_over(Then::Input(name, value))
    }

    fn block_end(&mut self, block: usize) -> Result<(), RecordError> {
        self.hand_over(Then::BlockEnd(block))
    }

    fn block_abandoned(&mut self, block: usize) -> Result<(), RecordError> {
        self.hand_over(Then::BlockAbandoned(block))
    }

    fn idle(&mut self) -> Result<(), RecordError> {
        self.hand_over(Then::Nothing)
    }

    fn close(&mut self, ending: Ending) -> Result<(), RecordError> {
        self.hand_over(Then::Close(ending))?;
        self.join()
    }
}

impl Drop for ThreadedKeeper {
    fn drop(&mut self) {
        // What was handed over is written; an error here has nobody left to be told to, and opening
        // the folder tells what is missing.
        drop(self.join());
    }
}
