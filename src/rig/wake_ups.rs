//! How late a sleeping thread wakes, and whether a raised priority was granted.
//!
//! [`measure`] sleeps; the rest is pure. It matters where our own clock stamps what is heard (X11's
//! raw events, the window): there a late wake-up is a late stamp. The kernel's stamps do not mind.

use super::finding::{Finding, Grade, Matters, Topic};
use crate::analysis::describe;
use crate::clock;
use crate::units::Span;
use crate::words::rig as words;
use serde::{Deserialize, Serialize};

/// Sleeps of one measurement.
pub const SLEEPS: usize = 500;
/// Length of one.
const SLEEP: Span = Span::from_ms(1);
/// Fewer are not judged.
const FEWEST: usize = 100;
/// A 99th percentile of lateness from which it is worth mending, ms. Common practice, no source.
const LATE_MS: f64 = 1.0;

/// How late a thread wakes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WakeUps {
    /// Sleeps measured.
    pub sleeps: usize,
    /// Median lateness, ms.
    pub median_ms: f64,
    /// Standard deviation, ms.
    pub sd_ms: f64,
    /// 99th percentile, ms.
    pub p99_ms: f64,
    /// The latest, ms.
    pub longest_ms: f64,
}

/// Sleeps [`SLEEPS`] times for a millisecond on the calling thread, and tells how much later than
/// asked it woke. Half a second; longer on a busy machine.
pub fn measure() -> Vec<Span> {
    (0..SLEEPS)
        .map(|_| {
            let until = clock::now() + SLEEP;
            // A bell may wake it early: it sleeps on.
            while clock::now() < until {
                clock::wait(until);
            }
            clock::now() - until
        })
        .collect()
}

/// Judges lateness; `None` where there is too little.
pub fn judge(late: &[Span]) -> Option<WakeUps> {
    if late.len() < FEWEST {
        return None;
    }
    let late: Vec<f64> = late.iter().map(|span| span.ms()).collect();
    Some(WakeUps {
        sleeps: late.len(),
        median_ms: describe::median(&late)?,
        sd_ms: describe::sd(&late)?,
        p99_ms: describe::quantile(&late, 0.99)?,
        longest_ms: late.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    })
}

/// What late wake-ups mean. `own_stamps`: our own clock stamps what is heard.
pub fn finding(judged: Option<WakeUps>, own_stamps: bool) -> Finding {
    let topic = Topic::WakeUps;
    let Some(wake) = judged else {
        return Finding::not_told(topic, words::wake_ups_untold().to_owned(), None);
    };
    let what = words::wake_ups(wake.median_ms, wake.p99_ms, wake.longest_ms);
    let matters = if own_stamps { Matters::Spread { sd_ms: wake.sd_ms } } else { Matters::No };
    if wake.p99_ms < LATE_MS {
        return Finding::good(topic, what, matters);
    }
    let grade = if own_stamps { Grade::Mend } else { Grade::Note };
    Finding { topic, grade, what, matters, mend: Some(words::wake_ups_mend().to_owned()) }
}

/// Whether a thread's priority was raised.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Raised {
    /// Yes.
    Granted,
    /// The system said no.
    Refused {
        /// As the system says it.
        why: String,
    },
    /// Not asked for.
    NotAttempted,
}

/// What it means for the thread that hears the mouse.
pub fn priority_finding(raised: &Raised, own_stamps: bool) -> Finding {
    let topic = Topic::Priority;
    match raised {
        Raised::Granted => Finding::good(topic, words::priority_granted().to_owned(), Matters::No),
        Raised::Refused { why } => Finding {
            topic,
            grade: if own_stamps { Grade::Mend } else { Grade::Note },
            what: words::priority_refused(why),
            // A thread that runs late stamps late only where the stamp is its own; else it may at
            // worst lose what the kernel's queue cannot hold, which costs a trial.
            matters: if own_stamps { Matters::Unknown } else { Matters::Trials },
            mend: Some(words::priority_mend().to_owned()),
        },
        Raised::NotAttempted => {
            Finding::not_told(topic, words::priority_not_attempted().to_owned(), None)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn late_ms(list: impl IntoIterator<Item = f64>) -> Vec<Span> {
        list.into_iter().map(Span::from_ms_f64).collect()
    }

    #[test]
    fn lateness_is_told_by_its_middle_and_its_end() {
        // 0.00, 0.01 .. 4.99 ms.
        let judged = judge(&late_ms((0..500).map(|n| f64::from(n) / 100.0))).unwrap();
        assert!((judged.median_ms - 2.495).abs() < 1e-9);
        assert!((judged.p99_ms - 4.95).abs() < 0.02, "{judged:?}");
        assert!((judged.longest_ms - 4.99).abs() < 1e-9);
        // A uniform law of width 5: 5 / sqrt(12).
        assert!((judged.sd_ms - 1.443).abs() < 0.01);
        assert_eq!(judge(&late_ms([0.1; 20])), None);
    }

    #[test]
    fn late_wake_ups_matter_only_to_our_own_stamps() {
        let judged = judge(&late_ms((0..500).map(|n| f64::from(n) / 100.0)));
        assert_eq!(finding(judged, false).matters, Matters::No);
        assert_eq!(finding(judged, true).grade, Grade::Mend);
        assert_eq!(finding(judge(&late_ms([0.06; 500])), true).grade, Grade::Good);
    }

    #[test]
    fn a_real_measurement_is_never_early() {
        let late = measure();
        assert_eq!(late.len(), SLEEPS);
        assert!(late.iter().all(|span| *span >= Span::ZERO));
    }
}
