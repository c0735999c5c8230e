//! Long work beside the window: one thread that takes jobs and gives back what came of them.
//!
//! The window never waits for it. A newer job of the same kind makes an older one stop at its next
//! step; every answer says which job it answers. A second one runs errands that must not queue
//! behind a plan: reading a folder, a table's columns.

use super::chooser::Want;
use super::folders::{self, Listing};
use super::found::Found;
use super::history::History;
use crate::exchange::{Asked, Guess, Mapping};
use crate::plan::{self, Outlook};
use crate::protocol::Protocol;
use crate::sim::Truth;
use crate::sitting::Trouble;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread::Builder;

/// How many sessions are simulated for a plan, in how many steps.
const SIMULATIONS: u32 = 400;
const STEPS: u32 = 10;
/// The true difference that a plan is judged by, as a multiple of what matters to the player;
/// at least this many ms. Common practice, no source.
const LEAST_DIFFERENCE_MS: f64 = 12.0;

/// Something to be worked out.
#[derive(Debug, Clone)]
pub(super) enum Job {
    /// What a plan can show.
    Outlook(Box<Protocol>),
    /// What sessions found; the files beside them are written too.
    Findings(Vec<PathBuf>),
    /// What a table measured elsewhere says.
    Table(PathBuf, Box<Asked>),
    /// A player's sessions.
    History {
        /// The data folder.
        data: PathBuf,
        /// The player's id; none: every player.
        player: Option<String>,
    },
    /// The frames of a typical press under each hold.
    Frames(PathBuf),
    /// What lies in a folder; none: at home.
    Folder(Want, Option<PathBuf>),
    /// What the columns of a table would be.
    Columns(PathBuf, Vec<Mapping>),
}

impl Job {
    const fn kind(&self) -> usize {
        match self {
            Job::Outlook(_) => 0,
            Job::Findings(_) | Job::Table(..) => 1,
            Job::History { .. } => 2,
            Job::Frames(_) => 3,
            Job::Folder(..) => 4,
            Job::Columns(..) => 5,
        }
    }
}

/// How many kinds of jobs there are.
const KINDS: usize = 6;

/// What came of a job.
#[derive(Debug)]
pub(super) enum Done {
    /// What a plan can show, from so many simulated sessions; the last one has all of them.
    Outlook(Outlook),
    /// What was found.
    Findings(Result<Box<Found>, Trouble>),
    /// A player's sessions.
    History(Result<History, Trouble>),
    /// Where the frames lie, and how many.
    Frames(Result<(PathBuf, usize), Trouble>),
    /// What lies in a folder.
    Folder(Listing),
    /// What the columns of a table would be; none where there is no table.
    Columns(Option<Guess>),
}

/// The thread and the way to it.
#[derive(Debug)]
pub(super) struct Clerk {
    jobs: Sender<(u64, Job)>,
    done: Receiver<(u64, usize, Done, bool)>,
    newest: Arc<[AtomicU64; KINDS]>,
    given: u64,
    /// Jobs of each kind under way.
    busy: [Option<u64>; KINDS],
}

impl Clerk {
    /// Starts the thread.
    ///
    /// # Errors
    /// The system refuses one.
    pub(super) fn start() -> Result<Clerk, std::io::Error> {
        let (jobs, inbox) = mpsc::channel::<(u64, Job)>();
        let (outbox, done) = mpsc::channel();
        let newest: Arc<[AtomicU64; KINDS]> = Arc::default();
        let known = Arc::clone(&newest);
        Builder::new().name("clerk".to_owned()).spawn(move || {
            while let Ok((number, job)) = inbox.recv() {
                let kind = job.kind();
                let stale = || known[kind].load(Ordering::Acquire) != number;
                if stale() {
                    continue;
                }
                let mut say = |done: Done, last: bool| {
                    // The window may be gone: then nobody waits for it.
                    let _window_gone = outbox.send((number, kind, done, last));
                };
                work(job, &stale, &mut say);
            }
        })?;
        Ok(Clerk { jobs, done, newest, given: 0, busy: [None; KINDS] })
    }

