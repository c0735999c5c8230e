//! A recorded session again: where it is taken up, and its events fed to an engine once more.
//!
//! What a resumed engine starts from is worked out from the rows alone, so that a replay starts
//! each segment from the very same.

use crate::engine::{Action, Engine, Event, Outcome, Start, TrialRecord};
use crate::protocol::{Protocol, Rating, Schedule, Tension};
use crate::record::{RatingRow, Segment, Session, TrialRow, replayed_rows};
use crate::session::replay;
use crate::units::Span;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where the segment that begins with block `first_block` (index) and has `segments_before` ones
/// before it starts, by the rows and ratings of those.
pub fn start_of(
    rows: &[TrialRow],
    ratings: &[RatingRow],
    protocol: &Protocol,
    segments_before: u32,
    first_block: usize,
) -> Start {
    let mut last_ns: BTreeMap<u32, i64> = BTreeMap::new();
    let mut blocks: BTreeMap<(u32, usize), (i64, i64)> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.segment <= segments_before) {
        let ends = [row.foreperiod_start_ns, row.shown_ns, row.press_ns, row.release_ns];
        for ns in ends.into_iter().flatten() {
            let last = last_ns.entry(row.segment).or_insert(ns);
            *last = ns.max(*last);
            if is_firm(protocol, &row.condition) {
                let span = blocks.entry((row.segment, row.position)).or_insert((ns, ns));
                *span = (span.0.min(ns), span.1.max(ns));
            }
        }
    }
    Start {
        first_block,
        segments_before,
        elapsed_before: Span(last_ns.values().sum()),
        firm_before: Span(blocks.values().map(|(from, to)| to - from).sum()),
        discomfort_stops: 0,
        expected: ratings
            .iter()
            .any(|row| row.segment <= segments_before && row.item == Rating::Expectation.name()),
    }
}

fn is_firm(protocol: &Protocol, condition: &str) -> bool {
    protocol.conditions.iter().any(|c| c.id == condition && c.tension == Tension::Firm)
}

/// Feeds a session's events to an engine again, segment by segment, and gives the rows that come
/// out, as `trials.csv` would hold them.
pub fn replay_rows(
    session: &Session,
    protocol: &Arc<Protocol>,
    schedule: &Arc<Schedule>,
    events: &[Event],
) -> Vec<TrialRow> {
    let mut trials: Vec<TrialRecord> = Vec::new();
    for (segment, events) in runs(&session.manifest.segments, events) {
        let first_block = segment.from_position.map_or(0, |position| position.saturating_sub(1));
        let start =
            start_of(&session.trials, &session.ratings, protocol, segment.number - 1, first_block);
        let mut engine = Engine::new(Arc::clone(protocol), Arc::clone(schedule), start);
        for action in replay(&mut engine, events) {
            match action {
                Action::Trial(trial) => trials.push(*trial),
                Action::BlockAbandoned { block } => {
                    for trial in trials.iter_mut().filter(|trial| trial.block == block) {
                        trial.outcome = Outcome::Abandoned;
                    }
                }
                Action::Show(_)
                | Action::Ask(_)
                | Action::Ratings(_)
                | Action::BlockEnd { .. }
                | Action::Look { .. }
                | Action::End(_) => {}
            }
        }
    }
    let context = session.context(protocol, schedule);
    replayed_rows(&trials, &context, &session.manifest.segments)
}

/// The events of each run of an engine: those between one start (or resumption) and the next.
fn runs<'a>(segments: &'a [Segment], events: &'a [Event]) -> Vec<(&'a Segment, &'a [Event])> {
    let begins: Vec<usize> = events
        .iter()
        .enumerate()
        .filter(|(_, event)| matches!(event, Event::Begin(_)))
        .map(|(index, _)| index)
        .collect();
    let starts: Vec<(&Segment, usize)> = segments
        .iter()
        .zip(&begins)
        .filter(|(segment, _)| segment.from_position.is_some())
        .map(|(segment, index)| (segment, *index))
        .collect();
    starts
        .iter()
        .enumerate()
        .map(|(i, (segment, from))| {
            let to = starts.get(i + 1).map_or(events.len(), |(_, next)| *next);
            (*segment, &events[*from..to])
        })
        .collect()
}
