//! Motion by hand and on minimum-jerk movements (Flash & Hogan 1985): what goes in is known.

use super::*;

const MS: i64 = 1_000_000;

fn at(ms: f64) -> Nanos {
    Nanos(0) + Span::from_ms_f64(ms)
}

/// Reports each `every_ms` of a minimum-jerk movement of `counts` along x, whole counts only.
fn minimum_jerk(begin_ms: f64, long_ms: f64, counts: f64, every_ms: f64) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut told = 0.0;
    let mut t = every_ms;
    while t <= long_ms + every_ms {
        let u = (t / long_ms).min(1.0);
        let x = (counts * u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)).round();
        if x > told {
            steps.push(Step { t: at(begin_ms + t), dx: x - told, dy: 0.0 });
            told = x;
        }
        t += every_ms;
    }
    steps
}

fn read(steps: &[Step], press_ms: f64) -> MotionSummary {
    summarize(steps, at(0.0), at(1000.0), at(press_ms), None, &MotionRule { low_pass_hz: 20.0 })
}

/// The biases that are stated for a cut-off of 20 Hz: about 0, 5, 11, 18, 30 ms.
#[test]
fn five_percent_of_peak_is_late_by_the_stated_bias() {
    for (long_ms, bias_ms) in
        [(80.0, 0.0), (120.0, 5.0), (200.0, 11.0), (300.0, 18.0), (500.0, 30.0)]
    {
        let steps = minimum_jerk(1200.0, long_ms, 2400.0, 1.0);
        let got = read(&steps, 1200.0 + long_ms + 150.0).five_percent.expect("it moved");
        let late_ms = (got - at(1200.0)).ms();
        assert!((late_ms - bias_ms).abs() < 2.0, "{long_ms} ms: {late_ms} for {bias_ms}");
    }
}

#[test]
fn a_five_percent_onset_does_not_move_with_distance() {
    let onset = |counts| {
        read(&minimum_jerk(1200.0, 200.0, counts, 1.0), 1500.0).five_percent.expect("it moved")
    };
    assert!((onset(300.0) - onset(2400.0)).ms().abs() < 1.5);
}

#[test]
fn the_first_count_is_the_first_report_of_the_run() {
    let mut steps = vec![Step { t: at(400.0), dx: 1.0, dy: 0.0 }];
    steps.extend(minimum_jerk(1200.0, 200.0, 600.0, 1.0));
    let summary = read(&steps, 1500.0);
    // The stray count makes the noise 1; the movement's reports from 1210 on go farther in 10 ms.
    let first = summary.first.expect("it moved");
    assert!(first >= at(1208.0) && first <= at(1215.0), "{first:?}");
    assert!(!summary.moved_early);
    assert!((summary.rest_counts - 1.0).abs() < 1e-12);
    assert!((summary.path_counts - 600.0).abs() < 1e-9);
}

#[test]
fn a_shake_at_rest_is_not_an_onset() {
    // A tremor of one count to and fro each 20 ms through the whole trial, then the movement.
    let mut steps: Vec<Step> = (0..60)
        .map(|i| Step { t: Nanos(i * 20 * MS), dx: if i % 2 == 0 { 1.0 } else { -1.0 }, dy: 0.0 })
        .collect();
    steps.extend(minimum_jerk(1200.0, 150.0, 800.0, 1.0));
    let summary = read(&steps, 1450.0);
    let first = summary.first.expect("it moved");
    assert!(first >= at(1200.0) && first <= at(1215.0), "{first:?}");
    assert!(!summary.moved_early);
}

#[test]
fn motion_under_way_at_the_stimulus_is_said() {
    let summary = read(&minimum_jerk(950.0, 200.0, 800.0, 1.0), 1300.0);
    assert!(summary.moved_early);
    assert!(summary.first.expect("it moved") < at(1000.0));
}

#[test]
fn the_jolt_of_a_click_precedes_no_press_by_20_ms() {
    let jolt: Vec<Step> =
        (0..5).map(|i| Step { t: at(1190.0 + f64::from(i)), dx: 0.0, dy: 2.0 }).collect();
    let summary = read(&jolt, 1200.0);
    assert!(summary.counts_before.abs() < 1e-12);
    assert!((summary.path_counts - 10.0).abs() < 1e-12);
}

#[test]
fn peak_speed_of_minimum_jerk_is_1_875_times_the_mean() {
    // 400 ms is long beside the filter: its peak is within 1 % of the formula's.
    let summary = read(&minimum_jerk(1200.0, 400.0, 2400.0, 1.0), 1700.0);
    let expect = 1.875 * 2400.0 / 0.4;
    let off = (summary.peak_speed_counts_s - expect).abs() / expect;
    assert!(off < 0.01, "{} for {expect}", summary.peak_speed_counts_s);
}

#[test]
fn silence_has_no_onset() {
    let summary = read(&[], 1250.0);
    assert_eq!(summary.first, None);
    assert_eq!(summary.five_percent, None);
    assert!(summary.peak_speed_counts_s.abs() < 1e-12 && summary.path_counts.abs() < 1e-12);
}

#[test]
fn a_press_before_the_stimulus_has_no_onset() {
    let summary = read(&minimum_jerk(300.0, 200.0, 500.0, 1.0), 600.0);
    assert_eq!((summary.first, summary.five_percent), (None, None));
}

#[test]
fn a_slow_mouse_widens_the_grid_and_keeps_the_counts() {
    let steps = minimum_jerk(1200.0, 200.0, 600.0, 8.0);
    let rule = MotionRule { low_pass_hz: 20.0 };
    let summary = summarize(&steps, at(0.0), at(1000.0), at(1500.0), Some(Span::from_ms(8)), &rule);
    let late_ms = (summary.five_percent.expect("it moved") - at(1200.0)).ms();
    assert!((late_ms - 11.0).abs() < 9.0, "{late_ms}");
    // 40 ms a report cannot carry 20 Hz: the onset by speed is blank, the first count is not.
    let steps = minimum_jerk(1200.0, 200.0, 600.0, 40.0);
    let summary =
        summarize(&steps, at(0.0), at(1000.0), at(1500.0), Some(Span::from_ms(40)), &rule);
    assert_eq!(summary.five_percent, None);
    assert!(summary.first.is_some());
}
