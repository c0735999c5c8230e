//! Whether the clock in use still tells the truth in the middle of a session.
//!
//! Pure: what it told of each frame in, whether that is believed out. A stamp that cannot be true
//! is not believed, and its frame counts as one that nobody can tell of; a clock that does so again
//! at once, or that falls silent, is believed no more, and the next takes over. Thresholds are
//! common practice of our own, no source.

use super::refusal::Refusal;
use crate::units::{Nanos, Span};

/// So many frames in a row without an answer are the end of it.
const SILENT_AFTER: u32 = 2;
/// So many in a row that cannot be true are. One stamp that is off makes the next look off too.
const WRONG_AFTER: u32 = 3;
/// So many frames in a row that were told of more than once are.
const TWICE_AFTER: u32 = 8;
/// A stamp of a moment to come is believed for so many refreshes: a compositor's is added.
const REFRESHES_AHEAD: i64 = 2;
/// A clock of vertical blanks is off them beyond this share of a refresh...
const OFF_SHARE: f64 = 0.25;
/// ... and beyond this many of its own sd.
const OFF_SDS: f64 = 4.0;
/// Over more refreshes than this the lattice is not carried on.
const LATTICE_REFRESHES: f64 = 4.0;

/// One frame as the clock told it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Told {
    /// Before the present call.
    pub(super) submit: Nanos,
    /// When the clock says it was seen, and its sd.
    pub(super) stamp: Nanos,
    /// The sd stated.
    pub(super) sd: Span,
    /// Now.
    pub(super) now: Nanos,
    /// Events since the last frame that none asked for.
    pub(super) extras: u32,
}

/// What follows from it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Trust {
    /// The stamp stands.
    Believed,
    /// The stamp does not.
    Doubted,
    /// The clock is believed no more; whether this stamp stands.
    Lost {
        /// Why.
        why: Refusal,
        /// This frame's stamp is sound all the same.
        stamp_stands: bool,
    },
}

/// Watches one clock.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Watch {
    refresh: Span,
    /// Its stamps are whole refreshes apart.
    lattice: bool,
    before: Option<Nanos>,
    unanswered: u32,
    wrong: u32,
    twice: u32,
    extras: u32,
}

impl Watch {
    /// A watch of a clock that was believed. `lattice`: its stamps were seen to be whole
    /// refreshes apart.
    pub(super) fn new(refresh: Span, lattice: bool) -> Watch {
        Watch { refresh, lattice, before: None, unanswered: 0, wrong: 0, twice: 0, extras: 0 }
    }

    /// The surface is new, or a frame is missing: the next stamp is judged against nothing.
    pub(super) fn forget(&mut self) {
        self.before = None;
    }

    /// A frame was not told of in time.
    pub(super) fn unanswered(&mut self) -> Option<Refusal> {
        self.forget();
        self.unanswered += 1;
        (self.unanswered >= SILENT_AFTER).then_some(Refusal::FellSilent)
    }

    /// A frame was told of as never shown.
    pub(super) fn not_shown(&mut self) {
        self.forget();
        self.unanswered = 0;
    }

    /// A frame was told of.
    pub(super) fn told(&mut self, told: &Told) -> Trust {
        self.unanswered = 0;
        if let Some(why) = self.contradiction(told) {
            if matches!(why, Refusal::OffLattice { .. }) {
                self.before = Some(told.stamp);
            }
            self.wrong += 1;
            return if self.wrong >= WRONG_AFTER {
                Trust::Lost { why, stamp_stands: false }
            } else {
                Trust::Doubted
            };
        }
        self.wrong = 0;
        self.before = Some(told.stamp);
        self.twice = if told.extras > 0 { self.twice + 1 } else { 0 };
        self.extras = if told.extras > 0 { self.extras + told.extras } else { 0 };
        if self.twice >= TWICE_AFTER {
            let why = Refusal::Extras { extras: self.extras, frames: self.twice as usize };
            return Trust::Lost { why, stamp_stands: true };
        }
        Trust::Believed
    }

