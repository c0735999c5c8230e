//! Whole sessions in virtual time: nothing lost, replay equal to live, an hour in a moment.

use std::sync::Arc;
use tautline::engine::{
    Action, Begin, Ending, Engine, Event, Flag, Further, Outcome, Start, TrialRecord,
};
use tautline::protocol::{Part, Protocol, Schedule, draw, read, shipped};
use tautline::record::MemoryKeeper;
use tautline::session;
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::{Nanos, Span};

struct Played {
    protocol: Arc<Protocol>,
    schedule: Arc<Schedule>,
    kept: MemoryKeeper,
}

fn play(id: &str, seed: u64, missed_share: f64, truth: impl Fn(usize) -> Truth) -> Played {
    let protocol = Arc::new(read(shipped::find(id).unwrap().text, id).unwrap());
    let schedule = Arc::new(draw(&protocol, seed));
    let player = Player::new(truth(protocol.conditions.len()), seed);
    let screen = SimScreen { missed_share, ..SimScreen::usual() };
    let (p, s) = (Arc::clone(&protocol), Arc::clone(&schedule));
    let mut desk = SimDesk::new(p, s, screen, player, 0.5, Nanos(1_000_000_000));
    let mut engine = Engine::new(Arc::clone(&protocol), Arc::clone(&schedule), Start::default());
    let mut kept = MemoryKeeper::default();
    let ending = session::run(&mut engine, &mut desk, &mut kept, &mut session::NoLooks).unwrap();
    assert_eq!(ending, Ending::Complete, "{id}");
    Played { protocol, schedule, kept }
}

#[test]
fn every_planned_trial_is_written_once_and_in_order() {
    for file in shipped::shipped() {
        let played = play(file.id, 5, 0.0, Truth::usual);
        for (index, block) in played.schedule.blocks.iter().enumerate() {
            let rows = played.kept.trials.iter().filter(|row| row.block == index);
            let first: Vec<_> =
                rows.filter(|row| row.attempt == 1).map(|row| (row.number, row.part)).collect();
            let planned: Vec<_> = block.trials.iter().map(|t| (t.number, t.part)).collect();
            assert_eq!(first, planned, "{} block {index}", file.id);
        }
    }
}

#[test]
fn the_events_replay_to_the_same_trials() {
    // One of each task.
    for id in [
        "first-look",
        "onset-by-hold",
        "go-no-go-by-hold",
        "four-ways-by-hold",
        "emergence-half-covered",
        "pointing-by-difficulty",
        "steadiness-by-hold",
        "tapping-by-hold",
        "pursuit-by-hold",
    ] {
        let played = play(id, 11, 0.02, Truth::usual);
        let (p, s) = (Arc::clone(&played.protocol), Arc::clone(&played.schedule));
        let mut engine = Engine::new(p, s, Start::default());
        let again: Vec<_> = session::replay(&mut engine, &played.kept.events)
            .into_iter()
            .filter_map(|action| match action {
                Action::Trial(row) => Some(*row),
                _ => None,
            })
            .collect();
        assert_eq!(again, played.kept.trials, "{id}");
    }
}

#[test]
fn what_the_player_did_is_what_is_written() {
    let played = play("two-holds", 3, 0.0, Truth::quiet);
    let main: Vec<_> = played.kept.trials.iter().filter(|r| r.part == Part::Main).collect();
    assert!(main.iter().all(|row| row.outcome == Outcome::Hit));
    let mean: f64 =
        main.iter().map(|row| (row.press.unwrap().t - row.shown.unwrap().t).ms()).sum::<f64>()
            / main.len() as f64;
    // mu + tau = 220 ms; 320 trials of sd 35 ms: se 2 ms.
    assert!((mean - 220.0).abs() < 8.0, "{mean}");
    let catches = played.kept.trials.iter().filter(|r| r.part == Part::Catch);
    assert!(catches.into_iter().all(|row| row.outcome == Outcome::Withheld));
}

#[test]
fn the_wait_is_as_long_as_it_was_drawn() {
    let played = play("two-holds", 4, 0.0, Truth::quiet);
    for row in played.kept.trials.iter().filter(|row| row.part == Part::Main) {
        let waited = (row.shown.unwrap().t - row.foreperiod_start.unwrap()).ms();
        let late = waited - row.foreperiod_ms;
        // Up to two refreshes of 240 Hz, and never too short.
        assert!((0.0..=8.4).contains(&late), "{late}");
    }
}

