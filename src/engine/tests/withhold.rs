//! A target that asks for no answer.

use super::*;
use crate::tasks::GoNoGo;

fn bench(stimulus: Stimulus) -> Bench {
    let task = GoNoGo { withhold_share: 0.25, go_notch: crate::scene::Side::Up };
    Bench::new(TaskKind::GoNoGo(task), stimulus, &[Part::Main; 2])
}

#[test]
fn left_alone_it_is_withheld_and_does_not_come_again() {
    let mut bench = bench(Stimulus::Withhold);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.tick(asked + 10 + 1_499);
    assert!(bench.rows.is_empty());
    bench.tick(asked + 10 + 1_500);
    let row = bench.last();
    assert_eq!((row.outcome, row.expected.as_ref()), (Outcome::Withheld, "withhold"));
    assert_eq!((row.part, row.response), (Part::Main, None));
    assert!(row.shown.is_some());
}

#[test]
fn pressed_it_is_a_false_alarm() {
    let mut bench = bench(Stimulus::Withhold);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 300);
    bench.release(asked + 380);
    bench.tick(asked + 500);
    assert_eq!((bench.last().outcome, rt_ms(bench.last())), (Outcome::FalseAlarm, 290));
}

#[test]
fn the_other_target_is_answered_or_missed() {
    let mut answered = bench(Stimulus::Go);
    let asked = answered.go_to_asked();
    answered.frame(asked + 10);
    answered.press(asked + 300);
    answered.release(asked + 380);
    answered.tick(asked + 500);
    assert_eq!(answered.last().outcome, Outcome::Hit);
    let mut missed = bench(Stimulus::Go);
    let asked = missed.go_to_asked();
    missed.frame(asked + 10);
    missed.tick(asked + 10 + 1_500);
    assert_eq!(missed.last().outcome, Outcome::Miss);
}
