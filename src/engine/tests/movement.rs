//! Answers by movement: their time is that of the movement's start.

use super::*;
use crate::tasks::{ChoiceBy, Onset};

/// Minimum jerk (Flash & Hogan 1985) of `counts` in 200 ms, a report each ms.
fn stroke(bench: &mut Bench, from_ms: i64, counts: f64, degrees: f64) {
    let (mut sent_x, mut sent_y) = (0, 0);
    let (x, y) = (counts * degrees.to_radians().cos(), -counts * degrees.to_radians().sin());
    for ms in 1..=200 {
        let s = f64::from(ms) / 200.0;
        let share = s.powi(3) * (10.0 - 15.0 * s + 6.0 * s * s);
        #[expect(clippy::cast_possible_truncation, reason = "a few hundred counts")]
        let (to_x, to_y) = ((x * share).round() as i32, (y * share).round() as i32);
        if (to_x, to_y) != (sent_x, sent_y) {
            let (dx, dy) = (to_x - sent_x, to_y - sent_y);
            let stamp = stamp(from_ms + i64::from(ms));
            bench.feed(Event::Motion { device: DeviceId(1), dx, dy, stamp });
            (sent_x, sent_y) = (to_x, to_y);
        }
    }
}

fn onset(parts: &[Part]) -> Bench {
    Bench::new(TaskKind::Onset(Onset { travel_counts: 60.0 }), Stimulus::Single, parts)
}

fn start_ms(row: &TrialRecord) -> f64 {
    row.movement_5pct.expect("there is a movement").ms()
}

#[test]
fn a_movement_is_timed_by_its_start_and_needs_no_press() {
    let mut bench = onset(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    stroke(&mut bench, asked + 10 + 230, 400.0, 30.0);
    assert!(bench.rows.is_empty(), "the movement is followed a little further");
    bench.tick(asked + 900);
    let row = bench.last();
    assert_eq!((row.outcome, row.press), (Outcome::Hit, None));
    // 5 % of peak speed is reached some 12 ms into a movement of 200 ms (docs/onset.md).
    assert!((start_ms(row) - 242.0).abs() < 4.0, "{}", start_ms(row));
    assert_eq!(row.response.map(Response::label).as_deref(), Some("move"));
    assert_eq!(row.further.submovements, Some(1));
    assert!(row.further.straightness.is_some_and(|s| (1.0..1.1).contains(&s)));
    let peak_ms = row.further.peak_speed_at.unwrap().ms();
    assert!((peak_ms - 330.0).abs() < 5.0, "{peak_ms}");
}

#[test]
fn a_movement_heard_before_its_onset_is_judged_by_its_stamps() {
    let mut bench = onset(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    stroke(&mut bench, asked + 240, 400.0, 0.0);
    bench.frame(asked + 10);
    bench.tick(asked + 900);
    assert_eq!(bench.last().outcome, Outcome::Hit);
}

#[test]
fn begun_too_soon_it_is_early_even_where_the_way_is_done_in_time() {
    for (from, outcome) in [(-60, Outcome::Anticipation), (60, Outcome::Anticipation)] {
        let mut bench = onset(&[Part::Main; 2]);
        let asked = bench.go_to_asked();
        bench.frame(asked + 10);
        // The set way is done about 60 ms after the start.
        stroke(&mut bench, asked + 10 + from, 400.0, 0.0);
        bench.tick(asked + 900);
        assert_eq!(bench.last().outcome, outcome, "from {from}");
    }
}

#[test]
fn in_the_wait_it_is_early_and_in_an_empty_wait_a_false_alarm() {
    for (part, outcome) in [(Part::Main, Outcome::Anticipation), (Part::Catch, Outcome::FalseAlarm)]
    {
        let mut bench = onset(&[part; 2]);
        let wait = bench.go_to_wait();
        stroke(&mut bench, wait + 100, 400.0, 0.0);
        assert_eq!(bench.last().outcome, outcome);
        assert_eq!(bench.last().shown, None);
    }
}

#[test]
fn a_shake_is_no_answer_and_a_press_is_none_either() {
    let mut bench = onset(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    for i in 0..100 {
        let dx = if i % 2 == 0 { 5 } else { -5 };
        let stamp = stamp(asked + 100 + 10 * i);
        bench.feed(Event::Motion { device: DeviceId(1), dx, dy: 0, stamp });
    }
    bench.press(asked + 400);
    bench.release(asked + 450);
    bench.tick(asked + 10 + 1_500);
    assert_eq!((bench.last().outcome, bench.last().response), (Outcome::Miss, None));
}

#[test]
fn the_next_wait_begins_once_the_hand_keeps_still() {
    let mut bench = onset(&[Part::Main; 2]);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    stroke(&mut bench, asked + 240, 400.0, 0.0);
    bench.tick(asked + 700);
    assert_eq!(bench.rows.len(), 1);
    let due = bench.engine.wake_at().unwrap().0 / MS;
    // The hand comes back just then.
    stroke(&mut bench, due - 150, 400.0, 180.0);
    let scene = bench.scene;
    bench.tick(due);
    bench.tick(due + 400);
    assert_eq!(bench.scene, scene, "the hand has just come back");
    bench.tick(due + 480);
    assert_ne!(bench.scene, scene, "the wait is asked for");
}

#[test]
fn a_direction_is_right_or_wrong() {
    let by = ChoiceBy::Movement { travel_counts: 60.0 };
    let four = Choice { alternatives: 4, by, ..Choice::of_two(Map::Same, 60.0) };
    for (degrees, outcome, response) in
        [(80.0, Outcome::Hit, "towards_090"), (190.0, Outcome::Wrong, "towards_180")]
    {
        let mut bench = Bench::new(TaskKind::Choice(four), Stimulus::Towards(90), &[Part::Main; 2]);
        let asked = bench.go_to_asked();
        bench.frame(asked + 10);
        stroke(&mut bench, asked + 10 + 300, 400.0, degrees);
        bench.tick(asked + 1_000);
        let row = bench.last();
        assert_eq!(row.outcome, outcome);
        assert_eq!(row.expected, "towards_090");
        assert_eq!(row.response.map(Response::label).as_deref(), Some(response));
    }
}
