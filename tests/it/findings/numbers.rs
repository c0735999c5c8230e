//! The main numbers by another route: from the trials to the difference without our matrices.

use super::invented::{HOLDS, hit, protocol, session};
use tautline::findings::{FindingsError, work_out};
use tautline::record::Outcome;
use tautline::words::Tell;

/// Mean of the middle 60 %, by deletion of the smallest and the largest one at a time.
pub(super) fn typical(mut times: Vec<f64>) -> f64 {
    let cut = times.len() / 5;
    for _ in 0..cut {
        let low = times.iter().copied().fold(f64::INFINITY, f64::min);
        let high = times.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        times.remove(times.iter().position(|t| *t <= low).unwrap());
        times.remove(times.iter().position(|t| *t >= high).unwrap());
    }
    times.iter().sum::<f64>() / times.len() as f64
}

/// A line's value at zero.
pub(super) struct AtZero {
    pub(super) value: f64,
    pub(super) se: f64,
}

/// The least-squares line of `d` on `s`, at s = 0.
pub(super) fn at_zero(s: &[f64], d: &[f64]) -> AtZero {
    let n = d.len() as f64;
    let (md, ms) = (d.iter().sum::<f64>() / n, s.iter().sum::<f64>() / n);
    let sxx: f64 = s.iter().map(|x| (x - ms).powi(2)).sum();
    let sxy: f64 = s.iter().zip(d).map(|(x, y)| (x - ms) * (y - md)).sum();
    let (slope, intercept) = (sxy / sxx, md - sxy / sxx * ms);
    let rss: f64 = s.iter().zip(d).map(|(x, y)| (y - intercept - slope * x).powi(2)).sum();
    let se = (rss / (n - 2.0) * (1.0 / n + ms * ms / sxx)).sqrt();
    AtZero { value: intercept, se }
}

/// Two holds: in each cycle the difference of the two blocks is hold + trend x distance, so the
/// model is a line through K differences and needs no matrix.
#[test]
fn two_holds_by_differences_within_cycles() {
    let data = session(protocol(2, 8), &[0.0, -12.0], 7);
    let findings = work_out(vec![data.clone()]).unwrap();
    let of_block = |position: usize| {
        let own = data.trials.iter().filter(|t| t.position == position);
        typical(own.filter_map(|t| t.click_ms).collect())
    };
    // d = (light - firm) and s = (position of light - position of firm), one a cycle.
    let (mut d, mut s) = (Vec::new(), Vec::new());
    for cycle in 1..=8 {
        let place = |condition| {
            let find = |b: &&tautline::findings::input::BlockPlan| {
                b.cycle == cycle && b.condition == condition
            };
            data.blocks.iter().find(find).unwrap().position
        };
        d.push(of_block(place(0)) - of_block(place(1)));
        s.push(place(0) as f64 - place(1) as f64);
    }
    let AtZero { value: intercept, se } = at_zero(&s, &d);
    // t(0.975, 6) = 2.446911851: Student's tables; scipy 1.14 stats.t.ppf(0.975, 6).
    let half = 2.446_911_851 * se;
    let fit = findings.pairs[0].fit.unwrap();
    assert!((fit.difference - intercept).abs() < 1e-9, "{} {intercept}", fit.difference);
    assert!((fit.standard_error - se).abs() < 1e-9);
    assert!((fit.high_single - (intercept + half)).abs() < 1e-6);
    assert!((fit.low - (intercept - half)).abs() < 1e-3, "one pair: simultaneous is plain t");
    assert!((fit.df - 6.0).abs() < 1e-12);
}

#[test]
fn a_hold_in_numbers_by_hand() {
    let mut data = session(protocol(2, 2), &[0.0, 0.0], 1);
    let light = data.blocks.iter().find(|b| b.condition == 0).unwrap().position;
    data.protocol.design.trials = 5;
    data.trials = [200.0, 210.0, 220.0, 230.0, 300.0]
        .iter()
        .enumerate()
        .map(|(i, ms)| hit(light, i + 1, *ms))
        .collect();
    let mut wrong = hit(light, 6, 150.0);
    wrong.outcome = Outcome::Wrong;
    data.trials.push(wrong);
    let findings = work_out(vec![data]).unwrap();
    let hold = &findings.holds[0];
    assert_eq!((hold.id.as_str(), hold.trials, hold.excluded), (HOLDS[0], 6, 1));
    assert_eq!(hold.mean_ms, Some(232.0));
    assert_eq!(hold.median_ms, Some(220.0));
    assert_eq!(hold.trimmed_mean_ms, Some(220.0));
    assert_eq!(hold.mad_ms, Some(10.0));
    // Squares about 232: 1024 + 484 + 144 + 4 + 4624 = 6280, over 4.
    assert!((hold.sd_ms.unwrap() - 1570.0_f64.sqrt()).abs() < 1e-9);
    assert_eq!(hold.error_share, Some(1.0 / 6.0));
    assert_eq!(hold.trend, None, "one block has no slope");
}

