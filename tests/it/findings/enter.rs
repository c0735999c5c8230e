//! Which trials enter, and the statistic of a block.

use super::invented::{hit, protocol, session};
use tautline::findings::enter::{Block, LeftOut, Rule, Unused, blocks};
use tautline::findings::input::{SessionData, TrialFacts};
use tautline::protocol::{Measure, Part, Statistic};
use tautline::record::{Flag, Outcome};
use tautline::scene::Side;
use tautline::tasks::{GoNoGo, TaskKind};

/// A session whose only trials are these, all in block 1.
fn only(trials: Vec<TrialFacts>, planned: usize) -> SessionData {
    let mut data = session(protocol(2, 2), &[0.0, 0.0], 1);
    data.protocol.design.trials = planned;
    data.trials = trials;
    data
}

fn first(data: &SessionData, rule: Rule) -> Block {
    blocks(data, 0, rule).into_iter().next().unwrap()
}

fn with(outcome: Outcome, trial: usize, ms: Option<f64>) -> TrialFacts {
    TrialFacts { outcome, click_ms: ms, ..hit(1, trial, 0.0) }
}

fn flagged(flag: Flag, trial: usize) -> TrialFacts {
    let mut facts = hit(1, trial, 200.0);
    facts.flags.set(flag);
    facts
}

#[test]
fn each_kind_goes_where_it_belongs() {
    let trials = vec![
        hit(1, 1, 200.0),
        hit(1, 2, 100.0), // at the limit: it counts
        hit(1, 3, 99.9),
        with(Outcome::Wrong, 4, Some(210.0)),
        with(Outcome::Anticipation, 5, None),
        with(Outcome::Miss, 6, None),
        with(Outcome::Void, 7, None),
        with(Outcome::Interrupted, 8, None),
        flagged(Flag::Overflow, 9),
        flagged(Flag::Stalled, 10),
        flagged(Flag::ClockJump, 11),
        flagged(Flag::FocusLost, 12),
        flagged(Flag::Unplugged, 13),
        flagged(Flag::LateFrame, 14),
        flagged(Flag::Lapse, 15),
        TrialFacts { part: Part::WarmUp, ..hit(1, 16, 150.0) },
        TrialFacts { part: Part::Catch, outcome: Outcome::FalseAlarm, ..hit(1, 17, 150.0) },
    ];
    let data = only(trials, 8);
    let block = first(&data, Rule::Declared);
    assert_eq!(block.times_ms, [200.0, 100.0, 200.0, 200.0]);
    assert_eq!((block.misses, block.late_entered, block.lapses, block.false_alarms), (1, 1, 1, 1));
    let expected = [
        (LeftOut::Wrong, 1),
        (LeftOut::Early, 2),
        (LeftOut::Interrupted, 1),
        (LeftOut::Void, 1),
        (LeftOut::Overflow, 1),
        (LeftOut::Stalled, 1),
        (LeftOut::ClockJump, 1),
        (LeftOut::FocusLost, 1),
        (LeftOut::Unplugged, 1),
        (LeftOut::NoMeasure, 0),
    ];
    for (kind, count) in expected {
        assert_eq!(block.count(kind), count, "{kind:?}");
    }
    assert_eq!(block.seen, block.entered() + block.excluded());
    // Everything with a time: the short hit, the wrong answer and the five flagged ones come back.
    assert_eq!(first(&data, Rule::EverythingIn).entered(), 5 + 7);
}

#[test]
fn only_the_last_attempt_counts() {
    let trials = vec![
        with(Outcome::Void, 1, None),
        hit(1, 1, 230.0),
        hit(1, 2, 210.0),
        with(Outcome::Interrupted, 2, None),
        hit(1, 3, 250.0),
        with(Outcome::Abandoned, 3, Some(10.0)),
    ];
    let block = first(&only(trials, 3), Rule::Declared);
    assert_eq!(block.times_ms, [230.0, 250.0]);
    assert_eq!(block.count(LeftOut::Interrupted), 1);
}

#[test]
fn a_miss_ranks_above_every_hit() {
    // By hand: of 5, one is cut at each end; the miss is cut, so 200, 210, 220 remain.
    let times = [190.0, 200.0, 210.0, 220.0];
    let mut trials: Vec<_> = times.iter().enumerate().map(|(i, ms)| hit(1, i + 1, *ms)).collect();
    trials.push(with(Outcome::Miss, 5, None));
    let mut data = only(trials, 5);
    assert_eq!(first(&data, Rule::Declared).statistic_ms, Some(210.0));
    data.protocol.analysis.statistic = Statistic::Mean;
    assert_eq!(first(&data, Rule::Declared).statistic_ms, Some((820.0 + 1500.0) / 5.0));
    data.protocol.analysis.statistic = Statistic::TrimmedMean;
    data.trials[3] = with(Outcome::Miss, 4, None);
    let block = first(&data, Rule::Declared);
    assert_eq!((block.statistic_ms, block.unused()), (None, Some(Unused::MissAveraged)));
}

#[test]
fn half_of_the_planned_trials_are_enough() {
    let trials: Vec<_> = (1..=10).map(|i| hit(1, i, 200.0)).collect();
    assert_eq!(first(&only(trials.clone(), 20), Rule::Declared).unused(), None);
    assert_eq!(first(&only(trials, 21), Rule::Declared).unused(), Some(Unused::TooFew));
}

#[test]
fn a_blank_onset_stays_out_and_is_counted() {
    let mut data = only(vec![hit(1, 1, 200.0), hit(1, 2, 210.0)], 2);
    data.protocol.analysis.measure = Measure::Onset;
    data.trials[1].onset_ms = Some(160.0);
    let block = first(&data, Rule::Declared);
    assert_eq!((block.times_ms.as_slice(), block.count(LeftOut::NoMeasure)), (&[160.0][..], 1));
}

#[test]
fn a_blocks_time_is_its_middle() {
    let minutes = [2.0, 2.25, 3.0];
    let trials = minutes.iter().enumerate();
    let trials = trials.map(|(i, m)| TrialFacts { minute: Some(*m), ..hit(1, i + 1, 200.0) });
    assert_eq!(first(&only(trials.collect(), 3), Rule::Declared).minute, Some(2.5));
}

#[test]
fn targets_to_be_left_alone_are_counted_apart() {
    let mut trials: Vec<TrialFacts> =
        (1..=15).map(|trial| hit(1, trial, 200.0 + trial as f64)).collect();
    trials.extend((16..=20).map(|trial| TrialFacts {
        asks_nothing: true,
        outcome: if trial == 16 { Outcome::FalseAlarm } else { Outcome::Withheld },
        ..hit(1, trial, 0.0)
    }));
    let mut data = only(trials, 20);
    data.protocol.task = TaskKind::GoNoGo(GoNoGo { withhold_share: 0.25, go_notch: Side::Up });
    let block = first(&data, Rule::Declared);
    assert_eq!((block.planned, block.seen, block.entered()), (15, 15, 15));
    assert_eq!((block.left_alone, block.pressed_at), (4, 1));
    assert_eq!(block.unused(), None);
}
