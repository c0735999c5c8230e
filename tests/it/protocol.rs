//! The protocol's door: text in, a schedule or every fault out.

use tautline::protocol::{
    Foreperiod, Order, OtherDraws, Part, draw, minutes, minutes_from, other_draws, read, redraws,
    shipped, trend_widens,
};
use tautline::words::Tell;

fn base() -> String {
    shipped::find("two-holds").unwrap().text.to_owned()
}

fn told(text: &str) -> String {
    match read(text, "my.toml") {
        Ok(_) => "no fault".to_owned(),
        Err(faults) => {
            faults.iter().map(|fault| fault.tell().to_string()).collect::<Vec<_>>().join("\n")
        }
    }
}

#[test]
fn every_shipped_protocol_passes_the_checker() {
    for file in shipped::shipped() {
        let protocol =
            read(file.text, file.id).unwrap_or_else(|_| panic!("{}: {}", file.id, told(file.text)));
        assert_eq!(protocol.id, file.id);
        let takes = minutes(&protocol);
        assert!(takes.elapsed <= protocol.care.longest_minutes, "{}: {takes:?}", file.id);
        let schedule = draw(&protocol, 1);
        assert_eq!(schedule.blocks.len(), protocol.design.cycles * protocol.conditions.len());
    }
}

#[test]
fn the_first_look_takes_10_to_15_minutes() {
    let protocol = read(shipped::find("first-look").unwrap().text, "first-look").unwrap();
    let takes = minutes(&protocol);
    assert!((10.0..=15.0).contains(&takes.elapsed), "{takes:?}");
}

#[test]
fn what_is_left_goes_down_to_nothing_block_by_block() {
    let protocol = read(shipped::find("first-look").unwrap().text, "first-look").unwrap();
    let blocks = draw(&protocol, 1).blocks.len();
    let left: Vec<f64> = (0..=blocks).map(|block| minutes_from(&protocol, block)).collect();
    assert!(left.is_sorted_by(|a, b| a > b), "{left:?}");
    assert_eq!(left.last(), Some(&0.0));
    // The expectation stands before the first block.
    assert!(minutes(&protocol).elapsed - left[0] < 0.2, "{left:?}");
}

#[test]
fn the_short_wait_protocol_for_the_robot_has_60_trials_or_more() {
    let protocol = read(include_str!("../data/short-wait.toml"), "short-wait.toml");
    let protocol =
        protocol.unwrap_or_else(|_| panic!("{}", told(include_str!("../data/short-wait.toml"))));
    let schedule = draw(&protocol, 3);
    let main = schedule.blocks.iter().flat_map(|b| &b.trials).filter(|t| t.part == Part::Main);
    assert!(main.count() >= 60);
}

/// The counts that the planning rests on, by hand: choose which of K cycles begin with the first
/// hold; all but the most lopsided pass the 10 % rule.
#[test]
fn attainable_p_by_counting() {
    let count = |order: Order, holds: usize, cycles: usize| {
        let mut design = read(&base(), "x").unwrap().design;
        design.order = order;
        design.cycles = cycles;
        match other_draws(&design, holds) {
            OtherDraws::Exact(list) => list.len(),
            OtherDraws::None => 0,
            OtherDraws::Sampled => usize::MAX,
        }
    };
    for (cycles, draws) in [(4, 6), (5, 20), (6, 50), (7, 70), (8, 182), (10, 912)] {
        assert_eq!(count(Order::Shuffled, 2, cycles), draws, "{cycles} cycles");
    }
    assert_eq!(count(Order::Williams, 3, 6), 72);
    assert_eq!(count(Order::Williams, 4, 4), 48);
    assert_eq!(count(Order::Mirrored, 2, 6), 0);
    assert_eq!(count(Order::Fixed, 2, 6), 0);
    assert_eq!(count(Order::Mirrored, 3, 4), 6);
}

