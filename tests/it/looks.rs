//! Planned looks: how they are drawn, when they end a session, what the record and the findings say
//! of it, and what is refused.

use std::sync::Arc;
use tautline::analysis::looks::{Spending, bounds};
use tautline::engine::{Action, Ending, Engine, Event, Start};
use tautline::findings::looks::LookJudge;
use tautline::plan::look;
use tautline::protocol::{
    OtherDraws, Protocol, draw, other_draws, read, redraws, rules_hash, shipped, trend_widens,
};
use tautline::record::MemoryKeeper;
use tautline::session::{self, Judge};
use tautline::sim::{Player, SimDesk, SimScreen, Truth};
use tautline::units::Nanos;

/// The shipped protocol with other cycles and these looks.
fn text(id: &str, cycles: usize, looks: &str) -> String {
    let file = shipped::find(id).unwrap().text;
    let own = read(file, id).unwrap().design.cycles;
    assert!(file.contains("\n[analysis]\n"), "{id}");
    // Short blocks, so that many cycles keep to the care for the hand.
    file.replace(&format!("cycles = {own}"), &format!("cycles = {cycles}"))
        .replace("trials = 16", "trials = 8")
        .replace("\n[analysis]\n", &format!("\n[analysis]\nlooks = {looks}\n"))
}

fn protocol(id: &str, cycles: usize, looks: &str) -> Protocol {
    read(&text(id, cycles, looks), "my.toml").unwrap()
}

/// What is wrong with these looks, first lines alone.
fn faults(id: &str, cycles: usize, looks: &str) -> Vec<String> {
    let told = read(&text(id, cycles, looks), "my.toml").unwrap_err();
    told.iter().map(|fault| tautline::words::Tell::tell(fault).what).collect()
}

#[test]
fn each_stretch_is_drawn_by_itself_and_keeps_the_restriction() {
    for (id, cycles, looks, stretches) in [
        ("two-holds", 10, "[6, 8]", vec![6, 2, 2]),
        ("three-holds", 12, "[6]", vec![6, 6]),
        ("two-holds", 12, "[6, 9, 12]", vec![6, 3, 3]),
    ] {
        let protocol = protocol(id, cycles, looks);
        let holds = protocol.conditions.len();
        assert_eq!(protocol.design.stretches(), stretches);
        for seed in 0..50 {
            let schedule = draw(&protocol, seed);
            assert_eq!(schedule.draw_rule, 2);
            let order: Vec<u8> = schedule
                .blocks
                .iter()
                .map(|block| u8::try_from(block.condition).unwrap())
                .collect();
            let mut from = 0;
            for stretch in &stretches {
                let part = &order[from..from + stretch * holds];
                assert!(trend_widens(part, holds).unwrap() <= 0.10, "{id} {seed} {part:?}");
                from += stretch * holds;
            }
            let twice = order.windows(2).any(|pair| pair[0] == pair[1]);
            assert!(holds < 3 || !twice, "{id} {seed}: a hold twice running");
        }
    }
}

/// Two holds: 50 orders of six cycles and 2 of two (AB BA and BA AB), so 100; each drawn alike.
#[test]
fn every_order_by_stretches_is_listed_and_equally_likely() {
    let protocol = protocol("two-holds", 8, "[6]");
    let OtherDraws::Exact(list) = other_draws(&protocol.design, 2) else { panic!("few orders") };
    assert_eq!(list.len(), 100);
    let mut counts = std::collections::BTreeMap::new();
    for order in redraws(&protocol.design, 2, 2, 7).take(20_000) {
        *counts.entry(order).or_insert(0_u32) += 1;
    }
    assert_eq!(counts.len(), 100);
    // 200 expected each, sd 14: six of them is a chance of 2e-7 for all hundred together.
    assert!(counts.values().all(|n| (115..=285).contains(n)), "{counts:?}");
}

