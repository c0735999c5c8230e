//! Small shakes of the wait, as a row tells them.

use super::*;
use crate::units::MotionUnit;

#[test]
fn small_shakes_are_told_of_a_mouse_that_gives_counts() {
    for (unit, known) in [(MotionUnit::Counts, true), (MotionUnit::Pixels, false)] {
        let mut bench = Bench::simple(&[Part::Main; 2]);
        bench.feed(Event::Device(Device {
            id: DeviceId(1),
            name: "an invented mouse".to_owned(),
            unit,
            steps_per_count: 1,
            report_interval: Some(Span::from_ms(1)),
        }));
        let wait = bench.go_to_wait();
        for i in 0..40 {
            let dx = if i % 2 == 0 { 3 } else { -3 };
            bench.feed(Event::Motion {
                device: DeviceId(1),
                dx,
                dy: 0,
                stamp: stamp(wait + 10 + 10 * i),
            });
        }
        bench.tick(wait + 800);
        bench.frame(wait + 810);
        bench.press(wait + 1010);
        bench.release(wait + 1100);
        bench.tick(wait + 1200);
        // 40 reports of 3 counts in 162 whole stretches of 5 ms.
        let expect = (40.0_f64 * 9.0 / 162.0).sqrt();
        let got = bench.last().small_shakes_counts;
        assert_eq!(got.is_some(), known, "{unit:?}: {got:?}");
        assert!(got.is_none_or(|got| (got - expect).abs() < 1e-12), "{got:?} for {expect}");
    }
}
