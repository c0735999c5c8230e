//! What comes between: a machine that stands still, a clock that jumps, another window, a mouse that
//! is pulled out, input that is lost. Each is put into a whole session in virtual time, at a moment
//! that is known, and must be found on the trial it happened in and on no other.

use std::collections::VecDeque;
use std::sync::Arc;
use tautline::engine::{
    Action, AskFor, Ending, Engine, Event, Flag, Outcome, PauseReason, Start, TrialRecord,
};
use tautline::protocol::{Part, draw, read, shipped};
use tautline::record::{Keep, MemoryKeeper};
use tautline::scene::{Mark, Scene, SceneId};
use tautline::session::{self, Desk};
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::{DeviceId, Nanos, Span};

/// The simulated mouse.
const MOUSE: DeviceId = DeviceId(1);

/// When something comes between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum When {
    /// While the wait runs.
    Waiting,
    /// With the stimulus there and no answer yet.
    Open,
}

/// A desk that puts events of ours between those of the simulated one.
struct Disturbed {
    desk: SimDesk,
    /// Comes between at these moments of that kind, counted from 1.
    at: Vec<usize>,
    when: When,
    what: Event,
    moments: usize,
    /// The scene after whose first frame it comes.
    armed: Option<SceneId>,
    /// What is on show is of that kind.
    there: bool,
    owed: VecDeque<Event>,
    unplugged: bool,
    asked: Vec<AskFor>,
}

impl Disturbed {
    fn strike(&mut self, t: Nanos) {
        let what = match self.what.clone() {
            Event::Stalled { late, .. } => Event::Stalled { late, t },
            Event::ClockJump { by, .. } => Event::ClockJump { by, t },
            Event::Gap { lost, .. } => Event::Gap { lost, t },
            Event::Focus { focused, .. } => Event::Focus { focused, t },
            Event::Unplugged { device, .. } => {
                self.unplugged = true;
                Event::Unplugged { device, t }
            }
            other => panic!("{other:?} does not come between"),
        };
        self.owed.push_back(what);
    }
}

impl Desk for Disturbed {
    fn now(&self) -> Nanos {
        self.desk.now()
    }

    fn show(&mut self, scene: Scene) {
        let target = scene.marks.iter().any(|mark| matches!(mark, Mark::Target { .. }));
        let waits = scene.marks.iter().any(|mark| matches!(mark, Mark::Wait { .. }));
        let there = match self.when {
            When::Waiting => waits && !target,
            When::Open => target,
        };
        if there && !std::mem::replace(&mut self.there, there) {
            self.moments += 1;
            if self.at.contains(&self.moments) {
                self.at.retain(|moment| *moment != self.moments);
                self.armed = Some(scene.id);
            }
        }
        self.there = there;
        self.desk.show(scene);
    }

    fn ask(&mut self, ask: &AskFor) {
        self.there = false;
        self.asked.push(ask.clone());
        self.desk.ask(ask);
    }

    fn next(&mut self, until: Option<Nanos>) -> Event {
        if let Some(owed) = self.owed.pop_front() {
            return owed;
        }
        loop {
            let event = self.desk.next(until);
            match &event {
                Event::Shown { scene, .. } if self.armed.is_some_and(|from| *scene >= from) => {
                    self.armed = None;
                    self.strike(self.desk.now());
                }
                Event::Answered { t, .. } => {
                    let device = MOUSE;
                    if std::mem::take(&mut self.unplugged) {
                        self.owed.push_back(event.clone());
                        return Event::Replugged { device, t: *t };
                    }
                }
                // A mouse that is not there says nothing.
                Event::Press { .. } | Event::Release { .. } | Event::Motion { .. }
                    if self.unplugged =>
                {
                    continue;
                }
                _ => {}
            }
            return event;
        }
    }
}

struct Played {
    kept: MemoryKeeper,
    asked: Vec<AskFor>,
}

/// Plays the two holds with a steady player; `what` comes between at the moments `at`.
fn play(at: &[usize], when: When, what: Event) -> Played {
    let protocol = Arc::new(read(shipped::find("two-holds").unwrap().text, "two-holds").unwrap());
    let schedule = Arc::new(draw(&protocol, 21));
    let player = Player::new(Truth::quiet(protocol.conditions.len()), 21);
    let (p, s) = (Arc::clone(&protocol), Arc::clone(&schedule));
    let desk = SimDesk::new(p, s, SimScreen::usual(), player, 0.5, Nanos(1_000_000_000));
    let mut desk = Disturbed {
        desk,
        at: at.to_vec(),
        when,
        what,
        moments: 0,
        armed: None,
        there: false,
        owed: VecDeque::new(),
        unplugged: false,
        asked: Vec::new(),
    };
    let mut engine = Engine::new(Arc::clone(&protocol), Arc::clone(&schedule), Start::default());
    let mut kept = MemoryKeeper::default();
    let ending = session::run(&mut engine, &mut desk, &mut kept, &mut session::NoLooks).unwrap();
    assert_eq!(ending, Ending::Complete, "the session goes on to its end");
    assert_eq!(desk.at, [] as [usize; 0], "every disturbance came");
    let mut again = Engine::new(protocol, schedule, Start::default());
    let mut rows = MemoryKeeper::default();
    for done in session::replay(&mut again, &kept.events) {
        match done {
            Action::Trial(row) => rows.trial(&row).unwrap(),
            Action::BlockAbandoned { block } => rows.block_abandoned(block).unwrap(),
            _ => {}
        }
    }
    assert_eq!(rows.trials, kept.trials, "and replays to the same rows");
    Played { kept, asked: desk.asked }
}