    /// Gives a job; an older one of its kind is dropped.
    pub(super) fn give(&mut self, job: Job) {
        self.given += 1;
        let kind = job.kind();
        self.newest[kind].store(self.given, Ordering::Release);
        self.busy[kind] = Some(self.given);
        if self.jobs.send((self.given, job)).is_err() {
            self.busy[kind] = None;
        }
    }

    /// What was asked for last of the kind of `job` is of no use any more.
    pub(super) fn forget(&mut self, job: &Job) {
        let kind = job.kind();
        self.given += 1;
        self.newest[kind].store(self.given, Ordering::Release);
        self.busy[kind] = None;
    }

    /// What has come since the last call.
    pub(super) fn take(&mut self) -> Vec<Done> {
        let mut all = Vec::new();
        while let Ok((number, kind, done, last)) = self.done.try_recv() {
            if self.busy[kind] != Some(number) {
                continue;
            }
            if last {
                self.busy[kind] = None;
            }
            all.push(done);
        }
        all
    }

    /// Whether anything is under way.
    pub(super) fn busy(&self) -> bool {
        self.busy.iter().any(Option::is_some)
    }

    /// Whether sessions or a table are being worked out.
    pub(super) const fn finding(&self) -> bool {
        self.busy[1].is_some()
    }

    /// Whether a plan is being worked out.
    pub(super) const fn planning(&self) -> bool {
        self.busy[0].is_some()
    }

    /// Whether a player's sessions are being read.
    pub(super) const fn looking(&self) -> bool {
        self.busy[2].is_some()
    }

    /// Whether frames are being painted.
    pub(super) const fn painting(&self) -> bool {
        self.busy[3].is_some()
    }
}

fn work(job: Job, stale: &dyn Fn() -> bool, say: &mut dyn FnMut(Done, bool)) {
    match job {
        Job::Outlook(protocol) => outlook(&protocol, stale, say),
        Job::Findings(folders) => {
            say(Done::Findings(Found::of_sessions(folders).map(Box::new)), true)
        }
        Job::Table(file, asked) => {
            say(Done::Findings(Found::of_table(&file, &asked).map(Box::new)), true)
        }
        Job::History { data, player } => {
            say(Done::History(History::of(&data, player.as_deref())), true);
        }
        Job::Frames(folder) => say(Done::Frames(super::frames::write(&folder)), true),
        Job::Folder(want, folder) => say(Done::Folder(Listing::of(want, folder)), true),
        Job::Columns(file, mappings) => {
            say(Done::Columns(folders::columns(&file, &mappings)), true);
        }
    }
}

/// The true difference that a plan is judged by, ms.
fn planned_difference_ms(protocol: &Protocol) -> f64 {
    (2.0 * protocol.analysis.smallest_change_ms).max(LEAST_DIFFERENCE_MS)
}

/// In steps, so that a first answer comes soon and a newer plan need not wait.
fn outlook(protocol: &Protocol, stale: &dyn Fn() -> bool, say: &mut dyn FnMut(Done, bool)) {
    let truth = Truth::usual(protocol.conditions.len());
    let difference_ms = planned_difference_ms(protocol);
    let mut sum: Option<Outlook> = None;
    for step in 0..STEPS {
        if stale() {
            return;
        }
        let count = SIMULATIONS / STEPS;
        let seed = u64::from(step + 1);
        let part = plan::outlook(protocol, &truth, difference_ms, count, seed);
        let all = sum.as_ref().map_or_else(|| part.clone(), |sum| together(sum, &part));
        say(Done::Outlook(all.clone()), step + 1 == STEPS);
        sum = Some(all);
    }
}

/// Two outlooks of one plan as one.
fn together(a: &Outlook, b: &Outlook) -> Outlook {
    let (m, n) = (f64::from(a.simulations), f64::from(b.simulations));
    let mean = |a: f64, b: f64| (a * m + b * n) / (m + n);
    Outlook {
        difference_ms: a.difference_ms,
        simulations: a.simulations + b.simulations,
        clear_share: mean(a.clear_share, b.clear_share),
        found_share: mean(a.found_share, b.found_share),
        half_width_ms: mean(a.half_width_ms, b.half_width_ms),
        mean_cycles: mean(a.mean_cycles, b.mean_cycles),
    }
}
