//! The ceilings that protect the player, while a session runs (the checker has held the plan to
//! them already; pauses and repeats can still use up the time).

use crate::protocol::{Care, Tension};
use crate::units::{Nanos, Span};

/// Under a firm hold no block lasts longer.
const FIRM_BLOCK: Span = Span::from_s(75);
/// After so many stops for discomfort the session closes for the day.
const DISCOMFORT_STOPS: u32 = 2;

/// What has been used up.
#[derive(Debug, Clone)]
pub(super) struct CareWatch {
    limits: Care,
    session_started: Option<Nanos>,
    /// Session time of earlier segments.
    elapsed_before: Span,
    firm: Span,
    discomfort_stops: u32,
}

impl CareWatch {
    /// With what earlier segments have used up.
    pub(super) fn new(limits: Care, elapsed_before: Span, firm: Span, stops: u32) -> CareWatch {
        CareWatch { limits, session_started: None, elapsed_before, firm, discomfort_stops: stops }
    }

    /// The session's clock starts with its first event.
    pub(super) fn begin(&mut self, now: Nanos) {
        self.session_started.get_or_insert(now);
    }

    /// Whether the session has lasted as long as it may.
    pub(super) fn time_is_up(&self, now: Nanos) -> bool {
        let here = self.session_started.map_or(Span::ZERO, |start| now - start);
        (self.elapsed_before + here).s() >= self.limits.longest_minutes * 60.0
    }

    /// Whether a hold may not be used any longer in this session.
    pub(super) fn firm_is_used_up(&self, tension: Tension) -> bool {
        tension == Tension::Firm && self.firm.s() >= self.limits.firm_minutes_at_most * 60.0
    }

    /// Whether a block that began at `started` has to end now.
    pub(super) fn block_is_up(&self, tension: Tension, started: Nanos, now: Nanos) -> bool {
        tension == Tension::Firm && now - started >= FIRM_BLOCK
    }

    /// Counts time spent under a hold.
    pub(super) fn held(&mut self, tension: Tension, for_span: Span) {
        if tension == Tension::Firm {
            self.firm += for_span;
        }
    }

    /// Whether a discomfort rating ends the block.
    pub(super) fn is_discomfort(&self, rating: u8) -> bool {
        rating >= self.limits.discomfort_limit
    }

    /// Counts a stop for discomfort; whether the session closes for the day.
    pub(super) fn stop_for_discomfort(&mut self) -> bool {
        self.discomfort_stops += 1;
        self.discomfort_stops >= DISCOMFORT_STOPS
    }
}
