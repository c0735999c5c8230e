//! Streams of reports with a known truth.

use super::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A mouse in brisk motion: a report each `interval_ms`, each stamped late by up to `late_ms`.
fn stream(seconds: f64, interval_ms: f64, late_ms: f64, seed: u64) -> Vec<Report> {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut reports = Vec::new();
    let mut n = 0.0;
    while n * interval_ms < seconds * 1e3 {
        let late = late_ms * random.random::<f64>();
        reports.push(Report { t: at_ms(n * interval_ms + late), counts: 5 });
        n += 1.0;
    }
    reports
}

fn at_ms(ms: f64) -> Nanos {
    Nanos(0) + Span::from_ms_f64(ms)
}

#[test]
fn every_rate_that_mice_are_built_for_is_told() {
    for hz in BUILT_HZ {
        let interval_ms = 1e3 / f64::from(hz);
        let judged = judge(&stream(4.0, interval_ms, 0.1 * interval_ms, 1)).unwrap();
        assert_eq!(judged.built_hz, Some(hz));
        assert_eq!(judged.pattern, Pattern::Steady, "{hz}: {judged:?}");
        assert!((judged.interval_ms / interval_ms - 1.0).abs() < 0.02, "{hz}: {judged:?}");
        assert_eq!(judged.histogram.iter().map(|bar| bar.count).sum::<usize>(), judged.intervals);
    }
}

#[test]
fn a_rate_between_the_built_ones_is_not_forced_to_one() {
    let judged = judge(&stream(4.0, 1e3 / 700.0, 0.0, 1)).unwrap();
    assert_eq!(judged.built_hz, None);
    assert!((judged.rate_hz - 700.0).abs() < 1.0, "{judged:?}");
}

#[test]
fn jitter_is_that_of_the_stamps() {
    // Uniform lateness of width w: the difference of two is a triangle, whose middle 68 % reach
    // w (1 - sqrt(0.32)) to either side.
    let judged = judge(&stream(8.0, 1.0, 0.4, 3)).unwrap();
    let expected = 0.4 * (1.0 - 0.32_f64.sqrt());
    assert!((judged.jitter_ms - expected).abs() < 0.01, "{} and {expected}", judged.jitter_ms);
}

#[test]
fn lost_reports_are_counted() {
    let mut random = ChaCha8Rng::seed_from_u64(5);
    let whole = stream(8.0, 1.0, 0.05, 5);
    let kept: Vec<Report> = whole.into_iter().filter(|_| random.random::<f64>() > 0.04).collect();
    let judged = judge(&kept).unwrap();
    assert_eq!(judged.pattern, Pattern::Gaps);
    assert!((judged.gap_share - 0.04).abs() < 0.01, "{judged:?}");
    assert_eq!(judged.built_hz, Some(1000));
}

#[test]
fn reports_handed_over_two_at_a_time_are_bunched_and_keep_their_rate() {
    // Each second report waits for the next: both come at once.
    let pairs: Vec<Report> = stream(4.0, 1.0, 0.0, 1)
        .chunks_exact(2)
        .flat_map(|pair| [pair[1], Report { t: pair[1].t + Span(10_000), ..pair[1] }])
        .collect();
    let judged = judge(&pairs).unwrap();
    assert_eq!(judged.pattern, Pattern::Bunched);
    assert_eq!(judged.built_hz, Some(1000), "{judged:?}");
    assert!((judged.together_share - 0.5).abs() < 0.01);
}

#[test]
fn a_wireless_mouse_that_wakes_slowly_is_seen() {
    // After each rest of half a second 200 ms at 8 ms, then 800 ms at 1 ms.
    let mut reports = Vec::new();
    for round in 0..6 {
        let start_ms = 1500.0 * f64::from(round);
        reports.extend((0..25).map(|n| at_ms(start_ms + 8.0 * f64::from(n))));
        reports.extend((0..800).map(|n| at_ms(start_ms + 200.0 + f64::from(n))));
    }
    let reports: Vec<Report> = reports.into_iter().map(|t| Report { t, counts: 4 }).collect();
    let judged = judge(&reports).unwrap();
    assert_eq!(judged.pattern, Pattern::Saving, "{judged:?}");
    let sag = judged.sag.unwrap();
    assert!(sag.after_rest);
    assert!((sag.interval_ms - 8.0).abs() < 0.01);
    assert!((sag.time_share - 0.2).abs() < 0.02, "{sag:?}");
    assert!(judged.gap_share < 0.001, "a slower rate is no loss: {judged:?}");
    let finding = finding(&Ok(judged), 0.05);
    assert_eq!(finding.matters, Matters::Bias { ms: Some(3.5) });
}

#[test]
fn a_slow_hand_is_not_judged() {
    let slow: Vec<Report> =
        stream(4.0, 1.0, 0.0, 1).into_iter().map(|r| Report { counts: 1, ..r }).collect();
    assert_eq!(judge(&slow), Err(TooFew { intervals: 0 }));
    let told = finding(&judge(&slow), 0.05);
    assert_eq!(told.grade, Grade::NotTold);
    assert!(told.mend.is_some());
}

#[test]
fn a_slow_rate_is_worth_mending_and_adds_its_own_spread() {
    let judged = judge(&stream(8.0, 8.0, 0.1, 1));
    let told = finding(&judged, 0.05);
    assert_eq!(told.grade, Grade::Mend);
    let Matters::Spread { sd_ms } = told.matters else { panic!("{told:?}") };
    // 8 ms / sqrt(12).
    assert!((sd_ms - 2.309).abs() < 0.02, "{sd_ms}");
}

#[test]
fn stamps_coarser_than_the_interval_are_not_blamed_on_the_mouse() {
    let judged = judge(&stream(4.0, 0.125, 0.12, 1));
    assert_eq!(judged.as_ref().map(|rate| rate.built_hz), Ok(Some(8000)));
    let told = finding(&judged, 0.3);
    assert_eq!(told.grade, Grade::Note);
}

#[test]
fn the_moving_time_leaves_pauses_out() {
    let mut reports = stream(1.0, 1.0, 0.0, 1);
    reports.push(Report { t: at_ms(5000.0), counts: 3 });
    reports.push(Report { t: at_ms(5001.0), counts: 3 });
    assert!((moving(&reports).ms() - 1000.0).abs() < 1.5);
}
