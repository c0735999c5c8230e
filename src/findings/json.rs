//! findings.json: the numbers for a script, in a fixed form; null where there is none.
//!
//! Names and meaning of fields stay; fields may be added. A measure that is no time has its own unit
//! in the names (`difference_px`) in the place of ms. What stands beside the declared comparison is
//! in `beside`.

mod beside;
mod by_task;

pub use beside::{
    ComponentsJson, CostJson, CrossingJson, DecileJson, ExGaussianJson, HoldBesideJson, LaterJson,
    MeasuredJson, MixedJson, OverPlayersJson, OverSessionsJson, PairBesideJson, PairOfPlayersJson,
    PairOverJson, PlayerJson, SpeedBinJson,
};
pub use by_task::{ChoiceJson, DifficultyJson, PointingJson};

use super::compare::{Bounds, Findings, Hold};
use super::explore::Change;
use super::hold_check::{Beside, HoldCheck, PairCheck, ToldBy};
use super::input::{Ended, FrameFacts};
use super::{ANALYSIS_VERSION, FORMAT, elsewhere, sentence};
use crate::analysis::hold_check::Apart;
use crate::analysis::{Interval, Pair};
use crate::protocol::{Family, Measure};
use serde::Serialize;
use std::collections::BTreeMap;

/// The whole object.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FindingsJson {
    /// Number of this form.
    pub format: u32,
    /// Number of the analysis.
    pub analysis_version: u32,
    /// Whether the presses are invented.
    pub simulated: bool,
    /// Folder names.
    pub sessions: Vec<String>,
    /// `click` or `onset`.
    pub measure: Measure,
    /// `reference` or `all`.
    pub family: Family,
    /// Of the simultaneous intervals, 0 to 1.
    pub confidence: f64,
    /// The first sentence.
    pub sentence: String,
    /// The sentences of the other pairs.
    pub further_sentences: Vec<String>,
    /// The protocol's id.
    pub protocol: String,
    /// The least difference that matters, ms.
    pub smallest_change_ms: f64,
    /// Each hold.
    pub conditions: Vec<ConditionJson>,
    /// Each comparison.
    pub pairs: Vec<PairJson>,
    /// Each comparison with everything in that has a time.
    pub pairs_without_exclusions: Vec<PairJson>,
    /// Whether the holds were held. Absent of times measured elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hold_check: Option<HoldCheckJson>,
    /// What may spoil it, in words.
    pub warnings: Vec<String>,
    /// What would settle it, in words.
    pub settle: Vec<String>,
    /// Spread of single trials by the mixed model. Absent where several sessions stand together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub components: Option<ComponentsJson>,
    /// From day to day. Absent of one session.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_sessions: Option<OverSessionsJson>,
    /// From player to player. Absent of one player.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_players: Option<OverPlayersJson>,
    /// Whether the rules are other ones than those frozen before the first block. Absent where they
    /// are not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub explored: Option<bool>,
    /// The rules that are other ones. Absent where none is known to be.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub explored_rules: Vec<Change>,
    /// Planned looks. Absent where none was planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub looks: Option<LooksJson>,
    /// Of times measured elsewhere: how the table was read. Absent of a record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<TableJson>,
}

/// Planned looks, and at which level the answer is given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LooksJson {
    /// Cycles after which the answer might be looked at, beside the last.
    pub planned: Vec<usize>,
    /// The last cycle that was run.
    pub after_cycle: usize,
    /// Whether a look ended the session.
    pub ended_at_look: bool,
    /// Confidence of the simultaneous intervals there, 0 to 1.
    pub confidence: f64,
    /// Confidence of the interval for equivalence there, 0 to 1.
    pub equivalence_confidence: f64,
}

/// How a table measured elsewhere was read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableJson {
    /// The file's name.
    pub file: String,
    /// What was taken for what, in words.
    pub taken: BTreeMap<String, String>,
    /// Frames a second, where times were seen in frames.
    pub frames_per_second: Option<f64>,
    /// Standard deviation of a single time's error from seeing whole frames only, ms.
    pub single_time_sd_ms: Option<f64>,
    /// Whether the order of the blocks is known.
    pub order_known: bool,
    /// Whether in every session each hold was one lump.
    pub one_lump: bool,
    /// What cannot be known of it, in words.
    pub not_known: Vec<String>,
}

