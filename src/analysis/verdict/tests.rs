//! The rule table, walked whole.

use super::*;

fn fit(low: f64, high: f64, equivalence_low: f64, equivalence_high: f64) -> PairFit {
    PairFit {
        difference: f64::midpoint(low, high),
        standard_error: 1.0,
        df: 10.0,
        low,
        high,
        low_single: low,
        high_single: high,
        p_t: 0.5,
        p_adjusted: 0.5,
        equivalence_low,
        equivalence_high,
        chance_a_faster: 0.5,
        chance_a_faster_by_enough: 0.5,
    }
}

#[test]
fn one_example_a_verdict() {
    for (ends, expect) in [
        ((-20.0, -6.0, -18.0, -8.0), Verdict::AFasterByEnough),
        ((6.0, 20.0, 8.0, 18.0), Verdict::BFasterByEnough),
        ((-4.8, -0.5, -4.5, -1.0), Verdict::AFasterTooLittle),
        ((0.5, 4.8, 1.0, 4.5), Verdict::BFasterTooLittle),
        ((-5.5, -0.1, -4.9, -0.6), Verdict::AFasterTooLittle),
        ((-4.0, 4.0, -3.0, 3.0), Verdict::NoDifferenceThatMatters),
        ((-5.5, 1.0, -4.9, 0.5), Verdict::NoDifferenceThatMatters),
        ((-12.0, -1.0, -11.0, -2.0), Verdict::AFasterSizeOpen),
        ((1.0, 12.0, 2.0, 11.0), Verdict::BFasterSizeOpen),
        ((-12.0, 3.0, -10.0, 1.0), Verdict::Open),
        ((-30.0, 30.0, -25.0, 25.0), Verdict::Open),
        // Touching is not beyond.
        ((-20.0, -5.0, -18.0, -6.0), Verdict::AFasterSizeOpen),
        ((-12.0, 0.0, -11.0, -1.0), Verdict::Open),
        ((-6.0, 4.0, -5.0, 3.0), Verdict::Open),
    ] {
        let (low, high, elow, ehigh) = ends;
        assert_eq!(verdict(Some(&fit(low, high, elow, ehigh)), 5.0), expect, "{ends:?}");
    }
    assert_eq!(verdict(None, 5.0), Verdict::Withheld);
}

/// Every interval with ends on a grid, against the rules as sentences; and A against B mirrored.
#[test]
fn every_interval_on_a_grid() {
    let d = 5.0;
    let grid: Vec<f64> = (-16..=16).map(|i| f64::from(i) * 0.5 + 0.1).collect();
    let mut seen = std::collections::HashSet::new();
    for (i, &low) in grid.iter().enumerate() {
        for &high in &grid[i..] {
            for share in [0.5, 0.8, 1.0] {
                let (middle, half) = (f64::midpoint(low, high), share * (high - low) / 2.0);
                let fit = fit(low, high, middle - half, middle + half);
                let got = verdict(Some(&fit), d);
                seen.insert(got);
                let inside = middle - half > -d && middle + half < d;
                let zero_out = high < 0.0 || low > 0.0;
                let expect_enough = high < -d || low > d;
                use Verdict::*;
                assert_eq!(expect_enough, matches!(got, AFasterByEnough | BFasterByEnough));
                assert_eq!(
                    inside && zero_out,
                    matches!(got, AFasterTooLittle | BFasterTooLittle),
                    "{fit:?}"
                );
                assert_eq!(inside && !zero_out, got == NoDifferenceThatMatters);
                assert_eq!(
                    zero_out && !inside && !expect_enough,
                    matches!(got, AFasterSizeOpen | BFasterSizeOpen)
                );
                assert_eq!(!zero_out && !inside, got == Open);
                if matches!(got, AFasterByEnough | AFasterTooLittle | AFasterSizeOpen) {
                    assert!(high < 0.0);
                }
                let mirrored = PairFit {
                    low: -high,
                    high: -low,
                    equivalence_low: -middle - half,
                    equivalence_high: -middle + half,
                    ..fit
                };
                let swapped = match got {
                    AFasterByEnough => BFasterByEnough,
                    BFasterByEnough => AFasterByEnough,
                    AFasterTooLittle => BFasterTooLittle,
                    BFasterTooLittle => AFasterTooLittle,
                    AFasterSizeOpen => BFasterSizeOpen,
                    BFasterSizeOpen => AFasterSizeOpen,
                    NoDifferenceThatMatters | Open | Withheld => got,
                };
                assert_eq!(verdict(Some(&mirrored), d), swapped);
            }
        }
    }
    assert_eq!(seen.len(), 8, "every verdict but `withheld` was met: {seen:?}");
}

#[test]
fn further_cycles_narrow_the_intervals() {
    let open = fit(-5.0, 15.0, -3.0, 13.0);
    let ends = |fit: &PairFit| [fit.low, fit.high, fit.equivalence_low, fit.equivalence_high];
    let after = |more| projected(&open, 6, more, 2, [0.95, 0.9]);
    for (same, was) in ends(&after(0)).into_iter().zip(ends(&open)) {
        assert!((same - was).abs() < 1e-12, "{same} {was}");
    }
    // Four times the cycles: half the standard error, and t falls besides.
    let then = after(18);
    assert!((then.difference - 5.0).abs() < 1e-12 && then.high - then.low < 10.0, "{then:?}");
    assert!((then.df - open.df - 18.0).abs() < 1e-12, "{then:?}");
    let t_falls = student::critical(0.95, then.df) / student::critical(0.95, open.df);
    assert!((then.high - then.low - 10.0 * t_falls).abs() < 1e-9, "{then:?}");
}