/// Blocks that grow by exactly 2 ms a minute: 20 ms in 10 minutes, no residual.
#[test]
fn a_steady_slope_is_found() {
    let mut data = session(protocol(2, 4), &[0.0, 0.0], 3);
    for trial in &mut data.trials {
        trial.click_ms = Some(200.0 + 2.0 * trial.position as f64);
        trial.minute = Some(trial.position as f64);
    }
    let findings = work_out(vec![data]).unwrap();
    for hold in &findings.holds {
        let slope = hold.trend.as_ref().unwrap().per_10min_ms;
        assert!((slope.estimate - 20.0).abs() < 1e-9 && (slope.high - slope.low).abs() < 1e-6);
    }
}

#[test]
fn two_sessions_of_one_player_are_combined() {
    let one = session(protocol(2, 6), &[0.0, -12.0], 11);
    let two = session(protocol(2, 6), &[0.0, -12.0], 12);
    let findings = work_out(vec![one, two]).unwrap();
    assert_eq!(findings.blocks.len(), 24);
    // 24 rows - (2 levels of holds, 12 cycles, 2 trends, less the shared constant) = 24 - 15.
    assert!((findings.pairs[0].fit.unwrap().df - 9.0).abs() < 1e-12);
}

#[test]
fn what_does_not_belong_together_is_refused() {
    let one = || session(protocol(2, 4), &[0.0, 0.0], 1);
    let refused = |other| work_out(vec![one(), other]).unwrap_err();
    assert!(matches!(work_out(vec![]).unwrap_err(), FindingsError::NoSession));
    assert!(matches!(refused(one()), FindingsError::SameSessionTwice { .. }));
    let mut other = session(protocol(2, 4), &[0.0, 0.0], 2);
    other.player = "crane-efgh".to_owned();
    let error = refused(other);
    assert!(matches!(error, FindingsError::OtherPlayer { .. }));
    assert!(error.tell().mend.contains("one player"));
    let other = session(protocol(2, 5), &[0.0, 0.0], 2);
    assert!(matches!(refused(other), FindingsError::OtherProtocol { .. }));
    let mut other = session(protocol(2, 4), &[0.0, 0.0], 2);
    other.simulated = false;
    assert!(matches!(refused(other), FindingsError::SimulatedAndReal { .. }));
}

/// 8 cycles of two holds have 182 orders; with blocks missing, orders that look alike on what is
/// left count together, so the smallest p can only grow.
#[test]
fn the_attainable_p_knows_what_is_missing() {
    let data = session(protocol(2, 8), &[0.0, -12.0], 7);
    let whole = work_out(vec![data.clone()]).unwrap();
    let attainable = whole.pairs[0].attainable_p.unwrap();
    assert!((attainable - 2.0 / 182.0).abs() < 1e-12, "{attainable}");
    let mut cut = data.clone();
    cut.trials.retain(|trial| trial.position <= 12);
    let cut = work_out(vec![cut]).unwrap();
    assert!(cut.pairs[0].attainable_p.unwrap() > attainable);
    assert!(cut.pairs[0].p_randomization.unwrap() >= cut.pairs[0].attainable_p.unwrap() - 1e-12);
    // Four cycles have 6 orders, two such sessions 36: no sample can go below 2/36.
    let twice = [21, 22].map(|seed| session(protocol(2, 4), &[0.0, -12.0], seed));
    let twice = work_out(twice.into()).unwrap();
    assert!((twice.pairs[0].attainable_p.unwrap() - 2.0 / 36.0).abs() < 1e-12);
}

/// By hand: six trials a block, the last one of each firm block answered wrong. Put at either end of
/// six values (one cut at each end) it is itself cut, with one hit at the other end.
#[test]
fn what_stays_out_is_bounded_at_both_ends() {
    let mut data = session(protocol(2, 6), &[0.0, 0.0], 7);
    data.protocol.design.trials = 6;
    data.trials.retain(|trial| trial.trial <= 6);
    let firm = |position: usize| data.blocks[position - 1].condition == 1;
    for trial in &mut data.trials {
        let spread = [0.0, 10.0, 20.0, 30.0, 40.0, 50.0][trial.trial - 1];
        // Blocks differ a little, or there would be no standard error.
        let level = 200.0 + (trial.position * trial.position % 5) as f64;
        trial.click_ms = Some(level + spread + if firm(trial.position) { 10.0 } else { 0.0 });
        if firm(trial.position) && trial.trial == 6 {
            trial.outcome = Outcome::Wrong;
        }
    }
    let findings = work_out(vec![data]).unwrap();
    // Above its level, firm: 20, 30, 40 (of five) = 30; with the gap at 0 ms 10..40 = 25, at the
    // limit 20..50 = 35. So the difference moves by 5 either way.
    let difference = findings.pairs[0].fit.unwrap().difference;
    let bounds = findings.bounds[0].unwrap();
    assert!((bounds.low_ms - (difference - 5.0)).abs() < 1e-9, "{difference} {bounds:?}");
    assert!((bounds.high_ms - (difference + 5.0)).abs() < 1e-9, "{difference} {bounds:?}");
}
