//! From the wait mark to the response: the runner, the engine's steps and the record's events.
//!
//! A whole session in virtual time; what the simulated desk itself asks for is left out, since it
//! stands in for the screen and the hand.

use crate::counting;
use std::cell::Cell;
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;
use tautline::engine::{AskFor, Ending, Engine, Event, RatingRecord, Start, TrialRecord};
use tautline::protocol::{draw, read, shipped};
use tautline::record::{Keep, RecordError, events::Encoder};
use tautline::scene::{Mark, Scene};
use tautline::session::{self, Desk};
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::Nanos;

/// What both ends of the runner know of the trial in flight.
#[derive(Default)]
struct Watch {
    /// From the wait mark to the response.
    open: Cell<bool>,
    /// The count when the desk was left, while the way is open.
    left_at: Cell<Option<u64>>,
    /// Calls for memory of our own code on the way.
    ours: Cell<u64>,
    /// Events that were taken on the way.
    steps: Cell<usize>,
    /// Ways that came to their end.
    responses: Cell<usize>,
    responded: Cell<bool>,
    /// Bytes that this thread had written to files when the way was opened.
    written: Cell<Option<u64>>,
    written_on_the_way: Cell<u64>,
}

impl Watch {
    /// Back in the desk (or in the keeper with a row): what was asked for since it was left.
    fn close_leg(&self) {
        if let Some(left_at) = self.left_at.take() {
            self.ours.set(self.ours.get() + (counting::calls() - left_at));
            self.steps.set(self.steps.get() + 1);
        }
    }

    fn open_way(&self) {
        if !self.open.replace(true) {
            self.written.set(written_by_this_thread());
        }
    }

    fn end_way(&self) {
        if self.open.replace(false)
            && let (Some(before), Some(after)) = (self.written.get(), written_by_this_thread())
        {
            self.written_on_the_way.set(self.written_on_the_way.get() + (after - before));
        }
    }
}

/// Calls of this thread that wrote something, where the kernel counts them.
fn written_by_this_thread() -> Option<u64> {
    let text = std::fs::read_to_string(Path::new("/proc/thread-self/io")).ok()?;
    text.lines().find_map(|line| line.strip_prefix("syscw: ")?.parse().ok())
}

struct Watched<D> {
    desk: D,
    watch: Rc<Watch>,
}

impl<D: Desk> Desk for Watched<D> {
    fn now(&self) -> Nanos {
        self.desk.now()
    }

    fn show(&mut self, scene: Scene) {
        // The desk's part of it is not ours.
        self.watch.close_leg();
        if scene.marks.iter().any(|mark| matches!(mark, Mark::Wait { .. } | Mark::Target { .. })) {
            self.watch.open_way();
        } else if self.watch.open.get() && !self.watch.responded.get() {
            // Answered by a movement, or a run that is over: the field is cleared at once.
            self.watch.responses.set(self.watch.responses.get() + 1);
            self.watch.end_way();
        }
        self.desk.show(scene);
        if self.watch.open.get() {
            self.watch.left_at.set(Some(counting::calls()));
        }
    }

    fn ask(&mut self, ask: &AskFor) {
        self.watch.left_at.set(None);
        self.watch.end_way();
        self.desk.ask(ask);
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        self.watch.close_leg();
        if self.watch.responded.take() {
            // The response's own step was the last of the way.
            self.watch.end_way();
        }
        let event = self.desk.next(until);
        if self.watch.open.get() {
            if matches!(event, Event::Press { .. }) {
                self.watch.responded.set(true);
                self.watch.responses.set(self.watch.responses.get() + 1);
            }
            self.watch.left_at.set(Some(counting::calls()));
        }
        event
    }
}

/// Encodes events as the real keeper does on this thread; rows go nowhere.
struct Encoding {
    encoder: Encoder,
    watch: Rc<Watch>,
}

impl Keep for Encoding {
    fn event(&mut self, event: &Event) {
        self.encoder.push(event);
    }

    fn trial(&mut self, _: &TrialRecord) -> Result<(), RecordError> {
        // A miss has no response, and a run of a set time ends by itself: the row ends the way. The row
        // itself was made in the same step.
        self.watch.left_at.set(None);
        if self.watch.open.get() && !self.watch.responded.get() {
            self.watch.responses.set(self.watch.responses.get() + 1);
        }
        self.watch.end_way();
        self.encoder.clear();
        Ok(())
    }

    fn ratings(&mut self, _: &RatingRecord) -> Result<(), RecordError> {
        Ok(())
    }

    fn display(&mut self, _: serde_json::Value) -> Result<(), RecordError> {
        Ok(())
    }

    fn block_end(&mut self, _: usize) -> Result<(), RecordError> {
        Ok(())
    }

    fn block_abandoned(&mut self, _: usize) -> Result<(), RecordError> {
        Ok(())
    }

    fn close(&mut self, _: Ending) -> Result<(), RecordError> {
        Ok(())
    }
}

#[test]
fn from_the_wait_to_the_response_our_own_code_asks_for_no_memory_and_writes_no_file() {
    for file in shipped::shipped() {
        let protocol = Arc::new(read(file.text, file.id).unwrap());
        let schedule = Arc::new(draw(&protocol, 4));
        let player = Player::new(Truth::usual(protocol.conditions.len()), 4);
        let (p, s) = (Arc::clone(&protocol), Arc::clone(&schedule));
        let sim = SimDesk::new(p, s, SimScreen::usual(), player, 0.5, Nanos(1_000_000_000));
        let watch = Rc::new(Watch::default());
        let mut desk = Watched { desk: sim, watch: Rc::clone(&watch) };
        let mut keep = Encoding { encoder: Encoder::new(), watch: Rc::clone(&watch) };
        let mut engine = Engine::new(protocol, Arc::clone(&schedule), Start::default());
        let ending =
            session::run(&mut engine, &mut desk, &mut keep, &mut session::NoLooks).unwrap();
        assert_eq!(ending, Ending::Complete, "{}", file.id);
        let planned: usize = schedule.blocks.iter().map(|block| block.trials.len()).sum();
        let responses = watch.responses.get();
        assert!(responses * 2 > planned, "{}: only {responses} of {planned}", file.id);
        assert!(watch.steps.get() > planned, "{}: {} steps", file.id, watch.steps.get());
        assert_eq!(watch.ours.get(), 0, "{}: in {} steps", file.id, watch.steps.get());
        assert_eq!(watch.written_on_the_way.get(), 0, "{}", file.id);
    }
}
