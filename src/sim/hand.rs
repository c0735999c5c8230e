//! A simulated hand: a minimum-jerk movement in whole counts at a report rate.
//!
//! # Source
//! Flash & Hogan (1985), J. Neuroscience 5:1688: x(s) = 10 s³ - 15 s⁴ + 6 s⁵ for s from 0 to 1
//! (peak speed 1.875 x mean).

use crate::units::{Nanos, Span};

/// One report of the mouse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Report {
    /// When.
    pub t: Nanos,
    /// Counts rightwards.
    pub dx: i32,
    /// Counts downwards.
    pub dy: i32,
}

/// Share of a minimum-jerk movement done at share `s` of its time; both 0 to 1.
pub(super) fn minimum_jerk(s: f64) -> f64 {
    let s = s.clamp(0.0, 1.0);
    s * s * s * (10.0 - 15.0 * s + 6.0 * s * s)
}

/// The reports of a straight movement of (`dx`, `dy`) counts that starts at `from` and lasts
/// `lasting`, at one report each `interval`. Reports without a whole count are not sent; the counts
/// add up exactly.
pub(super) fn reports(from: Nanos, lasting: Span, interval: Span, dx: i32, dy: i32) -> Vec<Report> {
    assert!(interval > Span::ZERO, "a mouse reports at some rate");
    let (mut sent_x, mut sent_y) = (0, 0);
    let mut list = Vec::new();
    let mut t = from;
    loop {
        t += interval;
        let share = minimum_jerk((t - from).s() / lasting.s().max(1e-9));
        let (x, y) = (whole(f64::from(dx) * share), whole(f64::from(dy) * share));
        if (x, y) != (sent_x, sent_y) {
            list.push(Report { t, dx: x - sent_x, dy: y - sent_y });
            (sent_x, sent_y) = (x, y);
        }
        if t - from >= lasting {
            return list;
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "within the i32 that it is a share of")]
fn whole(counts: f64) -> i32 {
    counts.round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_add_up_and_the_peak_is_at_the_middle() {
        let list = reports(Nanos(0), Span::from_ms(200), Span::from_ms(1), 600, -150);
        assert_eq!(list.iter().map(|r| r.dx).sum::<i32>(), 600);
        assert_eq!(list.iter().map(|r| r.dy).sum::<i32>(), -150);
        let peak = list.iter().map(|r| r.dx).max().unwrap();
        // 1.875 x mean speed of 3 counts a report is 5.6.
        assert!((5..=6).contains(&peak), "{peak}");
        assert!((minimum_jerk(0.5) - 0.5).abs() < 1e-12);
    }
}