/// Whether the holds were held.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoldCheckJson {
    /// `force`, `rating` or `nothing`.
    pub told_by: ToldBy,
    /// Each pair of holds of different declared tension.
    pub pairs: Vec<HoldPairJson>,
    /// What else the hand showed, by the hold's id.
    pub beside: BTreeMap<String, HandBesideJson>,
}

/// What else the hand showed under a hold. Small shakes and press length are those of the
/// condition's own `beside`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HandBesideJson {
    /// Rating, force, motion at rest.
    #[serde(flatten)]
    pub shown: Beside,
    /// Small shakes, rms counts: median of a block's trials, mean of the blocks.
    pub small_shakes_counts: Option<f64>,
    /// Press length of hits, median, ms.
    pub press_ms: Option<f64>,
}

/// Two holds of the check: firmer minus lighter, of 10 or share of a comfortable strong grip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoldPairJson {
    /// Id of the hold declared firmer.
    pub firmer: String,
    /// Id of the other.
    pub lighter: String,
    /// Mean over cycles.
    pub difference: Option<f64>,
    /// Lower end, 95 %.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// Whether they were held apart; null with fewer than two cycles.
    pub held: Option<bool>,
    /// Blocks that were not the firmer: session from 1, place from 1.
    pub blocks_not_apart: Vec<(usize, usize)>,
}

/// A hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ConditionJson {
    /// Its id.
    pub id: String,
    /// Main trials seen.
    pub trials: usize,
    /// Those that stay out.
    pub excluded: usize,
    /// The same by kind.
    pub excluded_by_kind: BTreeMap<&'static str, usize>,
    /// Misses among those that entered.
    pub misses: usize,
    /// Blocks that take part.
    pub blocks: usize,
    /// Mean, ms.
    pub mean_ms: Option<f64>,
    /// Median, ms.
    pub median_ms: Option<f64>,
    /// 20 % trimmed mean, ms.
    pub trimmed_mean_ms: Option<f64>,
    /// Standard deviation, ms.
    pub sd_ms: Option<f64>,
    /// Median absolute deviation, unscaled, ms.
    pub mad_ms: Option<f64>,
    /// Wrong answers and misses, 0 to 1.
    pub error_share: Option<f64>,
    /// Where some targets ask for no answer: d' (0 is chance).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub d_prime: Option<f64>,
    /// Where some targets ask for no answer: the criterion; negative presses too readily.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub criterion: Option<f64>,
    /// Change within the session, ms per 10 minutes.
    pub slope_ms_per_10min: Option<IntervalJson>,
    /// Beside the times.
    pub beside: HoldBesideJson,
}

/// An estimate and its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct IntervalJson {
    /// The estimate.
    pub estimate: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Two ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EndsJson {
    /// Lower end, ms.
    pub low: Option<f64>,
    /// Upper end, ms.
    pub high: Option<f64>,
}

/// A comparison; difference = a - b.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairJson {
    /// Id of a.
    pub a: String,
    /// Id of b.
    pub b: String,
    /// a - b, ms.
    pub difference_ms: Option<f64>,
    /// Simultaneous interval, ms.
    pub low_ms: Option<f64>,
    /// Simultaneous interval, ms.
    pub high_ms: Option<f64>,
    /// Unadjusted interval, ms.
    pub low_single_ms: Option<f64>,
    /// Unadjusted interval, ms.
    pub high_single_ms: Option<f64>,
    /// Standard error, ms.
    pub standard_error_ms: Option<f64>,
    /// Degrees of freedom.
    pub df: Option<f64>,
    /// Unadjusted p of t.
    pub p_t: Option<f64>,
    /// The same from the family.
    pub p_adjusted: Option<f64>,
    /// By re-randomisation.
    pub p_randomization: Option<f64>,
    /// The smallest that the design could give.
    pub attainable_p: Option<f64>,
    /// The interval for equivalence.
    pub equivalence: EndsJson,
    /// Chance that a is faster.
    pub chance_a_faster: Option<f64>,
    /// Chance that a is faster by more than the least difference that matters.
    pub chance_a_faster_by_enough: Option<f64>,
    /// The verdict's name.
    pub verdict: &'static str,
    /// The difference with what stays out put at 0 ms and at the response limit.
    pub left_out_at_both_ends: EndsJson,
    /// Beside the declared comparison. Absent where everything is in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside: Option<PairBesideJson>,
}

