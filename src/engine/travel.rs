//! An answer by movement: when the hand has gone far enough, which way, and what its start makes
//! of the trial.
//!
//! The moment at which the set way is done only says that there is an answer. Its time is that of
//! the movement's start, which is worked out once the movement has gone on a little; an answer
//! that began too early or too late is judged by that.

use super::trial::{Flag, Outcome};
use crate::protocol::{OnsetRule, Protocol};
use crate::scene::Place;
use crate::units::{DeviceId, Nanos, Span, Stamp};

/// A silence longer than this parts two movements: common practice, no source.
const SILENCE: Span = Span::from_ms(100);
/// How long the movement is followed after the way is done, so that its peak speed is seen. Long
/// enough for movements of 400 ms, short enough to end before the hand comes back: common
/// practice, no source.
pub(super) const FOLLOWED_FOR: Span = Span::from_ms(200);
/// The hand must have kept still for this long before the next wait begins.
pub(super) const STILL_FOR: Span = Span::from_ms(400);
/// A hand that never keeps still holds the next trial back this long at most.
pub(super) const RESTLESS_AT_MOST: Span = Span::from_ms(5_000);

/// A movement that went far enough.
#[derive(Debug, Clone, Copy)]
pub(super) struct Travelled {
    /// The report that completed the way.
    pub(super) stamp: Stamp,
    pub(super) device: DeviceId,
    /// From where the movement began, counts.
    pub(super) way: Place,
}

/// The movement under way.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Travel {
    last: Option<Nanos>,
    way: Place,
}

impl Travel {
    /// Takes one report; gives the way so far once it is `far` long.
    pub(super) fn take(&mut self, step: Place, t: Nanos, far: f64) -> Option<Place> {
        if self.last.is_none_or(|last| t - last > SILENCE) {
            self.way = Place::default();
        }
        self.last = Some(t);
        self.way.x_px += step.x_px;
        self.way.y_px += step.y_px;
        (libm::hypot(self.way.x_px, self.way.y_px) >= far).then_some(self.way)
    }
}

/// What an answer by movement is, by the time of its start.
///
/// `begun`: the start by the protocol's definition, from the onset, or what is nearest to it.
pub(super) fn judged_by_start(
    outcome: Outcome,
    begun: Span,
    protocol: &Protocol,
) -> (Outcome, Option<Flag>) {
    if !matches!(outcome, Outcome::Hit | Outcome::Wrong) {
        return (outcome, None);
    }
    let rules = &protocol.analysis;
    if begun < Span::from_ms_f64(rules.anticipation_ms) {
        return (Outcome::Anticipation, None);
    }
    if begun > Span::from_ms_f64(protocol.respond_within_ms) {
        return (Outcome::Miss, None);
    }
    let slow = outcome == Outcome::Hit && begun > Span::from_ms_f64(rules.lapse_ms);
    (outcome, slow.then_some(Flag::Lapse))
}

/// The start by the protocol's definition; else the first count's; else the end of the way.
pub(super) fn begun(
    rule: OnsetRule,
    first: Option<Span>,
    five_percent: Option<Span>,
    fit: Option<Span>,
    way_done: Span,
) -> Span {
    let chosen = match rule {
        OnsetRule::First => first,
        OnsetRule::FivePercent => five_percent,
        OnsetRule::Fit => fit,
    };
    chosen.or(first).unwrap_or(way_done)
}
