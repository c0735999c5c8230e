//! The line and the peaks of movements whose shape is known.

use super::*;

/// A report of each millisecond: `counts(ms)` is where the mouse is, in parts of a count.
fn along(begin_ms: i32, end_ms: i32, place: impl Fn(f64) -> (f64, f64)) -> Vec<Step> {
    (begin_ms + 1..=end_ms)
        .map(|ms| {
            let (now, before) = (place(f64::from(ms)), place(f64::from(ms - 1)));
            Step { t: at(f64::from(ms)), dx: now.0 - before.0, dy: now.1 - before.1 }
        })
        .collect()
}

fn jerk(begin_ms: f64, long_ms: f64, t_ms: f64) -> f64 {
    let u = ((t_ms - begin_ms) / long_ms).clamp(0.0, 1.0);
    u * u * u * (10.0 - 15.0 * u + 6.0 * u * u)
}

#[test]
fn a_half_circle_is_half_pi_times_its_width() {
    let steps = along(1200, 1500, |t| {
        let turn = std::f64::consts::PI * jerk(1200.0, 300.0, t);
        (300.0 - 300.0 * turn.cos(), 300.0 * turn.sin())
    });
    let summary = read(&steps, 1600.0);
    let straightness = summary.straightness.expect("it moved");
    assert!((straightness - std::f64::consts::FRAC_PI_2).abs() < 1e-3, "{straightness}");
    assert!(summary.overshoot_counts.expect("it moved") < 1e-9);
    assert_eq!(summary.submovements, 1);
}

#[test]
fn a_movement_that_comes_back_has_gone_past_its_end() {
    let steps = along(1200, 1700, |t| {
        (600.0 * jerk(1200.0, 200.0, t) - 60.0 * jerk(1450.0, 150.0, t), 0.0)
    });
    let summary = read(&steps, 1700.0);
    assert!((summary.overshoot_counts.expect("it moved") - 60.0).abs() < 1e-9);
    assert!((summary.straightness.expect("it moved") - 660.0 / 540.0).abs() < 1e-9);
    // 60 counts in 150 ms peak at 750 counts/s, more than a tenth of 5,625.
    assert_eq!(summary.submovements, 2);
    // The peak of minimum jerk is at half its time.
    let peak_ms = (summary.peak_at.expect("it moved") - at(1300.0)).ms();
    assert!(peak_ms.abs() < 1.0, "{peak_ms}");
}

#[test]
fn a_small_wobble_is_no_movement_of_its_own() {
    let steps = along(1200, 1800, |t| {
        (600.0 * jerk(1200.0, 200.0, t) + 10.0 * jerk(1500.0, 150.0, t), 0.0)
    });
    assert_eq!(read(&steps, 1800.0).submovements, 1);
}

#[test]
fn a_movement_cut_off_by_the_press_counts() {
    let steps = along(1200, 1600, |t| {
        (600.0 * jerk(1200.0, 200.0, t) + 300.0 * jerk(1450.0, 200.0, t), 0.0)
    });
    assert_eq!(read(&steps, 1550.0).submovements, 2);
}

#[test]
fn what_ends_where_it_began_has_no_straight_line() {
    let steps = along(1200, 1600, |t| {
        (200.0 * jerk(1200.0, 150.0, t) - 200.0 * jerk(1400.0, 150.0, t), 0.0)
    });
    // Whole counts, so that the way back ends on the very place.
    let mut place = 0.0_f64;
    let steps: Vec<Step> = steps
        .iter()
        .map(|step| {
            let before = place.round();
            place += step.dx;
            Step { dx: place.round() - before, ..*step }
        })
        .collect();
    let summary = read(&steps, 1700.0);
    assert_eq!((summary.straightness, summary.overshoot_counts), (None, None));
    assert_eq!(read(&[], 1700.0).submovements, 0);
}
