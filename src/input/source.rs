//! The one trait of the sources that have a thread of their own, and that thread.
//!
//! Knows no device. Invariant: a turn waits at most [`LONGEST_WAIT`], so that a watermark never
//! stands still on an idle mouse and a thread that is no longer wanted ends.

use super::InputEvent;
use super::choice::Reason;
use super::lane::LaneIn;
use super::priority::{self, Rank};
use crate::clock::{self, StallWatch};
use crate::units::{Nanos, Span};
use std::sync::mpsc;
use std::thread::JoinHandle;

/// The longest that a source waits for an event.
pub(crate) const LONGEST_WAIT: Span = Span::from_ms(20);

/// A source whose thread comes back this late stood still: as far behind as a watermark may be.
const STILL: Span = Span::from_ms(250);

/// How often the thread's own processor time is noted.
const BUSY_EVERY: Span = Span::from_ms(100);

/// A source can go on no longer: the connection broke, or the kernel said what it never says.
#[derive(Debug, thiserror::Error)]
#[error("{what}: {detail}")]
pub(crate) struct Ended {
    /// What was being done.
    pub(crate) what: &'static str,
    /// As the system or the library says it.
    pub(crate) detail: String,
}

/// Hears, stamps, and pushes.
pub(crate) trait Source: Send + 'static {
    /// The name of its thread (at most 15 bytes on Linux).
    const THREAD: &'static str;

    /// Once, on its thread, before the first turn: what must be made on the thread that uses it.
    fn begin(&mut self) -> Result<(), Reason> {
        Ok(())
    }

    /// Waits for events at most [`LONGEST_WAIT`], pushes what came, and settles the lane.
    fn turn(&mut self, lane: &mut LaneIn) -> Result<(), Ended>;
}

/// Runs a source on a thread of its own until the session lets go of the lane. Returns once it has
/// begun.
pub(crate) fn start<S: Source>(mut source: S, mut lane: LaneIn) -> Result<JoinHandle<()>, Reason> {
    let (sender, begun) = mpsc::channel();
    let thread = std::thread::Builder::new()
        .name(S::THREAD.to_owned())
        .spawn(move || {
            // Kept to the thread's end: with it goes what was granted.
            let raised = priority::raise(Rank::Input);
            lane.set_priority(raised.granted.clone());
            let started = source.begin();
            let failed = started.is_err();
            // Whoever started the thread waits for this below.
            let _kept = sender.send(started);
            if failed {
                return;
            }
            let mut noted = Nanos(0);
            let mut stalls = StallWatch::new(STILL);
            while !lane.is_stopped() {
                let turned = clock::now();
                let late = stalls.awake(turned);
                stalls.sleeps(turned + LONGEST_WAIT);
                if let Err(ended) = source.turn(&mut lane) {
                    lane.end(ended.to_string());
                    return;
                }
                // After what was stamped meanwhile, which it must not overtake.
                if let Some(late) = late {
                    lane.offer(InputEvent::Stalled { late, since: turned - late });
                }
                let now = clock::now();
                if now - noted > BUSY_EVERY {
                    noted = now;
                    if let Some(busy) = clock::thread_busy() {
                        lane.set_busy(busy);
                    }
                }
            }
        })
        .map_err(|source| Reason::NoThread { name: S::THREAD, source })?;
    begun.recv().expect("the thread tells how it began before it does anything else")?;
    Ok(thread)
}