#[test]
fn a_session_of_motion_rule_1_replays_without_the_fit() {
    let played = play("onset-and-click", 11, 0.0, Truth::usual);
    let (p, s) = (Arc::clone(&played.protocol), Arc::clone(&played.schedule));
    let old = played.kept.events.iter().cloned().map(|event| match event {
        Event::Begin(begin) => Event::Begin(Begin { motion_rule: 1, ..begin }),
        other => other,
    });
    let old: Vec<_> = old.collect();
    let mut engine = Engine::new(p, s, Start::default());
    let rows: Vec<_> = session::replay(&mut engine, &old)
        .into_iter()
        .filter_map(|action| match action {
            Action::Trial(row) => Some(*row),
            _ => None,
        })
        .collect();
    let blank = |row: &TrialRecord| TrialRecord {
        movement_fit: None,
        small_shakes_counts: None,
        further: Further::default(),
        force_share: None,
        ..row.clone()
    };
    assert!(played.kept.trials.iter().any(|row| row.movement_fit.is_some()));
    assert_eq!(rows, played.kept.trials.iter().map(blank).collect::<Vec<_>>());
}

#[test]
fn late_frames_are_flagged_and_come_again() {
    let played = play("two-holds", 6, 0.05, Truth::quiet);
    let late = |row: &&tautline::engine::TrialRecord| row.flags.has(Flag::LateFrame);
    let flagged = played.kept.trials.iter().filter(late).count();
    assert!(flagged > 5, "{flagged}");
    let again = played.kept.trials.iter().filter(|row| row.attempt > 1).count();
    assert!(again > 0);
    for row in played.kept.trials.iter().filter(|row| row.attempt > 1) {
        let first = played.kept.trials.iter().find(|other| {
            (other.block, other.number, other.attempt) == (row.block, row.number, row.attempt - 1)
        });
        assert!(first.unwrap().flags.has(Flag::LateFrame));
    }
}

#[test]
fn the_view_turns_by_counts_and_the_press_lands() {
    let played = play("onset-and-click", 8, 0.0, Truth::quiet);
    let main: Vec<_> = played.kept.trials.iter().filter(|r| r.part == Part::Main).collect();
    assert!(main.iter().all(|row| row.outcome == Outcome::Hit), "a steady hand hits");
    for row in main {
        let (first, five) = (row.movement_first.unwrap(), row.movement_5pct.unwrap());
        let click = row.press.unwrap().t - row.shown.unwrap().t;
        let fit = row.movement_fit.unwrap();
        for onset in [first, five, fit] {
            assert!(Span::ZERO < onset && onset < click, "{onset:?} of {click:?}");
        }
    }
}

/// Loose: only a broken program misses it, even unoptimised on a busy machine.
#[test]
fn an_hour_passes_in_moments() {
    let played = play("hour-of-blocks", 2, 0.0, Truth::usual);
    let last = played.kept.trials.last().unwrap();
    let minutes = (last.press.map_or(last.segment_start, |p| p.t) - last.segment_start).s() / 60.0;
    assert!((50.0..=75.0).contains(&minutes), "{minutes} minutes");
}

/// A press may carry an earlier stamp than an onset learnt before it, but each source goes forward.
#[test]
fn the_stamps_of_each_source_never_go_back() {
    use tautline::engine::Event;
    for id in ["two-holds", "onset-and-click"] {
        let played = play(id, 13, 0.02, Truth::usual);
        let (mut frames, mut mouse, mut ticks) = (Nanos(0), Nanos(0), Nanos(0));
        let forward = |last: &mut Nanos, t: Nanos| {
            assert!(*last <= t, "{id}: {t:?} after {last:?}");
            *last = t;
        };
        for event in &played.kept.events {
            match event {
                Event::Shown { stamp, .. } => forward(&mut frames, stamp.t),
                Event::Press { stamp, .. }
                | Event::Release { stamp, .. }
                | Event::Motion { stamp, .. } => forward(&mut mouse, stamp.t),
                Event::Tick { now, .. } => forward(&mut ticks, *now),
                _ => {}
            }
        }
    }
}