#[test]
fn what_no_look_may_be() {
    let told = [
        faults("two-holds", 10, "[5]"),
        faults("two-holds", 10, "[6, 11]"),
        faults("two-holds", 10, "[8, 6]"),
        faults("two-holds", 10, "[6, 7]"),
        faults("two-holds", 10, "[9]"),
        faults("three-holds", 12, "[4]"),
        faults("three-holds", 12, "[9]"),
        faults("two-holds", 10, "[\"six\", 0]"),
    ];
    assert_eq!(
        told.concat(),
        [
            "a look after cycle 5 of 2 holds has too little to judge by",
            "`analysis.looks` names cycle 11, and there are 10 cycles",
            "`analysis.looks` names cycle 6 after a later one, or twice",
            "the stretch that ends with cycle 7 is too short to be drawn by itself",
            "the stretch that ends with cycle 10 is too short to be drawn by itself",
            "a look after cycle 4 cuts a whole set of 6 cycles in two",
            "a look after cycle 9 cuts a whole set of 6 cycles in two",
            "`analysis.looks` is \"six\"",
            "`analysis.looks` is 0",
        ]
    );
    let fixed = text("two-holds", 10, "[6]").replace("shuffled", "fixed");
    assert!(read(&fixed, "my.toml").is_err());
}

/// No order of three holds in two cycles keeps the trend from widening an interval by over a tenth without a
/// hold twice running: said at once, for the first such stretch.
#[test]
fn three_shuffled_holds_have_no_stretch_of_two_cycles() {
    let shuffled = |cycles, looks| {
        let williams = text("three-holds", cycles, looks);
        assert!(williams.contains("williams"));
        read(&williams.replace("williams", "shuffled"), "my.toml")
    };
    let told = shuffled(10, "[4, 6, 8]").unwrap_err();
    let told: Vec<_> = told.iter().map(tautline::words::Tell::tell).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(
        told[0].what,
        "the stretch that ends with cycle 6 is too short to be drawn by itself"
    );
    // By listing: every order of two cycles.
    let cycle = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    for (first, second) in cycle.iter().flat_map(|one| cycle.iter().map(move |two| (one, two))) {
        let order: Vec<u8> = first.iter().chain(second).copied().collect();
        let twice = first[2] == second[0];
        let fits = trend_widens(&order, 3).is_some_and(|more| more <= 0.10);
        assert!(twice || !fits, "{order:?} could be drawn");
    }
    // Stretches of four can be.
    assert_eq!(shuffled(12, "[4, 8]").unwrap().design.stretches(), [4, 4, 4]);
}

/// Older sessions keep their hash and their draw; a look changes both.
#[test]
fn without_looks_nothing_is_drawn_or_hashed_anew() {
    let plain = protocol("two-holds", 10, "[]");
    assert_eq!((plain.design.draw_rule(), draw(&plain, 1).draw_rule), (1, 1));
    let hashed = serde_json::to_string(&plain.design).unwrap();
    assert!(!hashed.contains("looks"), "{hashed}");
    let with = protocol("two-holds", plain.design.cycles, "[6]");
    assert_ne!(rules_hash(&with, 1), rules_hash(&plain, 1));
    // To name the last cycle plans nothing beside it.
    let last = protocol("two-holds", plain.design.cycles, &format!("[{}]", plain.design.cycles));
    assert_eq!(rules_hash(&last, 1), rules_hash(&plain, 1));
}

/// The level of a look is that of its bound in z: Lan & DeMets' recursion stands against published
/// values in `outside`; here that it is applied as said.
#[test]
fn the_level_of_a_look_is_that_of_its_bound() {
    let protocol = protocol("two-holds", 12, "[6, 9]");
    let levels = look::levels(&protocol).unwrap();
    let z = bounds(&[0.5, 0.75, 1.0], 0.05, Spending::Late).unwrap();
    for (level, bound) in levels.iter().zip(&z) {
        let nominal = 2.0 * tautline::analysis::normal::below(-bound.z);
        assert!((level.confidence - (1.0 - nominal)).abs() < 1e-12, "{level:?}");
    }
    assert!(levels[0].confidence > 0.99 && levels[2].confidence > 0.95 && levels[2].is_last());
    // A session that stops between looks may spend what its cycles have earned, and no more.
    let stopped = look::level_at(&protocol, 7).unwrap();
    assert!(stopped.confidence > levels[1].confidence);
}

struct Judged {
    judge: LookJudge,
    asked: Vec<(usize, bool)>,
}

impl Judge for Judged {
    fn trial(&mut self, trial: &tautline::engine::TrialRecord) {
        self.judge.trial(trial);
    }
    fn block_abandoned(&mut self, block: usize) {
        self.judge.block_abandoned(block);
    }
    fn settles(&mut self, cycle: usize) -> bool {
        let settled = self.judge.settles(cycle).unwrap();
        self.asked.push((cycle, settled));
        settled
    }
}

