//! findings.json: the numbers for a script, in a fixed form; null where there is none.
//!
//! Names and meaning of fields stay; fields may be added. A measure that is no time has its own unit
//! in the names (`difference_px`) in the place of ms.

use super::compare::{Bounds, Findings, Hold};
use super::input::FrameFacts;
use super::{ANALYSIS_VERSION, FORMAT, elsewhere, sentence};
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
    /// What may spoil it, in words.
    pub warnings: Vec<String>,
    /// What would settle it, in words.
    pub settle: Vec<String>,
    /// Of times measured elsewhere: how the table was read. Absent of a record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<TableJson>,
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
}

impl FindingsJson {
    /// The object of these findings.
    pub fn of(findings: &Findings) -> FindingsJson {
        let protocol = findings.protocol();
        let pairs = |pairs: &[Pair]| -> Vec<PairJson> {
            pairs.iter().zip(&findings.bounds).map(|(p, b)| pair_of(findings, p, *b)).collect()
        };
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
            pairs: pairs(&findings.pairs),
            pairs_without_exclusions: pairs(&findings.pairs_everything_in),
            warnings: doubts.into_iter().map(|doubt| doubt.what).collect(),
            settle: sentence::settling(findings),
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
        slope_ms_per_10min: hold.trend.as_ref().map(|trend| {
            let Interval { estimate, low, high } = trend.per_10min_ms;
            IntervalJson { estimate, low, high }
        }),
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
    }
}
