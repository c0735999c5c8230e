//! Motion by hand and on minimum-jerk movements (Flash & Hogan 1985): what goes in is known.

use super::*;
use crate::units::MotionUnit;

mod path;

const RULE: MotionRule = MotionRule { number: 2, low_pass_hz: 20.0 };

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
    summarize(steps, at(0.0), at(1000.0), at(press_ms), None, &RULE)
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
    let summary = summarize(&steps, at(0.0), at(1000.0), at(1500.0), Some(Span::from_ms(8)), &RULE);
    let late_ms = (summary.five_percent.expect("it moved") - at(1200.0)).ms();
    assert!((late_ms - 11.0).abs() < 9.0, "{late_ms}");
    // 40 ms a report cannot carry 20 Hz: the onset by speed is blank, the first count is not.
    let steps = minimum_jerk(1200.0, 200.0, 600.0, 40.0);
    let summary =
        summarize(&steps, at(0.0), at(1000.0), at(1500.0), Some(Span::from_ms(40)), &RULE);
    assert_eq!(summary.five_percent, None);
    assert!(summary.first.is_some());
}

#[test]
fn a_fitted_onset_hardly_moves_with_duration() {
    let late = |long_ms: f64| {
        let steps = minimum_jerk(1200.0, long_ms, 600.0, 1.0);
        (read(&steps, 1350.0 + long_ms).fit.expect("it moved") - at(1200.0)).ms()
    };
    let late: Vec<f64> = [80.0, 120.0, 200.0, 300.0, 400.0].into_iter().map(late).collect();
    for late_ms in &late {
        assert!(late_ms.abs() < 2.0, "{late:?}");
    }
}

#[test]
fn motion_rule_1_fits_nothing() {
    let steps = minimum_jerk(1200.0, 200.0, 600.0, 1.0);
    let rule = MotionRule { number: 1, ..RULE };
    let old = summarize(&steps, at(0.0), at(1000.0), at(1500.0), None, &rule);
    assert_eq!(MotionSummary { fit: None, ..read(&steps, 1500.0) }, old);
}

#[test]
fn what_cannot_be_fitted_is_blank() {
    // Fewer than 10 counts to the peak; a rise of more than 600 ms.
    assert_eq!(read(&minimum_jerk(1200.0, 200.0, 15.0, 1.0), 1500.0).fit, None);
    assert_eq!(read(&minimum_jerk(1200.0, 1600.0, 2400.0, 1.0), 2900.0).fit, None);
}

/// What the three onsets make of minimum-jerk movements: mean error and its sd over distances of
/// 150, 600 and 2,400 counts and 20 places of the start within the report interval, in whole
/// counts, after a wait in which the mouse shakes by one count.
#[test]
fn the_table_of_onset_errors() {
    let mut table = String::from("report  long   first count    5 % of peak      fit\n");
    for every_ms in [0.125, 1.0, 2.0, 8.0] {
        for long_ms in [80.0, 120.0, 200.0, 300.0, 400.0] {
            let (mut first, mut five, mut fit) = (Vec::new(), Vec::new(), Vec::new());
            for counts in [150.0, 600.0, 2400.0] {
                for place in 0..20 {
                    let begin_ms = 1200.0 + every_ms * f64::from(place) / 20.0;
                    let mut steps = shaking_until(1190.0);
                    steps.extend(minimum_jerk_reported(begin_ms, long_ms, counts, every_ms));
                    let summary = summarize(
                        &steps,
                        at(0.0),
                        at(1000.0),
                        at(begin_ms + long_ms + 150.0),
                        Some(Span::from_ms_f64(every_ms)),
                        &RULE,
                    );
                    let late = |t: Option<Nanos>| (t.expect("it moved") - at(begin_ms)).ms();
                    first.push(late(summary.first));
                    five.push(late(summary.five_percent));
                    fit.push(late(summary.fit));
                    assert!(!summary.moved_early);
                }
            }
            table += &format!(
                "{every_ms:6} {long_ms:5} {:7.1} ±{:4.1} {:8.1} ±{:4.1} {:8.1} ±{:4.1}\n",
                mean(&first),
                sd(&first),
                mean(&five),
                sd(&five),
                mean(&fit),
                sd(&fit)
            );
        }
    }
    expect_test::expect![[r#"
        report  long   first count    5 % of peak      fit
         0.125    80     5.0 ± 1.9      0.3 ± 0.2      0.1 ± 0.1
         0.125   120     7.4 ± 2.8      4.9 ± 0.4      0.2 ± 0.2
         0.125   200    12.3 ± 4.7     11.7 ± 0.9      0.6 ± 0.8
         0.125   300    18.4 ± 7.0     19.0 ± 1.6      1.2 ± 1.6
         0.125   400    27.9 ±14.0     25.9 ± 2.3      1.3 ± 1.6
             1    80     5.4 ± 1.9      1.2 ± 0.2      0.4 ± 0.4
             1   120     7.8 ± 2.8      5.7 ± 0.4      0.7 ± 0.6
             1   200    12.7 ± 4.7     12.5 ± 0.9      1.1 ± 0.9
             1   300    18.8 ± 7.0     19.9 ± 1.6      1.6 ± 1.4
             1   400    25.5 ±10.3     26.8 ± 2.4      2.1 ± 1.8
             2    80     5.9 ± 2.0      2.1 ± 0.2      0.5 ± 0.3
             2   120     8.3 ± 2.8      6.7 ± 0.4      0.7 ± 0.5
             2   200    13.2 ± 4.7     13.5 ± 0.9      1.2 ± 0.9
             2   300    19.3 ± 7.0     20.9 ± 1.6      1.7 ± 1.4
             2   400    25.7 ± 9.7     27.8 ± 2.4      2.2 ± 1.8
             8    80     9.0 ± 3.0      3.4 ± 0.4      0.4 ± 0.3
             8   120    11.3 ± 3.7      8.1 ± 0.5      0.7 ± 0.6
             8   200    16.2 ± 5.2     15.0 ± 0.9      1.3 ± 1.0
             8   300    22.3 ± 7.4     22.5 ± 1.7      1.7 ± 1.4
             8   400    28.5 ± 9.6     29.6 ± 2.6      2.3 ± 2.0
    "#]]
    .assert_eq(&table);
}

/// One count to and fro each 50 ms.
fn shaking_until(end_ms: f64) -> Vec<Step> {
    (1..)
        .map(|i| (f64::from(i) * 50.0, if i % 2 == 0 { 1.0 } else { -1.0 }))
        .take_while(|&(ms, _)| ms < end_ms)
        .map(|(ms, dy)| Step { t: at(ms), dx: 0.0, dy })
        .collect()
}

/// Minimum jerk seen at whole report intervals since 0, wherever it began.
fn minimum_jerk_reported(begin_ms: f64, long_ms: f64, counts: f64, every_ms: f64) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut told = 0.0;
    let mut report = (begin_ms / every_ms).floor();
    while (report - 1.0) * every_ms < begin_ms + long_ms {
        let u = ((report * every_ms - begin_ms) / long_ms).clamp(0.0, 1.0);
        let x = (counts * u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)).floor();
        if x > told {
            steps.push(Step { t: at(report * every_ms), dx: x - told, dy: 0.0 });
            told = x;
        }
        report += 1.0;
    }
    steps
}

