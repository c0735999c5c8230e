//! Signal detection: how well presses follow signals, apart from how ready one is to press.
//!
//! Knows four counts of go/no-go trials.

use super::normal;

/// Counts of trials.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counts {
    /// Signal, pressed.
    pub hits: usize,
    /// Signal, not pressed.
    pub misses: usize,
    /// No signal, pressed.
    pub false_alarms: usize,
    /// No signal, not pressed.
    pub correct_rejections: usize,
}

/// Sensitivity and criterion, in normal units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detection {
    /// Corrected share of hits.
    pub hit_share: f64,
    /// Corrected share of false alarms.
    pub false_alarm_share: f64,
    /// d' = z(hits) - z(false alarms); 0 is chance.
    pub d_prime: f64,
    /// c = -(z(hits) + z(false alarms)) / 2; negative: presses too readily.
    pub criterion: f64,
    /// ln beta = d' c.
    pub ln_beta: f64,
}

/// Why there is no d'.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DetectionError {
    /// No trial had a signal.
    #[error("no trial had a signal")]
    NoSignals,
    /// Every trial had one.
    #[error("every trial had a signal")]
    OnlySignals,
}

/// d' and criterion with the log-linear correction, which keeps them finite at 0 and 1.
///
/// ```text
/// hit share = (hits + 0.5) / (signals + 1),  the false alarms alike
/// ```
/// # Source
/// Hautus (1995) Behavior Research Methods 27:46; Stanislaw & Todorov (1999) Behavior Research
/// Methods 31:137.
/// # Errors
/// [`DetectionError`].
pub fn detection(counts: Counts) -> Result<Detection, DetectionError> {
    let signals = counts.hits + counts.misses;
    let others = counts.false_alarms + counts.correct_rejections;
    if signals == 0 {
        return Err(DetectionError::NoSignals);
    }
    if others == 0 {
        return Err(DetectionError::OnlySignals);
    }
    let corrected = |found: usize, of: usize| (found as f64 + 0.5) / (of as f64 + 1.0);
    let hit_share = corrected(counts.hits, signals);
    let false_alarm_share = corrected(counts.false_alarms, others);
    let (hit, alarm) = (normal::quantile(hit_share), normal::quantile(false_alarm_share));
    let (d_prime, criterion) = (hit - alarm, -(hit + alarm) / 2.0);
    Ok(Detection { hit_share, false_alarm_share, d_prime, criterion, ln_beta: d_prime * criterion })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_has_no_d_prime() {
        let none = Counts { hits: 0, misses: 0, false_alarms: 1, correct_rejections: 1 };
        assert_eq!(detection(none), Err(DetectionError::NoSignals));
        let all = Counts { hits: 3, misses: 1, false_alarms: 0, correct_rejections: 0 };
        assert_eq!(detection(all), Err(DetectionError::OnlySignals));
    }
}
