//! When the next frame is drawn, and whether the last one was late.
//!
//! Pure: moments in, moments out. Where the vertical blank is known the frame is drawn as late as
//! its budget allows; else we keep a beat of our own, one frame a refresh, since a mode that is
//! asked to wait for the refresh need not.

use crate::units::{Nanos, Span};

/// Least time between the start of a frame and the refresh it is meant for.
const LEAST_MARGIN: Span = Span(1_000_000);
/// Most, as a share of a refresh: beyond it the frame would be older than it need be.
const MOST_MARGIN_SHARE: f64 = 0.4;
/// An interval above this many expected ones is late.
const LATE_MULTIPLE: f64 = 1.5;

/// The beat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pacing {
    /// One refresh.
    refresh: Span,
    /// Refreshes from one frame to the next.
    cadence: i64,
    /// From the start of a frame to the refresh, where stamps tell the refresh.
    margin: Option<Span>,
    /// When the last frame was due to start.
    beat: Option<Nanos>,
    /// When the last frame was seen.
    seen: Option<Nanos>,
}

/// Whether a frame came when it should.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lateness {
    /// Frames that were due since the last one and did not come.
    pub(super) missed: u16,
    /// Over 1.5 intervals after the last one.
    pub(super) late: bool,
}

impl Pacing {
    /// Our own beat: one frame each refresh.
    pub(super) fn beat(refresh: Span) -> Pacing {
        Pacing { refresh, cadence: 1, margin: None, beat: None, seen: None }
    }

    /// As late as the budget allows. `work`: the slowest frame of the trial run, start to ready;
    /// `interval`: their median distance, which declares the cadence.
    pub(super) fn by_refresh(refresh: Span, work: Span, interval: Span) -> Pacing {
        let most = Span::from_ms_f64(refresh.ms() * MOST_MARGIN_SHARE);
        let budget = Span(work.0 + work.0 / 5).max(LEAST_MARGIN);
        let margin = Span(budget.0.min(most.0));
        let refreshes = (interval.ms() / refresh.ms()).round();
        #[expect(clippy::cast_possible_truncation, reason = "clamped to 1..=4")]
        let cadence = refreshes.clamp(1.0, 4.0) as i64;
        Pacing { refresh, cadence, margin: Some(margin), beat: None, seen: None }
    }

    /// Time from one frame to the next.
    pub(super) fn interval(&self) -> Span {
        Span(self.refresh.0 * self.cadence)
    }

    /// How long before the refresh a frame is started.
    pub(super) fn margin(&self) -> Option<Span> {
        self.margin
    }

    /// Refreshes from one frame to the next.
    pub(super) fn cadence(&self) -> i64 {
        self.cadence
    }

    /// When the next frame starts, once the last one's fate is known.
    pub(super) fn next(&self, now: Nanos) -> Nanos {
        match (self.margin, self.seen, self.beat) {
            (Some(margin), Some(seen), _) => seen + self.interval() - margin,
            (_, _, Some(beat)) => beat + self.interval(),
            (_, _, None) => now,
        }
    }

    /// A frame starts. Keeps the beat, unless it is a whole interval behind: then it begins anew.
    pub(super) fn started(&mut self, now: Nanos) {
        let due = self.next(now);
        let on_beat = now - due < self.interval() && now >= due;
        self.beat = Some(if on_beat && self.margin.is_none() { due } else { now });
    }

    /// A frame was seen.
    pub(super) fn seen(&mut self, t: Nanos) -> Lateness {
        let before = self.seen.replace(t);
        let Some(before) = before else { return Lateness { missed: 0, late: false } };
        let intervals = (t - before).ms() / self.interval().ms();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a cast from float saturates"
        )]
        let missed = (intervals.round() - 1.0).max(0.0) as u16;
        Lateness { missed, late: intervals > LATE_MULTIPLE }
    }

    /// The last frame's moment is not known: the next is judged against nothing.
    pub(super) fn forget(&mut self) {
        self.seen = None;
        self.beat = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const REFRESH: Span = Span(10_000_000);

    #[test]
    fn our_own_beat_keeps_its_phase_over_late_wake_ups() {
        let mut pacing = Pacing::beat(REFRESH);
        pacing.started(Nanos(0));
        pacing.started(Nanos(10_400_000));
        assert_eq!(pacing.next(Nanos(11_000_000)), Nanos(20_000_000));
        pacing.started(Nanos(55_000_000));
        assert_eq!(pacing.next(Nanos(55_000_000)), Nanos(65_000_000));
    }

    #[test]
    fn with_the_refresh_known_a_frame_starts_a_margin_before_it() {
        let mut pacing = Pacing::by_refresh(REFRESH, Span::from_ms(2), REFRESH);
        assert_eq!(pacing.margin(), Some(Span(2_400_000)));
        pacing.started(Nanos(0));
        pacing.seen(Nanos(5_000_000));
        assert_eq!(pacing.next(Nanos(5_100_000)), Nanos(15_000_000 - 2_400_000));
        let slow = Pacing::by_refresh(REFRESH, Span::from_ms(9), REFRESH);
        assert_eq!(slow.margin(), Some(Span(4_000_000)));
    }

    #[test]
    fn a_cadence_of_two_is_declared_and_not_missed() {
        let mut pacing = Pacing::by_refresh(REFRESH, Span::from_ms(2), Span(20_100_000));
        assert_eq!(pacing.cadence(), 2);
        pacing.seen(Nanos(0));
        assert_eq!(pacing.seen(Nanos(20_000_000)), Lateness { missed: 0, late: false });
    }

    #[test]
    fn missed_frames_are_counted_and_a_forgotten_past_is_not() {
        let mut pacing = Pacing::beat(REFRESH);
        assert_eq!(pacing.seen(Nanos(0)), Lateness { missed: 0, late: false });
        assert_eq!(pacing.seen(Nanos(14_000_000)), Lateness { missed: 0, late: false });
        assert_eq!(pacing.seen(Nanos(44_000_000)), Lateness { missed: 2, late: true });
        pacing.forget();
        assert_eq!(pacing.seen(Nanos(99_000_000)), Lateness { missed: 0, late: false });
    }
}