fn mean(x: &[f64]) -> f64 {
    x.iter().sum::<f64>() / x.len() as f64
}

fn sd(x: &[f64]) -> f64 {
    let centre = mean(x);
    (x.iter().map(|x| (x - centre).powi(2)).sum::<f64>() / (x.len() as f64 - 1.0)).sqrt()
}

/// A sine of 2 counts at 10 Hz along x, whole counts, a report each millisecond.
fn tremor(until_ms: i32) -> Vec<Step> {
    let place =
        |ms: i32| (2.0 * (2.0 * std::f64::consts::PI * f64::from(ms) / 100.0).sin()).round();
    (1..until_ms)
        .map(|ms| Step { t: at(f64::from(ms)), dx: place(ms) - place(ms - 1), dy: 0.0 })
        .filter(|step| step.dx.abs() > 0.0)
        .collect()
}

#[test]
fn shakes_have_a_size_and_a_pace() {
    let shakes = SmallShakes::of(&tremor(3000), at(0.0), at(3000.0), MotionUnit::Counts);
    let shakes = shakes.expect("a mouse that moved");
    // 8 counts in 100 ms, each in a bin of its own: 8 of 20 bins hold one.
    assert!((shakes.rms_counts - (8.0f64 / 20.0).sqrt()).abs() < 1e-12, "{shakes:?}");
    // The first harmonic of what moves at 10 Hz; the rest stands at its multiples, 30 Hz and up.
    let power = shakes.tremor_counts2.expect("three seconds");
    assert!(power > 0.1 && power < 0.4, "{power}");
    let slower: Vec<Step> =
        tremor(1500).into_iter().map(|s| Step { t: Nanos(2 * s.t.0), ..s }).collect();
    let slower = SmallShakes::of(&slower, at(0.0), at(3000.0), MotionUnit::Counts);
    assert!(slower.expect("it moved").tremor_counts2.expect("three seconds") < 0.01);
}

#[test]
fn a_mouse_that_cannot_show_shakes_has_none() {
    let steps = tremor(3000);
    let of = |steps: &[Step], until_ms, unit| SmallShakes::of(steps, at(0.0), at(until_ms), unit);
    assert_eq!(of(&steps, 3000.0, MotionUnit::Pixels), None);
    assert_eq!(of(&steps, 3000.0, MotionUnit::Normalised), None);
    assert_eq!(of(&steps[..19], 3000.0, MotionUnit::Counts), None);
    assert!(of(&steps[..20], 3000.0, MotionUnit::Counts).is_some());
    assert_eq!(of(&steps, 0.0, MotionUnit::Counts), None);
    let short = of(&steps, 800.0, MotionUnit::Counts).expect("64 reports");
    assert_eq!(short.tremor_counts2, None);
}
