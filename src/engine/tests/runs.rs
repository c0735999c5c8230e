//! Trials of a set time: nothing ends them, and they tell what the hand did.

use super::*;
use crate::tasks::{Pursuit, Steadiness, Tapping};
use crate::units::MotionUnit;

fn bench(task: TaskKind, stimulus: Stimulus) -> Bench {
    let mut bench = Bench::new(task, stimulus, &[Part::Main; 2]);
    bench.feed(Event::Device(Device {
        id: DeviceId(1),
        name: "an invented mouse".to_owned(),
        unit: MotionUnit::Counts,
        steps_per_count: 1,
        report_interval: Some(Span::from_ms(1)),
    }));
    bench
}

fn motion(bench: &mut Bench, ms: i64, dx: i32, dy: i32) {
    bench.feed(Event::Motion { device: DeviceId(1), dx, dy, stamp: stamp(ms) });
}

#[test]
fn taps_are_counted_from_the_onset_to_the_end() {
    let mut bench = bench(TaskKind::Tapping(Tapping { run_s: 3.0 }), Stimulus::Single);
    let asked = bench.go_to_asked();
    // One before the onset, which is no tap.
    bench.press(asked + 2);
    bench.frame(asked + 10);
    for i in 0..14 {
        bench.press(asked + 210 + 200 * i);
        bench.release(asked + 290 + 200 * i);
    }
    bench.tick(asked + 10 + 2_999);
    assert!(bench.rows.is_empty(), "it goes on");
    bench.tick(asked + 10 + 3_000);
    let row = bench.last();
    assert_eq!((row.outcome, row.press, row.device), (Outcome::Hit, None, Some(DeviceId(1))));
    let tapping = row.further.tapping.unwrap();
    let pace = tapping.interval.unwrap();
    assert_eq!(tapping.count, 14);
    assert!((pace.mean_ms - 200.0).abs() < 1e-9 && pace.sd_ms < 1e-9, "{pace:?}");
    assert!(pace.slowing_ms_per_s.abs() < 1e-9);
    assert_eq!(row.further.run, Some(Span::from_s(3)));
}

#[test]
fn too_few_taps_are_a_miss() {
    let mut bench = bench(TaskKind::Tapping(Tapping { run_s: 3.0 }), Stimulus::Single);
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    bench.press(asked + 400);
    bench.tick(asked + 10 + 3_000);
    assert_eq!(bench.last().outcome, Outcome::Miss);
}

#[test]
fn stillness_is_told_from_the_counts_of_the_run_alone() {
    let mut bench = bench(TaskKind::Steadiness(Steadiness { run_s: 3.0 }), Stimulus::Single);
    let wait = bench.go_to_wait();
    motion(&mut bench, wait + 100, 90, 0);
    bench.tick(wait + 800);
    bench.frame(wait + 810);
    let onset = wait + 810;
    // 2 counts to and fro each 50 ms: 60 reports in 600 bins of 5 ms.
    for i in 0..60 {
        motion(&mut bench, onset + 2 + 50 * i, if i % 2 == 0 { 2 } else { -2 }, 0);
    }
    bench.tick(onset + 3_000);
    let row = bench.last();
    let still = row.further.stillness.unwrap();
    assert_eq!(row.outcome, Outcome::Hit);
    let expect = (60.0_f64 * 4.0 / 600.0).sqrt();
    assert!((still.rms_counts.unwrap() - expect).abs() < 1e-12, "{still:?}");
    assert!((still.drift_counts - 2.0).abs() < 1e-12);
    assert!(still.tremor_counts2.is_some_and(|power| power > 0.0), "10 Hz lies in the band");
}

#[test]
fn a_hand_that_follows_late_is_told_so() {
    let task = Pursuit { run_s: 12.0, reach_mm: 60.0 };
    let mut bench = bench(TaskKind::Pursuit(task), Stimulus::Path(3));
    let asked = bench.go_to_asked();
    bench.frame(asked + 10);
    let onset = asked + 10;
    let canvas = Canvas { width_px: 1920, height_px: 1080, px_per_mm: Some(4.0), rate_hz: 100.0 };
    let target_px = |ms: i64| {
        let view = crate::tasks::View {
            canvas: &canvas,
            look: Look { size_mm: 20.0, contrast_share: 0.6 },
            since_onset: Span::from_ms(ms),
            aim: crate::scene::Place::default(),
        };
        let (at, _) = crate::tasks::Task::place(&task, Stimulus::Path(3), &view);
        at.x_px - canvas.centre().x_px
    };
    // 120 ms behind, nine tenths as far, at half a pixel a count.
    let mut sent = 0;
    for ms in 1..12_000 {
        #[expect(clippy::cast_possible_truncation, reason = "a few hundred counts")]
        let at = (0.9 * target_px((ms - 120).max(0)) / 0.5).round() as i32;
        if at != sent {
            motion(&mut bench, onset + ms, at - sent, 0);
            sent = at;
        }
    }
    bench.tick(onset + 12_000);
    let tracking = bench.last().further.tracking.expect("it was followed");
    assert!((tracking.lag_ms.unwrap() - 120.0).abs() < 2.0, "{tracking:?}");
    assert!((tracking.gain.unwrap() - 0.9).abs() < 0.01, "{tracking:?}");
    assert!(tracking.error_px > 5.0 && tracking.error_px < 100.0, "{tracking:?}");
}
