//! From film frames to display and input lag, with an interval that holds the camera's own doubt.
//!
//! Pure: readings of a film and what the program saw of the same clicks, in; a lag out.

use crate::analysis::{describe, frames, student};
use serde::{Deserialize, Serialize};

/// Fewer clicks give no interval worth the name. Common practice, no source.
pub const FEWEST_CLICKS: usize = 3;
/// Slowest film that is taken, frames a second: one frame of a slower one is longer than most lags.
pub const LEAST_RATE_HZ: f64 = 100.0;
/// The film's own rate may differ from the one told by this share.
const RATE_SHARE: f64 = 0.02;
/// Middle 95 % of an error that is spread evenly over one frame, to each side.
const PHASE_SHARE: f64 = 0.475;
/// The rate is only checked over at least this long, ms.
const RATE_OVER_MS: f64 = 2000.0;

/// One click, on the film and as the program saw it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Number of the click.
    pub click: usize,
    /// First film frame in which the button is down.
    pub press_frame: u64,
    /// First film frame in which the patch has changed.
    pub answer_frame: u64,
    /// From the program's stamp of the press to its stamp of the answering picture, ms.
    pub own_ms: f64,
    /// That picture's stamp, ms since the first.
    pub shown_ms: f64,
}

/// The lag.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lag {
    /// Display and input lag beyond what the program sees, ms.
    pub lag_ms: f64,
    /// Half of its 95 % interval, ms.
    pub give_or_take_ms: f64,
    /// From press to light on the film, mean, ms.
    pub total_ms: f64,
    /// What the program saw of it itself, mean, ms.
    pub own_ms: f64,
    /// Clicks.
    pub clicks: usize,
    /// One film frame, ms.
    pub frame_ms: f64,
    /// Frames a second by the program's own stamps of the answers, where the film is long enough.
    pub fitted_rate_hz: Option<f64>,
}

/// Why there is no lag.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoLag {
    /// Too few clicks were read.
    #[error("{clicks} clicks were read, {FEWEST_CLICKS} are needed")]
    TooFew {
        /// Read.
        clicks: usize,
    },
    /// The film is too slow.
    #[error("{rate_hz} frames a second are too few: one frame would be {:.0} ms", 1e3 / rate_hz)]
    Coarse {
        /// Told.
        rate_hz: f64,
    },
    /// An answer before its press.
    #[error("click {click}: the answer (frame {answer}) comes before the press (frame {press})")]
    Backwards {
        /// Number of the click.
        click: usize,
        /// Film frame.
        press: u64,
        /// Film frame.
        answer: u64,
    },
    /// The film does not run at the rate told.
    #[error("the film runs at {fitted_hz:.1} frames a second, not {told_hz}")]
    Rate {
        /// Told.
        told_hz: f64,
        /// By the program's stamps.
        fitted_hz: f64,
    },
}

