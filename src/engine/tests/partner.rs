//! A wait that a partner ends, and the force of the hold during it.

use super::*;

/// A bench whose waits a partner ends: at least 500 ms, given up after 3 s.
fn bench() -> Bench {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let mut protocol = protocol(TaskKind::Simple(Simple {}));
    protocol.foreperiod = Foreperiod::Partner { min_ms: 500.0, mean_ms: 800.0, max_ms: 3_000.0 };
    let schedule = Arc::new(schedule(Stimulus::Single, &[Part::Main; 2]));
    let begin = bench.engine.begin.clone().expect("the bench has begun");
    bench.engine = Engine::new(Arc::new(protocol), schedule, Start::default());
    bench.asked.clear();
    bench.feed(Event::Begin(begin));
    bench
}

fn cue(bench: &mut Bench, ms: i64) {
    bench.feed(Event::Cue { stamp: stamp(ms) });
}

/// Ticks at `ms`, shows the stimulus 10 ms later and answers it after 200.
fn answer_at(bench: &mut Bench, ms: i64) {
    bench.tick(ms);
    bench.frame(ms + 10);
    bench.press(ms + 210);
    bench.release(ms + 290);
    bench.tick(ms + 400);
}

#[test]
fn the_cue_ends_the_wait_and_the_row_tells_how_long_it_was() {
    let mut bench = bench();
    let wait = bench.go_to_wait();
    bench.tick(wait + 1_000);
    assert!(bench.rows.is_empty(), "nothing comes without a cue");
    cue(&mut bench, wait + 1_234);
    answer_at(&mut bench, wait + 1_234);
    let row = bench.last();
    assert_eq!((row.outcome, rt_ms(row)), (Outcome::Hit, 200));
    assert!((row.foreperiod_ms - 1_234.0).abs() < 1e-9);
    // The next row carries it as the wait before.
    let wait = bench.go_to_wait();
    cue(&mut bench, wait + 700);
    answer_at(&mut bench, wait + 700);
    assert_eq!(bench.last().previous_foreperiod_ms, Some(1_234.0));
}

#[test]
fn a_cue_too_soon_takes_effect_at_the_shortest_wait() {
    let mut bench = bench();
    let wait = bench.go_to_wait();
    cue(&mut bench, wait - 5);
    cue(&mut bench, wait + 100);
    let scene = bench.scene;
    bench.tick(wait + 499);
    assert_eq!(bench.scene, scene, "the wait mark still stands");
    answer_at(&mut bench, wait + 500);
    assert_eq!(bench.last().outcome, Outcome::Hit);
    assert!((bench.last().foreperiod_ms - 500.0).abs() < 1e-9);
}

#[test]
fn a_press_before_the_cue_is_early_and_a_wait_that_nobody_ends_comes_again() {
    let mut bench = bench();
    let wait = bench.go_to_wait();
    bench.press(wait + 900);
    bench.release(wait + 980);
    bench.tick(wait + 1_100);
    assert_eq!(bench.last().outcome, Outcome::Anticipation);
    let wait = bench.go_to_wait();
    bench.tick(wait + 3_000);
    assert_eq!(bench.last().outcome, Outcome::Void);
    assert!(bench.last().flags.has(Flag::NoCue));
    // Too late: the trial is over, and comes again at the block's end.
    cue(&mut bench, wait + 3_001);
    let wait = bench.go_to_wait();
    cue(&mut bench, wait + 600);
    answer_at(&mut bench, wait + 600);
    assert_eq!((bench.last().attempt, bench.last().outcome), (2, Outcome::Hit));
}

#[test]
fn a_cue_means_nothing_under_another_law() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let wait = bench.go_to_wait();
    let scene = bench.scene;
    cue(&mut bench, wait + 600);
    bench.tick(wait + 700);
    assert_eq!(bench.scene, scene);
    answer_at(&mut bench, wait + 800);
    assert_eq!(bench.last().outcome, Outcome::Hit);
}

#[test]
fn the_force_of_the_wait_is_kept_and_that_of_the_press_is_not() {
    let mut bench = Bench::simple(&[Part::Main; 2]);
    let wait = bench.go_to_wait();
    for (ms, share) in [(100, 0.2), (300, 0.4), (500, 0.3)] {
        bench.feed(Event::Force { share, stamp: stamp(wait + ms) });
    }
    bench.tick(wait + 800);
    bench.feed(Event::Force { share: 1.0, stamp: stamp(wait + 805) });
    bench.frame(wait + 810);
    bench.press(wait + 1_010);
    bench.release(wait + 1_090);
    bench.tick(wait + 1_200);
    let force = bench.last().force_share.expect("there was a force axis");
    assert!((force - 0.3).abs() < 1e-12);
    let wait = bench.go_to_wait();
    answer_at(&mut bench, wait + 800);
    assert_eq!(bench.last().force_share, None);
}
