//! The runner: feeds an engine from a desk and keeps the record, until the session ends.
//!
//! It decides nothing. What the engine was fed is kept before the engine sees it, so that the
//! record can be replayed to the same trials.

use super::Desk;
use crate::engine::{Action, Ending, Engine, Event};
use crate::record::{Keep, RecordError};

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
) -> Result<Ending, RecordError> {
    loop {
        while let Some(action) = engine.poll_action() {
            match action {
                Action::Show(scene) => desk.show(scene),
                Action::Ask(ask) => desk.ask(&ask),
                Action::Trial(trial) => keep.trial(&trial)?,
                Action::Ratings(ratings) => keep.ratings(&ratings)?,
                Action::BlockEnd { block } => {
                    keep_display(desk, keep)?;
                    keep.block_end(block)?;
                }
                Action::BlockAbandoned { block } => keep.block_abandoned(block)?,
                Action::End(ending) => {
                    keep_display(desk, keep)?;
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

/// A clock that took over in the middle stands in the record as well.
fn keep_display(desk: &mut dyn Desk, keep: &mut dyn Keep) -> Result<(), RecordError> {
    match desk.display_changed() {
        Some(display) => keep.display(display),
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
