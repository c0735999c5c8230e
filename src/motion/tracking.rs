//! How a hand follows a target that moves to and fro: error, gain, and how far it is behind.
//!
//! Knows two courses sampled at the same moments, in one unit of length, and the target's course
//! at any moment. The lag is where the hand's course is most alike the target's earlier one.

use crate::units::Span;

/// Between samples.
const EACH: Span = Span::from_ms(10);
/// Lags that are tried: a hand may be ahead of a target it foresees.
const LAGS_MS: std::ops::RangeInclusive<i64> = -200..=600;

/// Following, along the line on which the target moves and off it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Following {
    /// Root of the mean square of the distance, in the unit of length.
    pub error: f64,
    /// The hand's movement over the target's, at the lag: the slope of a least squares line; blank
    /// where there is no lag.
    pub gain: Option<f64>,
    /// How far the hand is behind, ms; blank where the hand did not move, or was most alike at either
    /// end of the lags that are tried: then it did not follow.
    pub lag_ms: Option<f64>,
}

/// A place on the surface, in one unit of length.
pub type Xy = (f64, f64);

impl Following {
    /// Between the moments `from` and `until` after the onset. `target`: where it is at a moment
    /// after the onset; `hand`: where the hand points then. The target moves along x.
    ///
    /// ```text
    /// r(lag) = correlation of hand.x(t) with target.x(t - lag);  the lag is where r is largest,
    /// between samples by a parabola through three
    /// ```
    /// Common practice in studies of manual tracking, no source.
    pub fn of(
        from: Span,
        until: Span,
        target: impl Fn(Span) -> Xy,
        hand: impl Fn(Span) -> Xy,
    ) -> Option<Following> {
        let moments: Vec<Span> = std::iter::successors(Some(from), |t| Some(*t + EACH))
            .take_while(|t| *t < until)
            .collect();
        let n = moments.len() as f64;
        if moments.len() < 100 {
            return None;
        }
        let hands: Vec<Xy> = moments.iter().map(|t| hand(*t)).collect();
        let squares = moments.iter().zip(&hands).map(|(t, hand)| {
            let target = target(*t);
            (hand.0 - target.0) * (hand.0 - target.0) + (hand.1 - target.1) * (hand.1 - target.1)
        });
        let error = libm::sqrt(squares.sum::<f64>() / n);
        let mean = hands.iter().map(|hand| hand.0).sum::<f64>() / n;
        let own: Vec<f64> = hands.iter().map(|hand| hand.0 - mean).collect();
        let power = own.iter().map(|x| x * x).sum::<f64>();
        let at = |lag_ms: f64| {
            let lag = Span::from_ms_f64(lag_ms);
            let earlier: Vec<f64> = moments.iter().map(|t| target(*t - lag).0).collect();
            let mean = earlier.iter().sum::<f64>() / n;
            let (mut cross, mut squares) = (0.0, 0.0);
            for (own, earlier) in own.iter().zip(&earlier) {
                cross += own * (earlier - mean);
                squares += (earlier - mean) * (earlier - mean);
            }
            (cross, squares)
        };
        let alike = |lag_ms: f64| {
            let (cross, squares) = at(lag_ms);
            if squares > 0.0 && power > 0.0 { cross / libm::sqrt(squares * power) } else { 0.0 }
        };
        if power <= 0.0 {
            return Some(Following { error, gain: None, lag_ms: None });
        }
        let lags: Vec<f64> = LAGS_MS.step_by(10).map(|ms| ms as f64).collect();
        let best = lags.iter().copied().max_by(|a, b| alike(*a).total_cmp(&alike(*b)))?;
        if lags.first() == Some(&best) || lags.last() == Some(&best) {
            return Some(Following { error, gain: None, lag_ms: None });
        }
        let [low, middle, high] = [best - 10.0, best, best + 10.0].map(alike);
        let bend = low - 2.0 * middle + high;
        let aside = if bend < 0.0 { (0.5 * (low - high) / bend).clamp(-0.5, 0.5) } else { 0.0 };
        let lag_ms = best + 10.0 * aside;
        let (cross, squares) = at(lag_ms);
        let gain = (squares > 0.0).then(|| cross / squares);
        Some(Following { error, gain, lag_ms: Some(lag_ms) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn target(t: Span) -> Xy {
        let t = t.s();
        (100.0 * libm::sin(1.3 * t) + 40.0 * libm::sin(3.1 * t + 1.0), 0.0)
    }

    fn seconds(s: i64) -> Span {
        Span::from_s(s)
    }

    #[test]
    fn a_hand_that_is_behind_and_too_small_is_found_out() {
        let hand = |t: Span| {
            let (x, _) = target(t - Span::from_ms(143));
            (0.9 * x + 7.0, 3.0)
        };
        let told = Following::of(seconds(2), seconds(20), target, hand).unwrap();
        assert!((told.lag_ms.unwrap() - 143.0).abs() < 0.5, "{told:?}");
        assert!((told.gain.unwrap() - 0.9).abs() < 1e-3, "{told:?}");
        let ahead = |t: Span| target(t + Span::from_ms(60));
        let told = Following::of(seconds(2), seconds(20), target, ahead).unwrap();
        assert!((told.lag_ms.unwrap() + 60.0).abs() < 0.5, "{told:?}");
    }

    #[test]
    fn a_hand_further_behind_than_is_tried_has_no_lag() {
        let late = |t: Span| target(t - Span::from_ms(800));
        let told = Following::of(seconds(2), seconds(20), target, late).unwrap();
        assert_eq!((told.gain, told.lag_ms), (None, None));
        assert!(told.error > 50.0, "the error is told all the same: {told:?}");
    }

    #[test]
    fn a_constant_distance_is_the_error_and_a_still_hand_has_no_lag() {
        let off = |t: Span| (target(t).0 + 3.0, 4.0);
        let told = Following::of(seconds(2), seconds(20), target, off).unwrap();
        assert!((told.error - 5.0).abs() < 1e-9, "3 and 4 make 5: {told:?}");
        assert!((told.gain.unwrap() - 1.0).abs() < 1e-3);
        let still = Following::of(seconds(2), seconds(20), target, |_| (0.0, 0.0)).unwrap();
        assert_eq!((still.gain, still.lag_ms), (None, None));
    }
}
