//! Whether the holds were really held: a force axis first, else the rating of tension; beside them
//! small shakes, motion at rest and press length, only as far as this mouse shows anything.
//!
//! It never changes a verdict: a failed check is a doubt of its own (`spoil.rs`). Only holds whose
//! tensions are declared in an order can be checked: firm above light and above shaped (a shaped hold
//! is no squeeze).

use super::input::{HandFacts, SessionData, TrialFacts};
use crate::analysis::describe;
use crate::analysis::hold_check::{Apart, Reading, apart};
use crate::protocol::{Part, Protocol, Rating, Tension};
use crate::record::Outcome;

/// Of a rating of 0 to 10: less is not firmer. Common practice, no source.
const LEAST_RATING: f64 = 1.0;
/// Of a comfortable strong grip: less is not firmer. Common practice, no source.
const LEAST_SHARE: f64 = 0.05;
/// Of the interval.
const CONFIDENCE: f64 = 0.95;

/// What tells how firmly a hold was held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ToldBy {
    /// A force axis: share of a comfortable strong grip.
    Force,
    /// The player's rating of tension, 0 to 10.
    Rating,
    /// Nothing: neither was there.
    Nothing,
}

/// The check of a session, or of several.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldCheck {
    /// What tells.
    pub told_by: ToldBy,
    /// Each pair of holds of different declared tension.
    pub pairs: Vec<PairCheck>,
    /// What else the hand showed, one a hold in the order of the protocol.
    pub beside: Vec<Beside>,
}

/// Two holds.
#[derive(Debug, Clone, PartialEq)]
pub struct PairCheck {
    /// Index of the hold declared firmer.
    pub firmer: usize,
    /// Index of the other.
    pub lighter: usize,
    /// What was found; none where no cycle has readings of both.
    pub apart: Option<Apart>,
}

/// What else the hand showed under a hold: means over blocks, blank where nothing shows it. Small
/// shakes and press length stand with the costs (`cost::HoldCost`), worked out once.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct Beside {
    /// Mean rating of tension, 0 to 10.
    pub tension_rating: Option<f64>,
    /// Mean force during the waits, share of a comfortable strong grip.
    pub force_share: Option<f64>,
    /// Counts a second during the waits.
    pub rest_motion_counts_per_s: Option<f64>,
}

/// Checks the holds of these sessions of one protocol.
pub fn hold_check(sessions: &[SessionData]) -> Option<HoldCheck> {
    let protocol = &sessions.first()?.protocol;
    let forces = readings(sessions, |session, position| {
        mean_of_hits(session, position, |hand| hand.force_share)
    });
    let ratings = readings(sessions, rating);
    let (told_by, readings, least) = if forces.iter().any(|own| !own.is_empty()) {
        (ToldBy::Force, &forces, LEAST_SHARE)
    } else if ratings.iter().any(|own| !own.is_empty()) {
        (ToldBy::Rating, &ratings, LEAST_RATING)
    } else {
        (ToldBy::Nothing, &ratings, LEAST_RATING)
    };
    let pairs = ordered(protocol)
        .into_iter()
        .map(|(firmer, lighter)| PairCheck {
            firmer,
            lighter,
            apart: apart(&readings[firmer], &readings[lighter], least, CONFIDENCE),
        })
        .collect();
    let beside = (0..protocol.conditions.len()).map(|hold| beside(sessions, hold)).collect();
    Some(HoldCheck { told_by, pairs, beside })
}

/// The pairs of holds whose tensions are declared in an order, the firmer first.
fn ordered(protocol: &Protocol) -> Vec<(usize, usize)> {
    let rank = |hold: usize| match protocol.conditions[hold].tension {
        Tension::Light | Tension::Shaped => Some(0),
        Tension::Firm => Some(1),
        Tension::Other => None,
    };
    let holds = protocol.conditions.len();
    let all = (0..holds).flat_map(|a| (a + 1..holds).map(move |b| (a, b)));
    all.filter_map(|(a, b)| match rank(a)?.cmp(&rank(b)?) {
        std::cmp::Ordering::Greater => Some((a, b)),
        std::cmp::Ordering::Less => Some((b, a)),
        std::cmp::Ordering::Equal => None,
    })
    .collect()
}

/// The readings of each hold, by index of condition.
fn readings(
    sessions: &[SessionData],
    of: impl Fn(&SessionData, usize) -> Option<f64>,
) -> Vec<Vec<Reading>> {
    let holds = sessions.first().map_or(0, |session| session.protocol.conditions.len());
    let mut all = vec![Vec::new(); holds];
    for (number, session) in sessions.iter().enumerate() {
        for block in &session.blocks {
            if let Some(value) = of(session, block.position) {
                let (cycle, position) = (block.cycle, block.position);
                all[block.condition].push(Reading { session: number, cycle, position, value });
            }
        }
    }
    all
}

fn rating(session: &SessionData, position: usize) -> Option<f64> {
    let own = session.ratings.iter();
    let mut own = own.filter(|r| r.position == position && r.item == Rating::Tension.name());
    own.next_back().map(|rating| f64::from(rating.value))
}

/// Mean over the hits of a block, of what each has.
fn mean_of_hits(
    session: &SessionData,
    position: usize,
    of: impl Fn(&HandFacts) -> Option<f64>,
) -> Option<f64> {
    let counts = |trial: &&TrialFacts| {
        trial.position == position && trial.part == Part::Main && trial.outcome == Outcome::Hit
    };
    let values: Vec<f64> =
        session.trials.iter().filter(counts).filter_map(|trial| of(&trial.hand)).collect();
    describe::mean(&values)
}

fn beside(sessions: &[SessionData], hold: usize) -> Beside {
    let over = |of: &dyn Fn(&SessionData, usize) -> Option<f64>| {
        let blocks = sessions.iter().flat_map(|session| {
            let own = session.blocks.iter().filter(|block| block.condition == hold);
            own.filter_map(|block| of(session, block.position))
        });
        describe::mean(&blocks.collect::<Vec<f64>>())
    };
    let hits = |of: fn(&HandFacts) -> Option<f64>| {
        over(&|session: &SessionData, position| mean_of_hits(session, position, of))
    };
    Beside {
        tension_rating: over(&rating),
        force_share: hits(|hand| hand.force_share),
        rest_motion_counts_per_s: hits(|hand| hand.rest_motion_counts_per_s),
    }
}