impl Played {
    fn pauses(&self) -> Vec<PauseReason> {
        let why = |ask: &AskFor| match ask {
            AskFor::Pause { why } => Some(*why),
            _ => None,
        };
        self.asked.iter().filter_map(why).collect()
    }

    /// The rows with this flag; no other row has any flag of interference.
    fn flagged(&self, flag: Flag) -> Vec<&TrialRecord> {
        let known =
            [Flag::Stalled, Flag::ClockJump, Flag::FocusLost, Flag::Unplugged, Flag::Overflow];
        for row in &self.kept.trials {
            for other in known.into_iter().filter(|other| *other != flag) {
                assert!(!row.flags.has(other), "{row:?}");
            }
        }
        self.kept.trials.iter().filter(|row| row.flags.has(flag)).collect()
    }

    /// Whether every planned main trial has a hit that no flag of interference spoils.
    fn all_made_good(&self, planned: usize) {
        let good = self.kept.trials.iter().filter(|row| {
            row.part == Part::Main && row.outcome == Outcome::Hit && {
                let spoilt = [Flag::Stalled, Flag::Overflow, Flag::ClockJump, Flag::FocusLost];
                !spoilt.iter().any(|flag| row.flags.has(*flag))
            }
        });
        assert_eq!(good.count(), planned);
    }
}

/// Main trials of the two holds, as the file plans them.
fn planned() -> usize {
    let protocol = read(shipped::find("two-holds").unwrap().text, "two-holds").unwrap();
    let blocks = draw(&protocol, 21).blocks;
    blocks.iter().flat_map(|b| &b.trials).filter(|t| t.part == Part::Main).count()
}

fn stalled() -> Event {
    Event::Stalled { late: Span::from_ms(300), t: Nanos(0) }
}

#[test]
fn a_machine_that_stands_still_voids_the_trial_and_the_second_time_pauses() {
    for when in [When::Waiting, When::Open] {
        let played = play(&[9, 40], when, stalled());
        let rows = played.flagged(Flag::Stalled);
        assert_eq!(rows.len(), 2, "{when:?}");
        assert!(rows.iter().all(|row| row.outcome == Outcome::Void));
        assert_eq!(played.pauses(), [PauseReason::Stalled], "{when:?}");
        played.all_made_good(planned());
    }
}

#[test]
fn a_suspended_machine_interrupts_and_its_block_is_repeated_whole() {
    let jump = Event::ClockJump { by: Span::from_s(30), t: Nanos(0) };
    let played = play(&[12], When::Open, jump);
    let rows = played.flagged(Flag::ClockJump);
    assert_eq!(rows.len(), 1);
    // Interrupted, and then no part of the block that counts.
    assert_eq!(rows[0].outcome, Outcome::Abandoned);
    assert_eq!(rows[0].press, None);
    assert_eq!(played.pauses(), [PauseReason::ClockJump]);
    // Its block was shown twice: first attempts of its trials come again.
    let block = rows[0].block;
    let firsts = |number| {
        let of = |row: &&TrialRecord| {
            (row.block, row.number, row.attempt) == (block, number, 1) && row.part == Part::Main
        };
        played.kept.trials.iter().filter(of).count()
    };
    let first_main = played.kept.trials.iter().find(|r| r.block == block && r.part == Part::Main);
    assert_eq!(firsts(first_main.unwrap().number), 2);
    played.all_made_good(planned());
}

#[test]
fn another_window_interrupts_the_trial_it_came_in() {
    let lost = Event::Focus { focused: false, t: Nanos(0) };
    let played = play(&[7, 8], When::Open, lost);
    let rows = played.flagged(Flag::FocusLost);
    assert_eq!(rows.len(), 2);
    assert!(rows.iter().all(|row| row.outcome == Outcome::Interrupted));
    assert_eq!(played.pauses(), [PauseReason::FocusLost; 2]);
    played.all_made_good(planned());
}

#[test]
fn a_mouse_pulled_out_in_a_trial_interrupts_it_and_the_session_goes_on_when_it_is_back() {
    for when in [When::Waiting, When::Open] {
        let gone = Event::Unplugged { device: MOUSE, t: Nanos(0) };
        let played = play(&[10], when, gone);
        let rows = played.flagged(Flag::Unplugged);
        assert_eq!(rows.len(), 1, "{when:?}");
        assert_eq!(rows[0].outcome, Outcome::Interrupted);
        assert_eq!(rows[0].press, None, "a mouse that goes presses nothing");
        assert_eq!(played.pauses(), [PauseReason::Unplugged]);
        played.all_made_good(planned());
    }
}

#[test]
fn input_that_was_lost_is_flagged_and_the_trial_comes_again() {
    let gap = Event::Gap { lost: 40, t: Nanos(0) };
    let played = play(&[6, 30], When::Open, gap);
    let rows = played.flagged(Flag::Overflow);
    assert_eq!(rows.len(), 2);
    // What was heard of it stays as it was heard.
    assert!(rows.iter().all(|row| row.outcome == Outcome::Hit));
    assert_eq!(played.pauses(), []);
    played.all_made_good(planned());
}
