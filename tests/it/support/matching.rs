//! Lays what a program wrote beside what the robot truly did, press by press, by their times.
//!
//! A press of one that has no partner in the other is lost or invented; nothing is paired twice.

use super::truth::Seen;

/// Two stamps of one press are nearer than this, and two presses always further apart.
const NEAR_NS: i64 = 150_000_000;

/// One attempt as a program wrote it, times on CLOCK_MONOTONIC.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Told {
    /// Onset of the stimulus.
    pub(crate) shown_ns: Option<i64>,
    /// The first count of the movement.
    pub(crate) move_ns: Option<i64>,
    /// Where the smoothed speed rose through 5 % of its peak.
    pub(crate) five_ns: Option<i64>,
    /// Where the fitted movement starts.
    pub(crate) fit_ns: Option<i64>,
    /// The press.
    pub(crate) press_ns: Option<i64>,
    /// When the wait before it began, where that was written.
    pub(crate) begun_ns: Option<i64>,
    /// Stated sd of press minus onset, ms.
    pub(crate) rt_sd_ms: Option<f64>,
    /// Stated sd of the onset's stamp, ms.
    pub(crate) shown_sd_ms: Option<f64>,
    /// The program itself warns of this trial, or does not count it.
    pub(crate) flagged: bool,
    /// It counts as an answer.
    pub(crate) counts: bool,
}

/// A press in both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Matched {
    /// What the program told minus the truth: press minus onset, ms.
    pub(crate) rt_error_ms: f64,
    /// The onset's stamp alone, ms.
    pub(crate) shown_error_ms: f64,
    /// The press's stamp alone, ms.
    pub(crate) press_error_ms: f64,
    /// The first count's stamp alone, ms, where there was a movement.
    pub(crate) move_error_ms: Option<f64>,
    /// 5 % of peak speed against the start of the movement's smooth curve, ms.
    pub(crate) five_error_ms: Option<f64>,
    /// The fitted start against the same, ms.
    pub(crate) fit_error_ms: Option<f64>,
    /// The movement has no fitted start.
    pub(crate) without_fit: bool,
    /// The stated sd, ms.
    pub(crate) rt_sd_ms: Option<f64>,
    /// The stated sd of the onset alone, ms.
    pub(crate) shown_sd_ms: Option<f64>,
    /// The program warns of it.
    pub(crate) flagged: bool,
    /// The robot knew onset and press closely.
    pub(crate) close: bool,
}

/// All presses, laid side by side.
#[derive(Debug, Default)]
pub(crate) struct Laid {
    /// Presses that count as answers, in order.
    pub(crate) answers: Vec<Matched>,
    /// Presses in both that the program does not count (void, early, interrupted).
    pub(crate) not_counted: usize,
    /// Presses that the program did not write down.
    pub(crate) lost: usize,
    /// Presses that nobody did.
    pub(crate) invented: usize,
}

/// Lays `told` beside `seen`; both in order of time.
pub(crate) fn lay(seen: &[Seen], told: &[Told]) -> Laid {
    let mut laid = Laid::default();
    let mut paired = vec![false; told.len()];
    for press in seen {
        let nearest = told
            .iter()
            .enumerate()
            .filter(|(index, _)| !paired[*index])
            .filter_map(|(index, row)| Some((index, (row.press_ns? - press.press_ns).abs())))
            .min_by_key(|(_, away_ns)| *away_ns);
        let Some((index, _)) = nearest.filter(|(_, away_ns)| *away_ns <= NEAR_NS) else {
            // A void attempt is a row of its own, but need not keep the press.
            if of_uncounted(press, told) {
                laid.not_counted += 1
            } else {
                laid.lost += 1
            }
            continue;
        };
        paired[index] = true;
        match answer(*press, &told[index]) {
            Some(matched) => laid.answers.push(matched),
            None => laid.not_counted += 1,
        }
    }
    let invented =
        told.iter().zip(&paired).filter(|(row, paired)| row.press_ns.is_some() && !**paired);
    laid.invented = invented.count();
    laid
}

fn answer(press: Seen, row: &Told) -> Option<Matched> {
    let (shown_ns, press_ns) = (row.shown_ns?, row.press_ns?);
    let told_ns = press_ns - shown_ns;
    let against_curve =
        |told: Option<i64>| told.zip(press.curve_ns).map(|(told, began)| ms(told - began));
    row.counts.then(|| Matched {
        rt_error_ms: ms(told_ns - press.rt_ns()),
        shown_error_ms: ms(shown_ns - press.onset_ns),
        press_error_ms: ms(press_ns - press.press_ns),
        move_error_ms: row.move_ns.zip(press.move_ns).map(|(told, seen)| ms(told - seen)),
        five_error_ms: against_curve(row.five_ns),
        fit_error_ms: against_curve(row.fit_ns),
        without_fit: press.curve_ns.is_some() && row.fit_ns.is_none(),
        rt_sd_ms: row.rt_sd_ms,
        shown_sd_ms: row.shown_sd_ms,
        flagged: row.flagged,
        close: press.close,
    })
}

/// Whether `press` fell into an attempt that the program wrote down but does not count.
fn of_uncounted(press: &Seen, told: &[Told]) -> bool {
    let begun = |row: &Told| row.begun_ns.is_some_and(|begun_ns| begun_ns <= press.onset_ns);
    let last = told.iter().rev().find(|row| begun(row));
    last.is_some_and(|row| !row.counts && row.flagged && row.press_ns.is_none())
}

fn ms(span_ns: i64) -> f64 {
    tautline::units::Span(span_ns).ms()
}

#[cfg(test)]
mod tests {
    use super::*;

    const MS: i64 = 1_000_000;

    fn seen(onset_ms: i64, rt_ms: i64) -> Seen {
        Seen {
            move_ns: None,
            curve_ns: None,
            onset_ns: onset_ms * MS,
            press_ns: (onset_ms + rt_ms) * MS,
            close: true,
        }
    }

    fn told(shown_ms: i64, press_ms: i64) -> Told {
        Told {
            shown_ns: Some(shown_ms * MS),
            move_ns: None,
            five_ns: None,
            fit_ns: None,
            press_ns: Some(press_ms * MS),
            begun_ns: Some((shown_ms - 500) * MS),
            rt_sd_ms: None,
            shown_sd_ms: None,
            flagged: false,
            counts: true,
        }
    }

    #[test]
    fn a_press_left_out_and_one_made_up_are_both_found() {
        let truth = [seen(1000, 200), seen(3000, 200), seen(5000, 200)];
        let laid = lay(&truth, &[told(1002, 1200), told(5001, 5203), told(8000, 8200)]);
        assert_eq!((laid.answers.len(), laid.lost, laid.invented), (2, 1, 1));
        let errors: Vec<f64> = laid.answers.iter().map(|answer| answer.rt_error_ms).collect();
        assert_eq!(errors, [-2.0, 2.0]);
    }

    #[test]
    fn a_void_attempt_without_its_press_is_not_a_lost_press() {
        let void =
            Told { shown_ns: None, press_ns: None, flagged: true, counts: false, ..told(1000, 0) };
        let laid = lay(&[seen(1000, 200)], std::slice::from_ref(&void));
        assert_eq!((laid.not_counted, laid.lost), (1, 0));
        let missed = Told { flagged: false, ..void };
        assert_eq!(lay(&[seen(1000, 200)], &[missed]).lost, 1);
    }
}