#[test]
fn a_redraw_follows_the_rule_that_drew() {
    let protocol = read(shipped::find("three-holds").unwrap().text, "x").unwrap();
    let OtherDraws::Exact(list) = other_draws(&protocol.design, 3) else { panic!() };
    for order in redraws(&protocol.design, 3, 1, 99).take(200) {
        assert!(list.contains(&order));
    }
    for seed in 0..50 {
        let order: Vec<u8> = draw(&protocol, seed)
            .blocks
            .iter()
            .map(|block| u8::try_from(block.condition).unwrap())
            .collect();
        assert!(list.contains(&order));
        assert!(trend_widens(&order, 3).unwrap() <= 0.10);
        assert!(order.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

#[test]
fn within_a_cycle_every_hold_gets_the_same_waits() {
    let protocol = read(&base(), "x").unwrap();
    for seed in 0..20 {
        let schedule = draw(&protocol, seed);
        for cycle in 1..=protocol.design.cycles {
            let mut sets: Vec<Vec<String>> = schedule
                .blocks
                .iter()
                .filter(|block| block.cycle == cycle)
                .map(|block| {
                    let counted =
                        block.trials.iter().filter(|t| matches!(t.part, Part::Main | Part::Catch));
                    counted.map(|t| format!("{:.1}", t.foreperiod_ms)).collect()
                })
                .collect();
            sets.iter_mut().for_each(|set| set.sort_unstable());
            assert!(sets.windows(2).all(|pair| pair[0] == pair[1]));
        }
    }
}

/// Constant hazard to the very end: of the draws that last beyond t, the same share ends in the
/// next step, and what is left at max is the share of empty waits (here exp(-(2772-700)/900) = 0.1).
#[test]
fn the_hazard_of_the_wait_is_constant() {
    let protocol = read(&base(), "x").unwrap();
    let Foreperiod::Exponential { min_ms, mean_ms, max_ms } = protocol.foreperiod else { panic!() };
    assert!((max_ms - 2_772.0).abs() < 1.0);
    let (mut waits, mut empty) = (Vec::new(), 0usize);
    for seed in 0..100 {
        for trial in draw(&protocol, seed).blocks.iter().flat_map(|block| &block.trials) {
            match trial.part {
                Part::Main => waits.push(trial.foreperiod_ms),
                Part::Catch => empty += 1,
                Part::WarmUp | Part::Feel => {}
            }
        }
    }
    let all = (waits.len() + empty) as f64;
    assert!((empty as f64 / all - 0.1).abs() < 0.006, "{}", empty as f64 / all);
    let step = 300.0;
    let mut from = min_ms;
    while from + step < max_ms {
        let beyond = waits.iter().filter(|w| **w >= from).count() as f64 + empty as f64;
        let ends = waits.iter().filter(|w| (from..from + step).contains(w)).count() as f64;
        let hazard = ends / beyond;
        let expected = 1.0 - (-step / mean_ms).exp();
        assert!((hazard - expected).abs() < 0.02, "at {from}: {hazard} for {expected}");
        from += step;
    }
}

/// Words drawn once and for ever: a change here changes every schedule that was ever drawn.
#[test]
fn the_draw_is_the_same_for_ever() {
    let protocol = read(shipped::find("three-holds").unwrap().text, "x").unwrap();
    let schedule = draw(&protocol, 20_261_125);
    let order: Vec<usize> = schedule.blocks.iter().map(|block| block.condition).collect();
    let waits: Vec<f64> =
        schedule.blocks[0].trials.iter().take(6).map(|trial| trial.foreperiod_ms).collect();
    expect_test::expect![[r#"
        [0, 2, 1, 2, 0, 1, 0, 1, 2, 1, 2, 0, 2, 1, 0, 1, 0, 2]
        [743.6, 1303.2, 857.6, 1058.6, 843.4, 1422.1]
    "#]]
    .assert_eq(&format!("{order:?}\n{waits:?}\n"));
}

#[test]
fn errors_say_what_where_and_how_to_mend_it() {
    let text = base()
        .replace("law = \"exponential\"", "law = \"exponental\"")
        .replace("cycles = 10", "cycels = 10")
        .replace("trials = 16", "trials = 160")
        .replace("min_s = 25", "min_s = \"25\"");
    expect_test::expect![[r#"
        error: `design.cycles` is missing
          in my.toml:18:1
          write a whole number from 1 to 40: each holds every hold once, as one block
        error: there is no key `design.cycels`
          in my.toml:20:1
          leave it out, or write `cycles` (the nearest known key)
        error: `design.trials` is 160
          in my.toml:21:10
          write a whole number from 2 to 100
        error: `foreperiod.law` is "exponental"
          in my.toml:29:7
          write exponential, uniform, fixed or partner (nearest: exponential)
        error: `rest.min_s` is "25"
          in my.toml:35:9
          write a number from 5 to 600"#]]
    .assert_eq(&told(&text));
}

#[test]
fn unkind_and_impossible_designs_are_refused() {
    let firm = base().replace("trials = 16", "trials = 30");
    let three = shipped::find("three-holds").unwrap().text;
    let set = three.replace("cycles = 6", "cycles = 7");
    let twice = base().replace("id = \"firm\"", "id = \"light\"");
    let stranger = base().replace("reference = \"light\"", "reference = \"ligth\"");
    let partner = base().replace("law = \"exponential\"", "law = \"partner\"\nmax_ms = 1000");
    let all = [firm, set, twice, stranger, partner, "id = ".to_owned()];
    let texts: Vec<_> = all.iter().map(|text| told(text)).collect();
    expect_test::expect![[r#"
        error: 20.3 minutes may be spent under a firm hold
          in my.toml:20:10
          write fewer cycles or trials: `care.firm_minutes_at_most` is 12
        error: a block under a firm hold may last 126 s with its warm-up, empty waits and repeats
          in my.toml:21:10
          write fewer trials: 75 s at most

        error: 7 cycles of 3 holds are no whole Williams sets
          in my.toml:26:10
          write 6 or 12 cycles (whole sets of 6)

        error: `condition.id` is "light" for the second time
          in my.toml:13:6
          give each hold an id of its own

        error: `design.reference` is "ligth"
          in my.toml:23:13
          write the id of a hold: light or firm (nearest: light)

        error: a cue is waited for 1000 ms, and is expected after 1600 ms
          in my.toml:30:10
          write a max_ms well above min_ms + mean_ms
        error: `foreperiod.catch_share` is of no use to the law partner
          in my.toml:33:15
          leave it out; partner takes min_ms, mean_ms, max_ms

        error: this is no TOML: string values must be quoted, expected literal string
          in my.toml:1:6
          mend the text at this place"#]]
    .assert_eq(&texts.join("\n\n"));
}