    fn contradiction(&self, told: &Told) -> Option<Refusal> {
        let frames = self.wrong as usize + 1;
        if told.stamp < told.submit {
            return Some(Refusal::BeforeSubmit { frames });
        }
        if told.stamp - told.now > Span(self.refresh.0 * REFRESHES_AHEAD) {
            return Some(Refusal::Ahead { ahead_ms: (told.stamp - told.now).ms() });
        }
        let apart = told.stamp - self.before?;
        if apart <= Span::ZERO {
            return Some(Refusal::OutOfOrder { back_ms: -apart.ms() });
        }
        let refreshes = apart.ms() / self.refresh.ms();
        if !self.lattice || refreshes > LATTICE_REFRESHES {
            return None;
        }
        let off_ms = (refreshes - refreshes.round()).abs() * self.refresh.ms();
        let allowed_ms = (OFF_SHARE * self.refresh.ms()).max(OFF_SDS * told.sd.ms());
        // Less than half a refresh after the last one is on no lattice either.
        let off_ms = if refreshes < 0.5 { apart.ms() } else { off_ms };
        (off_ms > allowed_ms).then_some(Refusal::OffLattice { residual_sd_ms: off_ms, allowed_ms })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const REFRESH: Span = Span(10_000_000);

    /// A frame handed over at 100 ms x `n`, seen `after_ms` later and told of at once.
    fn frame(n: i64, after_ms: f64) -> Told {
        let submit = Nanos(n * REFRESH.0 + 100_000_000);
        let stamp = submit + Span::from_ms_f64(after_ms);
        let now = stamp.max(submit) + Span(50_000);
        Told { submit, stamp, sd: Span(50_000), now, extras: 0 }
    }

    fn lost(trust: &Trust) -> Option<&Refusal> {
        match trust {
            Trust::Lost { why, .. } => Some(why),
            Trust::Believed | Trust::Doubted => None,
        }
    }

    #[test]
    fn a_true_clock_is_believed_with_missed_refreshes_and_long_pauses() {
        let mut watch = Watch::new(REFRESH, true);
        for n in [0, 1, 2, 4, 5, 9, 700, 701] {
            assert_eq!(watch.told(&frame(n, 7.0)), Trust::Believed, "{n}");
        }
    }

    #[test]
    fn the_second_silence_in_a_row_is_the_end_and_an_answer_between_is_not() {
        let mut watch = Watch::new(REFRESH, true);
        assert_eq!(watch.unanswered(), None);
        assert_eq!(watch.told(&frame(1, 7.0)), Trust::Believed);
        assert_eq!(watch.unanswered(), None);
        assert_eq!(watch.unanswered(), Some(Refusal::FellSilent));
    }

    #[test]
    fn stamps_before_their_submit_are_doubted_and_the_third_in_a_row_is_the_end() {
        let mut watch = Watch::new(REFRESH, false);
        assert_eq!(watch.told(&frame(0, 3.0)), Trust::Believed);
        for n in [1, 2, 4, 5] {
            assert_eq!(watch.told(&frame(n, -0.1)), Trust::Doubted, "{n}");
            if n == 2 {
                assert_eq!(watch.told(&frame(3, 3.0)), Trust::Believed);
            }
        }
        let trust = watch.told(&frame(6, -0.1));
        assert_eq!(lost(&trust), Some(&Refusal::BeforeSubmit { frames: 3 }));
    }

    #[test]
    fn time_does_not_run_backwards_nor_far_ahead() {
        let mut watch = Watch::new(REFRESH, false);
        assert_eq!(watch.told(&frame(3, 35.0)), Trust::Believed);
        assert_eq!(watch.told(&frame(4, 5.0)), Trust::Doubted);
        let ahead = |n| Told { now: frame(n, 0.0).submit, ..frame(n, 25.0) };
        assert_eq!(watch.told(&ahead(5)), Trust::Doubted);
        let trust = watch.told(&ahead(6));
        assert!(matches!(lost(&trust), Some(Refusal::Ahead { .. })), "{trust:?}");
        // A compositor's refresh is added to a stamp that has just come.
        let composed = Told { now: frame(9, 0.0).submit, ..frame(9, 15.0) };
        assert_eq!(Watch::new(REFRESH, false).told(&composed), Trust::Believed);
    }

    /// A clock whose every stamp wanders by 4 ms from one frame to the next.
    fn wandering(lattice: bool, sd: Span) -> Vec<Trust> {
        let mut watch = Watch::new(REFRESH, lattice);
        let after_ms = |n: i64| if n % 2 == 0 { 3.0 } else { 7.0 };
        (0..4).map(|n| watch.told(&Told { sd, ..frame(n, after_ms(n)) })).collect()
    }

    #[test]
    fn a_clock_of_blanks_that_leaves_them_is_lost_and_one_of_copies_is_not() {
        let trust = wandering(true, Span(50_000));
        assert_eq!(trust[..3], [Trust::Believed, Trust::Doubted, Trust::Doubted]);
        assert!(matches!(lost(&trust[3]), Some(Refusal::OffLattice { .. })), "{trust:?}");
        assert_eq!(wandering(false, Span(50_000)), [const { Trust::Believed }; 4]);
        // A stated sd of a third of a refresh allows it.
        assert_eq!(wandering(true, Span(3_000_000)), [const { Trust::Believed }; 4]);
    }

    #[test]
    fn one_stamp_off_the_lattice_costs_two_frames_and_not_the_clock() {
        let mut watch = Watch::new(REFRESH, true);
        let trust: Vec<Trust> = [(0, 3.0), (1, 3.0), (2, 7.0), (3, 3.0), (4, 3.0), (5, 3.0)]
            .map(|(n, after_ms)| watch.told(&frame(n, after_ms)))
            .to_vec();
        let doubted: Vec<usize> = (0..6).filter(|&n| trust[n] == Trust::Doubted).collect();
        assert_eq!(doubted, [2, 3]);
        assert!(trust.iter().all(|trust| lost(trust).is_none()), "{trust:?}");
    }

    #[test]
    fn frames_told_of_twice_again_and_again_are_the_end_though_their_stamps_stand() {
        let mut watch = Watch::new(REFRESH, false);
        let twice = |n| Told { extras: 1, ..frame(n, 3.0) };
        for n in 0..7 {
            assert_eq!(watch.told(&twice(n)), Trust::Believed, "{n}");
        }
        assert_eq!(watch.told(&frame(7, 3.0)), Trust::Believed);
        for n in 8..15 {
            assert_eq!(watch.told(&twice(n)), Trust::Believed, "{n}");
        }
        let why = Refusal::Extras { extras: 8, frames: 8 };
        assert_eq!(watch.told(&twice(15)), Trust::Lost { why, stamp_stands: true });
    }
}