/// Estimates the lag from readings of one film of `rate_hz` frames a second.
///
/// Of each click d = (answer - press) / rate is the time from press to light, and d less what the
/// program saw itself is the lag. Both ends are seen only at whole film frames of length T, so each
/// d carries an error of sd T / sqrt 6. That part averages out over clicks:
/// ```text
/// half = sqrt(t(0.975, n-1)^2 max(s^2, T^2/6) / n + (0.475 T)^2)
/// ```
/// with s the clicks' own sd. The floor keeps clicks that agree by luck from claiming more than whole
/// frames can tell. The last term does not shrink with n: where the film's rate is near a multiple of
/// the refresh, answers always fall on the same part of a frame, and nobody can tell which.
///
/// # Source
/// Error of a rounded value: uniform, T / sqrt 12 for one end (common practice); the sum of two.
///
/// # Errors
/// [`NoLag`].
pub fn estimate(readings: &[Reading], rate_hz: f64) -> Result<Lag, NoLag> {
    if !rate_hz.is_finite() || rate_hz < LEAST_RATE_HZ {
        return Err(NoLag::Coarse { rate_hz });
    }
    if readings.len() < FEWEST_CLICKS {
        return Err(NoLag::TooFew { clicks: readings.len() });
    }
    for &Reading { click, press_frame: press, answer_frame: answer, .. } in readings {
        if answer < press {
            return Err(NoLag::Backwards { click, press, answer });
        }
    }
    let fitted_rate_hz = fitted_rate_hz(readings);
    if let Some(fitted_hz) = fitted_rate_hz
        && (fitted_hz / rate_hz - 1.0).abs() > RATE_SHARE
    {
        return Err(NoLag::Rate { told_hz: rate_hz, fitted_hz });
    }
    let frame_ms = 1e3 / rate_hz;
    let total = |of: &Reading| frames::ms((of.answer_frame - of.press_frame) as f64, rate_hz);
    let totals: Vec<f64> = readings.iter().map(total).collect();
    let owns: Vec<f64> = readings.iter().map(|of| of.own_ms).collect();
    let lags: Vec<f64> = totals.iter().zip(&owns).map(|(total, own)| total - own).collect();
    let mean = |of: &[f64]| describe::mean(of).unwrap_or(f64::NAN);
    let n = readings.len() as f64;
    let both = frames::both_ends_sd(frame_ms, frame_ms);
    let sd = describe::sd(&lags).unwrap_or(f64::NAN).max(both);
    let random = student::critical(0.95, n - 1.0) * sd / n.sqrt();
    let half = random.hypot(PHASE_SHARE * frame_ms);
    Ok(Lag {
        lag_ms: mean(&lags),
        give_or_take_ms: half,
        total_ms: mean(&totals),
        own_ms: mean(&owns),
        clicks: readings.len(),
        frame_ms,
        fitted_rate_hz,
    })
}

