//! A simulated hour of each shipped protocol: every planned trial is written, and what the session
//! holds in memory stays flat.
//!
//! In virtual time, one session after the other until the hour is full. Counted are the bytes that
//! this thread holds at each block's end, engine, runner, encoder and simulated desk together; rows go
//! nowhere, as they do when they are on the disk.

use crate::counting;
use std::collections::BTreeSet;
use std::sync::Arc;
use tautline::engine::{Ending, Engine, Event, RatingRecord, Start, TrialRecord};
use tautline::protocol::{Protocol, draw, read, shipped};
use tautline::record::{Keep, RecordError, events::Encoder};
use tautline::session::{self, Desk as _};
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::{Nanos, Span};

/// More than buffers that grow to the longest trial take; much less than what an hour's events or
/// rows would.
const FLAT_WITHIN_BYTES: i64 = 96 * 1024;
/// Of a session that is over: tables that the program keeps once for all.
const LEFT_BYTES: i64 = 16 * 1024;

/// Keeps no row; notes what is held at each block's end.
struct Weighing {
    encoder: Encoder,
    events: u64,
    written: BTreeSet<(usize, String, usize)>,
    held: Vec<i64>,
}

impl Keep for Weighing {
    fn event(&mut self, event: &Event) {
        self.events += 1;
        self.encoder.push(event);
    }

    fn trial(&mut self, trial: &TrialRecord) -> Result<(), RecordError> {
        self.encoder.clear();
        self.written.insert((trial.block, trial.part.name().to_owned(), trial.number));
        Ok(())
    }

    fn ratings(&mut self, _: &RatingRecord) -> Result<(), RecordError> {
        Ok(())
    }

    fn display(&mut self, _: serde_json::Value) -> Result<(), RecordError> {
        Ok(())
    }

    fn block_end(&mut self, _: usize) -> Result<(), RecordError> {
        self.encoder.clear();
        // What this test itself notes is not the session's.
        let own: usize = self.written.iter().map(|(_, part, _)| part.len()).sum();
        let own = i64::try_from(own + self.written.len() * 64).expect("far below");
        self.held.push(counting::live_bytes() - own);
        Ok(())
    }

    fn block_abandoned(&mut self, _: usize) -> Result<(), RecordError> {
        Ok(())
    }

    fn close(&mut self, _: Ending) -> Result<(), RecordError> {
        Ok(())
    }
}

/// One session; how long it took in virtual time, and how many events there were.
fn session_of(protocol: &Arc<Protocol>, id: &str, seed: u64) -> (Span, u64) {
    let schedule = Arc::new(draw(protocol, seed));
    let player = Player::new(Truth::usual(protocol.conditions.len()), seed);
    let (p, s) = (Arc::clone(protocol), Arc::clone(&schedule));
    let start = Nanos(1_000_000_000);
    let mut desk = SimDesk::new(p, s, SimScreen::usual(), player, 0.5, start);
    let (p, s) = (Arc::clone(protocol), Arc::clone(&schedule));
    let mut engine = Engine::new(p, s, Start::default());
    let mut keep = Weighing {
        encoder: Encoder::new(),
        events: 0,
        written: BTreeSet::new(),
        held: Vec::with_capacity(schedule.blocks.len()),
    };
    let ending = session::run(&mut engine, &mut desk, &mut keep, &mut session::NoLooks);
    let ending = ending.expect("this keeper never fails");
    assert_eq!(ending, Ending::Complete, "{id}");
    for (index, block) in schedule.blocks.iter().enumerate() {
        for trial in &block.trials {
            let planned = (index, trial.part.name().to_owned(), trial.number);
            assert!(keep.written.contains(&planned), "{id}: {planned:?} was lost");
        }
    }
    assert_eq!(keep.held.len(), schedule.blocks.len(), "{id}: a block has no end");
    let first = keep.held[0];
    for (block, held) in keep.held.iter().enumerate() {
        let more = held - first;
        assert!(more <= FLAT_WITHIN_BYTES, "{id}: {more} bytes more after block {}", block + 1);
    }
    (desk.now() - start, keep.events)
}

/// Sessions of a protocol until `at_least` has gone by.
fn sessions_for(id: &str, text: &str, at_least: Span) {
    let protocol = Arc::new(read(text, id).expect("a shipped protocol reads"));
    let before = counting::live_bytes();
    let (mut lasted, mut events, mut seed) = (Span::ZERO, 0, 40);
    while lasted < at_least {
        let (took, heard) = session_of(&protocol, id, seed);
        (lasted, events, seed) = (lasted + took, events + heard, seed + 1);
    }
    let left = counting::live_bytes() - before;
    assert!(left <= LEFT_BYTES, "{id}: {left} bytes are left after {} s", lasted.ms() / 1e3);
    // A picture or a tick each 20 ms at the least, or the hour was not played.
    assert!(events as f64 > lasted.ms() / 200.0, "{id}: {events} events");
}

/// With `SLOW=1` an hour of every shipped protocol; else one session of one protocol a task.
#[test]
fn a_simulated_hour_loses_nothing_and_stays_flat() {
    let slow = std::env::var_os("SLOW").is_some();
    let mut tasks = BTreeSet::new();
    for file in shipped::shipped() {
        let task = read(file.text, file.id).unwrap().task.name();
        if tasks.insert(task) || slow {
            sessions_for(file.id, file.text, Span::from_s(if slow { 3_600 } else { 1 }));
        }
    }
    assert_eq!(tasks.len(), 10, "every task was played: {tasks:?}");
}
