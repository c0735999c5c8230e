//! The runner: feeds an engine from a desk and keeps the record, until the session ends.
//!
//! It decides nothing. What the engine was fed is kept before the engine sees it, so that the
//! record can be replayed to the same trials. What a planned look finds, its judge says: that answer
//! is an event like any other, so a replay needs no judge.

use super::Desk;
use crate::engine::{Action, Ending, Engine, Event, TrialRecord};
use crate::record::{Keep, RecordError};

/// Takes the planned looks: hears every trial, and says at a look whether all is settled.
pub trait Judge {
    /// A trial attempt is over. Called between trials: it must not take long.
    fn trial(&mut self, trial: &TrialRecord);

    /// A block (index) is repeated whole: its trials so far do not count.
    fn block_abandoned(&mut self, block: usize);

    /// Whether what was recorded up to and with `cycle` settles every comparison.
    fn settles(&mut self, cycle: usize) -> bool;
}

/// The judge of a protocol that plans no look: none settles anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoLooks;

impl Judge for NoLooks {
    fn trial(&mut self, _: &TrialRecord) {}
    fn block_abandoned(&mut self, _: usize) {}
    fn settles(&mut self, _: usize) -> bool {
        false
    }
}

/// Runs a session to its end.
///
/// `engine` and `desk` are at their start: the desk's first event is [`Event::Begin`].
///
/// # Errors
/// When the record cannot be written; what was written stays.
pub fn run(
    engine: &mut Engine,
    desk: &mut dyn Desk,
    keep: &mut dyn Keep,
    judge: &mut dyn Judge,
) -> Result<Ending, RecordError> {
    loop {
        while let Some(action) = engine.poll_action() {
            match action {
                Action::Show(scene) => desk.show(scene),
                Action::Ask(ask) => desk.ask(&ask),
                Action::Trial(trial) => {
                    keep.trial(&trial)?;
                    judge.trial(&trial);
                }
                Action::Ratings(ratings) => keep.ratings(&ratings)?,
                Action::BlockEnd { block } => {
                    keep_apparatus(desk, keep)?;
                    keep.block_end(block)?;
                }
                Action::BlockAbandoned { block } => {
                    keep.block_abandoned(block)?;
                    judge.block_abandoned(block);
                }
                Action::Look { cycle } => {
                    let settled = judge.settles(cycle);
                    let looked = Event::Looked { cycle, settled, t: desk.now() };
                    keep.event(&looked);
                    engine.step(&looked);
                }
                Action::End(ending) => {
                    keep_apparatus(desk, keep)?;
                    keep.close(ending)?;
                    return Ok(ending);
                }
            }
        }
        let event = desk.next(engine.wake_at());
        // A tick while a question is open tells the engine nothing, and there are many.
        if engine.wake_at().is_some() || !matches!(event, Event::Tick { .. }) {
            keep.event(&event);
        }
        engine.step(&event);
    }
}

/// A clock that took over in the middle stands in the record as well, and what the input counted.
fn keep_apparatus(desk: &mut dyn Desk, keep: &mut dyn Keep) -> Result<(), RecordError> {
    if let Some(display) = desk.display_changed() {
        keep.display(display)?;
    }
    match desk.input_counted() {
        Some((name, value)) => keep.input(name, value),
        None => Ok(()),
    }
}

/// Feeds recorded events to an engine and gives back all that it did, in order.
pub fn replay<'a>(engine: &mut Engine, events: impl IntoIterator<Item = &'a Event>) -> Vec<Action> {
    let mut done = Vec::new();
    for event in events {
        engine.step(event);
        while let Some(action) = engine.poll_action() {
            done.push(action);
        }
    }
    done
}