/// Film frames a second: the slope of the answers' film frames on the program's stamps of them.
fn fitted_rate_hz(readings: &[Reading]) -> Option<f64> {
    let t: Vec<f64> = readings.iter().map(|of| of.shown_ms).collect();
    let frame: Vec<f64> = readings.iter().map(|of| of.answer_frame as f64).collect();
    let span = t.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - t.iter().copied().fold(f64::INFINITY, f64::min);
    if span < RATE_OVER_MS {
        return None;
    }
    let (mean_t, mean_frame) = (describe::mean(&t)?, describe::mean(&frame)?);
    let products: f64 = t.iter().zip(&frame).map(|(t, f)| (t - mean_t) * (f - mean_frame)).sum();
    let squares: f64 = t.iter().map(|t| (t - mean_t).powi(2)).sum();
    Some(1e3 * products / squares)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    fn reading(click: usize, press_frame: u64, answer_frame: u64) -> Reading {
        Reading { click, press_frame, answer_frame, own_ms: 0.0, shown_ms: 0.0 }
    }

    #[test]
    fn frames_at_120_a_second_are_as_everybody_counts_them() {
        // 25.2 frames at 120 a second are 210 ms (common practice, no source).
        let answers = [25, 25, 25, 26, 25];
        let readings: Vec<Reading> =
            (1..).zip(answers).map(|(click, answer)| reading(click, 0, answer)).collect();
        let lag = estimate(&readings, 120.0).unwrap();
        assert!((lag.total_ms - 210.0).abs() < 1e-9, "{lag:?}");
        assert!((lag.frame_ms - 8.333).abs() < 1e-3);
    }

    #[test]
    fn equal_counts_do_not_claim_to_know_the_lag_exactly() {
        let readings: Vec<Reading> = (1..=4).map(|click| reading(click, 10, 20)).collect();
        let lag = estimate(&readings, 240.0).unwrap();
        // By hand: T = 4.1667, t(0.975, 3) = 3.1824: 3.1824^2 T^2/24 = 7.326, (0.475 T)^2 = 3.917.
        assert!((lag.give_or_take_ms - 3.353).abs() < 2e-3, "{lag:?}");
    }

    /// A film of a rig with a known lag.
    struct Truth {
        rate_hz: f64,
        refresh_hz: f64,
        display_ms: f64,
        mouse_ms: f64,
        report_ms: f64,
        clicks: usize,
        stamp_sd_ms: f64,
    }

    fn film(truth: &Truth, random: &mut ChaCha8Rng) -> Vec<Reading> {
        let phase = random.random::<f64>();
        let start_ms = 1e3 * random.random::<f64>();
        let refresh_ms = 1e3 / truth.refresh_hz;
        let on_film = |ms: f64| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "above 0")]
            let frame = (ms * truth.rate_hz / 1e3 + phase).ceil() as u64;
            frame
        };
        (1..=truth.clicks)
            .map(|click| {
                let pressed = start_ms + 700.0 * click as f64 + 300.0 * random.random::<f64>();
                let stamped = pressed + truth.mouse_ms + truth.report_ms * random.random::<f64>();
                let shown = ((stamped + 2.0) / refresh_ms).ceil() * refresh_ms + refresh_ms;
                let light = shown + truth.display_ms;
                // Two uniform errors have about the right shape and sd.
                let error = truth.stamp_sd_ms * (random.random::<f64>() - random.random::<f64>());
                Reading {
                    click,
                    press_frame: on_film(pressed),
                    answer_frame: on_film(light),
                    own_ms: shown - stamped + error * 6.0_f64.sqrt(),
                    shown_ms: shown,
                }
            })
            .collect()
    }

    /// How often the interval holds the true lag, of 2000 films.
    fn coverage(truth: &Truth) -> f64 {
        let mut random = ChaCha8Rng::seed_from_u64(11);
        let true_lag = truth.display_ms + truth.mouse_ms + truth.report_ms / 2.0;
        let held = (0..2000).filter(|_| {
            let lag = estimate(&film(truth, &mut random), truth.rate_hz).unwrap();
            (lag.lag_ms - true_lag).abs() <= lag.give_or_take_ms
        });
        held.count() as f64 / 2000.0
    }

    #[test]
    fn the_interval_holds_the_true_lag_at_least_as_often_as_it_says() {
        let usual = Truth {
            rate_hz: 239.76,
            refresh_hz: 143.98,
            display_ms: 6.0,
            mouse_ms: 2.0,
            report_ms: 1.0,
            clicks: 10,
            stamp_sd_ms: 0.3,
        };
        // Four times the refresh exactly: the answers' phase on the film never averages out.
        let locked = Truth { rate_hz: 240.0, refresh_hz: 60.0, ..usual };
        let coarse = Truth { rate_hz: 120.0, stamp_sd_ms: 4.8, ..usual };
        let few = Truth { clicks: 3, report_ms: 8.0, ..usual };
        for truth in [&usual, &locked, &coarse, &few] {
            let share = coverage(truth);
            assert!(share >= 0.95, "{} at {}: {share}", truth.clicks, truth.rate_hz);
        }
        // And not by being as wide as one likes: where the film is locked, hardly more than 95 %, and
        // under a frame at ten clicks.
        assert!(coverage(&locked) < 0.99);
        let mut random = ChaCha8Rng::seed_from_u64(12);
        let lag = estimate(&film(&usual, &mut random), usual.rate_hz).unwrap();
        assert!(lag.give_or_take_ms < lag.frame_ms, "{lag:?}");
    }

    #[test]
    fn a_film_that_runs_at_another_rate_is_noticed() {
        let truth = Truth {
            rate_hz: 240.0,
            refresh_hz: 60.0,
            display_ms: 10.0,
            mouse_ms: 1.0,
            report_ms: 1.0,
            clicks: 8,
            stamp_sd_ms: 0.5,
        };
        let readings = film(&truth, &mut ChaCha8Rng::seed_from_u64(5));
        let Err(NoLag::Rate { fitted_hz, .. }) = estimate(&readings, 120.0) else {
            panic!("taken at half its rate")
        };
        assert!((fitted_hz - 240.0).abs() < 1.0, "{fitted_hz}");
        let lag = estimate(&readings, 240.0).unwrap();
        assert!(lag.fitted_rate_hz.is_some());
    }

    #[test]
    fn readings_that_cannot_be_are_named() {
        let two = [reading(1, 0, 5), reading(2, 9, 14)];
        assert_eq!(estimate(&two, 240.0), Err(NoLag::TooFew { clicks: 2 }));
        let back = [reading(1, 0, 5), reading(2, 9, 14), reading(3, 30, 24)];
        let told = NoLag::Backwards { click: 3, press: 30, answer: 24 };
        assert_eq!(estimate(&back, 240.0), Err(told));
        assert_eq!(estimate(&back, 60.0), Err(NoLag::Coarse { rate_hz: 60.0 }));
    }
}