impl From<Interval> for IntervalJson {
    fn from(Interval { estimate, low, high }: Interval) -> IntervalJson {
        IntervalJson { estimate, low, high }
    }
}

impl FindingsJson {
    /// The object of these findings.
    pub fn of(findings: &Findings) -> FindingsJson {
        let protocol = findings.protocol();
        let pairs = |pairs: &[Pair]| -> Vec<PairJson> {
            pairs.iter().zip(&findings.bounds).map(|(p, b)| pair_of(findings, p, *b)).collect()
        };
        let mut declared = pairs(&findings.pairs);
        for (number, pair) in declared.iter_mut().enumerate() {
            pair.beside = Some(beside::pair(findings, number));
        }
        let doubts = sentence::doubts(findings);
        FindingsJson {
            format: FORMAT,
            analysis_version: ANALYSIS_VERSION,
            simulated: findings.simulated(),
            sessions: findings.sessions.iter().map(|session| session.name.clone()).collect(),
            measure: protocol.analysis.measure,
            family: protocol.analysis.family,
            confidence: protocol.analysis.confidence,
            sentence: sentence::headline(findings),
            further_sentences: sentence::others(findings),
            protocol: protocol.id.clone(),
            smallest_change_ms: protocol.analysis.smallest_change_ms,
            conditions: findings.holds.iter().map(|hold| condition(findings, hold)).collect(),
            pairs: declared,
            pairs_without_exclusions: pairs(&findings.pairs_everything_in),
            hold_check: findings.hold_check.as_ref().map(|check| hold_check(findings, check)),
            warnings: doubts.into_iter().map(|doubt| doubt.what).collect(),
            settle: sentence::settling(findings),
            components: beside::components(findings),
            over_sessions: findings.over_sessions.as_ref().map(|o| beside::sessions(findings, o)),
            over_players: findings.over_players.as_ref().map(|o| beside::players(findings, o)),
            explored: findings.explored.is_some().then_some(true),
            explored_rules: findings.explored.clone().unwrap_or_default(),
            looks: looks(findings),
            table: elsewhere::facts(&findings.sessions).map(|table| TableJson {
                file: table.file.clone(),
                taken: table.taken.iter().map(|n| (n.name.clone(), n.value.clone())).collect(),
                frames_per_second: table.frames.map(|FrameFacts { per_second, .. }| per_second),
                single_time_sd_ms: table.frames.map(|FrameFacts { sd_ms, .. }| sd_ms),
                order_known: !elsewhere::order_is_unknown(table),
                one_lump: table.one_lump,
                not_known: elsewhere::not_known(table),
            }),
        }
    }

    /// The file's text.
    pub fn text(&self) -> String {
        let unit = self.measure.unit();
        if unit == "ms" {
            let text = serde_json::to_string_pretty(self);
            return text.expect("text keys and finite values always serialise") + "\n";
        }
        // No name says ms where the figure is something else.
        let mut value = serde_json::to_value(self).expect("text keys always serialise");
        name_by_unit(&mut value, unit);
        let text = serde_json::to_string_pretty(&value);
        text.expect("text keys and finite values always serialise") + "\n"
    }
}

fn hold_check(findings: &Findings, check: &HoldCheck) -> HoldCheckJson {
    let id = |condition: usize| findings.holds[condition].id.clone();
    let pair = |pair: &PairCheck| {
        let apart = pair.apart.as_ref();
        let interval = apart.and_then(|apart| apart.interval);
        HoldPairJson {
            firmer: id(pair.firmer),
            lighter: id(pair.lighter),
            difference: apart.map(|apart| apart.difference),
            low: interval.map(|interval| interval.low),
            high: interval.map(|interval| interval.high),
            held: apart.and_then(Apart::held),
            blocks_not_apart: apart.map_or_else(Vec::new, |apart| {
                apart.not_apart.iter().map(|(session, place)| (session + 1, *place)).collect()
            }),
        }
    };
    HoldCheckJson {
        told_by: check.told_by,
        pairs: check.pairs.iter().map(pair).collect(),
        beside: (0..)
            .zip(&check.beside)
            .map(|(hold, shown)| {
                let cost = findings.costs.holds.get(hold);
                let of_hand = HandBesideJson {
                    shown: *shown,
                    small_shakes_counts: cost.and_then(|cost| cost.small_shakes),
                    press_ms: cost.and_then(|cost| cost.press_ms),
                };
                (id(hold), of_hand)
            })
            .collect(),
    }
}

