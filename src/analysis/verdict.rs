//! From intervals to a verdict, and how they would shrink with more cycles.
//!
//! Knows two intervals and the least difference that matters; no p, no chance. The order of the
//! rules is the meaning: the first that holds is the verdict.

use super::student;
use super::{PairFit, Verdict};

/// The verdict on a - b (times: less is faster).
///
/// `smallest_change`: d, the least difference that matters, not negative. With [low, high] the
/// family's interval and [elow, ehigh] its 90 % interval:
/// ```text
/// 1  high < -d  | low > d                        faster by enough
/// 2  -d < elow, ehigh < d and high < 0 | low > 0  faster, too little to matter
/// 3  -d < elow, ehigh < d                        no difference that matters
/// 4  high < 0   | low > 0                        faster, size open
/// 5  else                                        open;   without a fit: withheld
/// ```
pub fn verdict(fit: Option<&PairFit>, smallest_change: f64) -> Verdict {
    let Some(fit) = fit else { return Verdict::Withheld };
    let narrow = [fit.equivalence_low, fit.equivalence_high];
    verdict_of([fit.low, fit.high], narrow, smallest_change)
}

/// The same from the two intervals' ends: `whole` at the declared confidence, `narrow` the one for
/// equivalence.
pub fn verdict_of(whole: [f64; 2], narrow: [f64; 2], smallest_change: f64) -> Verdict {
    let [low, high] = whole;
    let too_little = -smallest_change < narrow[0] && narrow[1] < smallest_change;
    let (a_faster, b_faster) = (high < 0.0, low > 0.0);
    if high < -smallest_change {
        Verdict::AFasterByEnough
    } else if low > smallest_change {
        Verdict::BFasterByEnough
    } else if too_little && a_faster {
        Verdict::AFasterTooLittle
    } else if too_little && b_faster {
        Verdict::BFasterTooLittle
    } else if too_little {
        Verdict::NoDifferenceThatMatters
    } else if a_faster {
        Verdict::AFasterSizeOpen
    } else if b_faster {
        Verdict::BFasterSizeOpen
    } else {
        Verdict::Open
    }
}

/// The fit that `more` further cycles would give, were the difference what it now seems: an even
/// chance, not a promise.
///
/// `cycles`: done so far, in all sessions, at least 1; `conditions`: in each; `confidences`: of the
/// family's interval and of the one for equivalence.
/// ```text
/// se' = se sqrt(K / (K + m)),  df' = df + m (C - 1),  critical value' ~ that of t
/// ```
pub fn projected(
    fit: &PairFit,
    cycles: usize,
    more: usize,
    conditions: usize,
    confidences: [f64; 2],
) -> PairFit {
    let root = (cycles as f64 / (cycles + more) as f64).sqrt();
    let df = fit.df + (more * conditions.saturating_sub(1)) as f64;
    let shrink = |confidence: f64| {
        root * student::critical(confidence, df) / student::critical(confidence, fit.df)
    };
    let half = shrink(confidences[0]) * (fit.high - fit.low) / 2.0;
    let narrow = shrink(confidences[1]) * (fit.equivalence_high - fit.equivalence_low) / 2.0;
    PairFit {
        standard_error: root * fit.standard_error,
        df,
        low: fit.difference - half,
        high: fit.difference + half,
        equivalence_low: fit.difference - narrow,
        equivalence_high: fit.difference + narrow,
        ..*fit
    }
}

#[cfg(test)]
mod tests;