struct Played {
    ending: Ending,
    asked: Vec<(usize, bool)>,
    kept: MemoryKeeper,
    protocol: Arc<Protocol>,
    schedule: Arc<tautline::protocol::Schedule>,
}

fn play(protocol: Protocol, truth: Truth, seed: u64) -> Played {
    let schedule = Arc::new(draw(&protocol, seed));
    let protocol = Arc::new(protocol);
    let (p, s) = (Arc::clone(&protocol), Arc::clone(&schedule));
    let player = Player::new(truth, seed);
    let mut desk = SimDesk::new(p, s, SimScreen::usual(), player, 0.5, Nanos(0));
    let mut engine = Engine::new(Arc::clone(&protocol), Arc::clone(&schedule), Start::default());
    let mut kept = MemoryKeeper::default();
    let judge = LookJudge::new(&protocol, &schedule, &[]);
    let mut judged = Judged { judge, asked: Vec::new() };
    let ending = session::run(&mut engine, &mut desk, &mut kept, &mut judged).unwrap();
    Played { ending, asked: judged.asked, kept, protocol, schedule }
}

#[test]
fn a_large_difference_ends_the_session_at_the_first_look_and_no_sooner() {
    let truth = Truth { differences_ms: vec![0.0, -60.0], ..Truth::quiet(2) };
    let played = play(protocol("two-holds", 12, "[6, 9]"), truth, 3);
    assert_eq!((played.ending, played.asked), (Ending::Settled, vec![(6, true)]));
    assert_eq!(played.kept.blocks, (0..12).collect::<Vec<_>>(), "six cycles of two blocks");
    assert!(matches!(
        played.kept.events.last(),
        Some(Event::Looked { cycle: 6, settled: true, .. })
    ));
}

#[test]
fn what_is_open_goes_on_through_every_look_to_the_end() {
    // 6 ms with a least gain of 5: hardly ever settled in 12 cycles.
    let truth = Truth { differences_ms: vec![0.0, -6.0], ..Truth::usual(2) };
    let played = play(protocol("two-holds", 12, "[6, 9]"), truth, 4);
    assert_eq!(played.ending, Ending::Complete);
    assert_eq!(played.asked, vec![(6, false), (9, false)], "the end is no look");
}

/// A replay needs no judge: what a look found is an event.
#[test]
fn a_session_with_looks_replays_to_its_trials_and_its_end() {
    for difference in [-60.0, -6.0] {
        let truth = Truth { differences_ms: vec![0.0, difference], ..Truth::usual(2) };
        let played = play(protocol("two-holds", 12, "[6, 9]"), truth, 5);
        let mut engine = Engine::new(played.protocol, played.schedule, Start::default());
        let (mut trials, mut ending) = (Vec::new(), None);
        for action in session::replay(&mut engine, &played.kept.events) {
            match action {
                Action::Trial(trial) => trials.push(*trial),
                Action::End(end) => ending = Some(end),
                _ => {}
            }
        }
        assert_eq!(trials, played.kept.trials);
        assert_eq!(ending, Some(played.ending));
    }
}

/// A session that broke off and is taken up again is judged by all its rows.
#[test]
fn a_session_taken_up_again_is_judged_by_the_rows_before() {
    use tautline::record::{Answers, RowContext, TrialRow};
    let truth = Truth { differences_ms: vec![0.0, -60.0], ..Truth::quiet(2) };
    let played = play(protocol("two-holds", 12, "[6, 9]"), truth, 3);
    let context = RowContext::new(&played.protocol, &played.schedule, Answers::Real, "s", "p");
    let is_before = |trial: &&tautline::engine::TrialRecord| trial.block < 5;
    let before: Vec<TrialRow> =
        played.kept.trials.iter().filter(is_before).map(|t| TrialRow::of(t, &context)).collect();
    let mut judge = LookJudge::new(&played.protocol, &played.schedule, &before);
    played.kept.trials.iter().filter(|trial| !is_before(trial)).for_each(|t| judge.trial(t));
    assert!(judge.settles(6).unwrap(), "as it was when it ran in one piece");
    // Without the rows before there is too little to judge by.
    let mut alone = LookJudge::new(&played.protocol, &played.schedule, &[]);
    played.kept.trials.iter().filter(|trial| !is_before(trial)).for_each(|t| alone.trial(t));
    alone.block_abandoned(7);
    assert!(!alone.settles(6).unwrap_or(false));
}