fn looks(findings: &Findings) -> Option<LooksJson> {
    let planned = &findings.protocol().design.looks;
    let level = &findings.level;
    (!planned.is_empty()).then(|| LooksJson {
        planned: planned.clone(),
        after_cycle: level.cycle,
        ended_at_look: findings.sessions.iter().any(|session| session.ended == Ended::Settled),
        confidence: level.confidence,
        equivalence_confidence: level.equivalence_confidence,
    })
}

/// Puts the measure's unit in the place of ms in every name.
fn name_by_unit(value: &mut serde_json::Value, unit: &str) {
    use serde_json::Value::{Array, Object};
    match value {
        Object(fields) => {
            let renamed = std::mem::take(fields).into_iter().map(|(name, mut value)| {
                name_by_unit(&mut value, unit);
                let parts: Vec<&str> =
                    name.split('_').map(|part| if part == "ms" { unit } else { part }).collect();
                (parts.join("_"), value)
            });
            *fields = renamed.collect();
        }
        Array(list) => list.iter_mut().for_each(|value| name_by_unit(value, unit)),
        _ => {}
    }
}

fn condition(findings: &Findings, hold: &Hold) -> ConditionJson {
    ConditionJson {
        id: hold.id.clone(),
        trials: hold.trials,
        excluded: hold.excluded,
        excluded_by_kind: hold.left_out.iter().map(|(kind, n)| (kind.name(), *n)).collect(),
        misses: hold.misses,
        blocks: findings.used().filter(|block| block.condition == hold.condition).count(),
        mean_ms: hold.mean_ms,
        median_ms: hold.median_ms,
        trimmed_mean_ms: hold.trimmed_mean_ms,
        sd_ms: hold.sd_ms,
        mad_ms: hold.mad_ms,
        error_share: hold.error_share,
        d_prime: hold.detection.map(|detection| detection.d_prime),
        criterion: hold.detection.map(|detection| detection.criterion),
        slope_ms_per_10min: hold.trend.as_ref().map(|trend| trend.per_10min_ms.into()),
        beside: beside::hold(findings, hold.condition),
    }
}

fn pair_of(findings: &Findings, pair: &Pair, bounds: Option<Bounds>) -> PairJson {
    let fit = pair.fit.as_ref();
    PairJson {
        a: findings.holds[pair.a].id.clone(),
        b: findings.holds[pair.b].id.clone(),
        difference_ms: fit.map(|fit| fit.difference),
        low_ms: fit.map(|fit| fit.low),
        high_ms: fit.map(|fit| fit.high),
        low_single_ms: fit.map(|fit| fit.low_single),
        high_single_ms: fit.map(|fit| fit.high_single),
        standard_error_ms: fit.map(|fit| fit.standard_error),
        df: fit.map(|fit| fit.df),
        p_t: fit.map(|fit| fit.p_t),
        p_adjusted: fit.map(|fit| fit.p_adjusted),
        p_randomization: pair.p_randomization,
        attainable_p: pair.attainable_p,
        equivalence: EndsJson {
            low: fit.map(|fit| fit.equivalence_low),
            high: fit.map(|fit| fit.equivalence_high),
        },
        chance_a_faster: fit.map(|fit| fit.chance_a_faster),
        chance_a_faster_by_enough: fit.map(|fit| fit.chance_a_faster_by_enough),
        verdict: pair.verdict.name(),
        left_out_at_both_ends: EndsJson {
            low: bounds.map(|bounds| bounds.low_ms),
            high: bounds.map(|bounds| bounds.high_ms),
        },
        beside: None,
    }
}
