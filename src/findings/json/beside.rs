//! The fields of findings.json beside the declared comparison: costs, time course, second opinions,
//! sessions and players.

use super::IntervalJson;
use super::by_task::{self, ChoiceJson, PointingJson};
use crate::analysis::crossing::Sure as CrossingSure;
use crate::findings::Findings;
use crate::findings::cost::{Beside, HoldCost, Sure, costs_of};
use crate::findings::over_players::OverPlayers;
use crate::findings::over_sessions::{OverSessions, SessionsRule};
use crate::findings::secondary::{HoldSecondary, LawFit};
use crate::findings::within::HoldCourse;
use serde::Serialize;
use std::collections::BTreeMap;

/// Of a hold, beside its times.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoldBesideJson {
    /// Errors, 0 to 1, Wilson's interval.
    pub errors: Option<IntervalJson>,
    /// Early presses, 0 to 1, Wilson's interval.
    pub early: Option<IntervalJson>,
    /// Slow presses among those that entered, exact interval.
    pub lapses: Option<IntervalJson>,
    /// Throughput of pointing, bits a second: mean of the blocks, or of the conditions of difficulty.
    pub throughput_bits_s: Option<f64>,
    /// Mean distance past the target's middle, px.
    pub constant_error_px: Option<f64>,
    /// Its standard deviation, px.
    pub variable_error_px: Option<f64>,
    /// From movement onset to press, median, ms.
    pub movement_ms: Option<f64>,
    /// Press length, median, ms.
    pub press_ms: Option<f64>,
    /// Small shakes, rms counts.
    pub small_shakes_counts: Option<f64>,
    /// Discomfort, mean, of 10.
    pub discomfort: Option<f64>,
    /// Ratings of its blocks in order of time.
    pub ratings: BTreeMap<&'static str, Vec<u8>>,
    /// Right answers from the fastest quarter to the slowest; empty where none was wrong.
    pub accuracy_by_speed: Vec<SpeedBinJson>,
    /// Theil and Sen's slope, ms per 10 minutes.
    pub slope_theil_sen_ms_per_10min: Option<IntervalJson>,
    /// Change of the small shakes, rms counts per 10 minutes.
    pub small_shakes_per_10min: Option<IntervalJson>,
    /// Pointing by distance and size. Absent of another task.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pointing: Option<PointingJson>,
    /// Information in the answers of a choice. Absent of another task.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub choice: Option<ChoiceJson>,
    /// The ex-Gaussian law of its times.
    pub exgaussian: Option<ExGaussianJson>,
    /// The LATER law of its times: promptness, 1/s.
    pub later: Option<LaterJson>,
}

/// Times of about one speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpeedBinJson {
    /// Mean time, ms.
    pub mean_ms: f64,
    /// Answers.
    pub answers: usize,
    /// Right ones, 0 to 1, Wilson's interval.
    pub right: IntervalJson,
}

/// An ex-Gaussian fit, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExGaussianJson {
    /// Mean of the normal part, ms.
    pub mu_ms: Option<f64>,
    /// Its sd, ms.
    pub sigma_ms: Option<f64>,
    /// Mean of the exponential part, ms.
    pub tau_ms: Option<f64>,
    /// Bootstrap intervals of the three, from ten blocks on.
    pub intervals: Option<[IntervalJson; 3]>,
    /// Why there is no fit.
    pub failed: Option<String>,
}

/// A LATER law.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LaterJson {
    /// Mean promptness, 1/s.
    pub mu_per_s: f64,
    /// Its sd, 1/s.
    pub sigma_per_s: f64,
}

/// Of a pair, beside the declared comparison; differences are a - b.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairBesideJson {
    /// p by re-randomisation against the largest t of the family.
    pub p_randomization_family: Option<f64>,
    /// What the faster hold costs.
    pub costs: Vec<CostJson>,
    /// Everything measured beside the times.
    pub measured: Vec<MeasuredJson>,
    /// Slope of a less slope of b, ms per 10 minutes.
    pub slope_difference_ms_per_10min: Option<IntervalJson>,
    /// The minute at which the holds change places.
    pub crossing_minute: Option<CrossingJson>,
    /// Hodges and Lehmann's difference within cycles, ms.
    pub hodges_lehmann_ms: Option<IntervalJson>,
    /// Mean difference within cycles over its sd.
    pub d_z: Option<IntervalJson>,
    /// The same over the mean of both holds' sds.
    pub d_av: Option<f64>,
    /// Chance that a press under a comes sooner than one under b.
    pub superiority_a: Option<f64>,
    /// Decile by decile.
    pub shift: Vec<DecileJson>,
    /// By the mixed model of single trials, ms.
    pub mixed: Option<MixedJson>,
}

/// A cost of the faster hold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CostJson {
    /// What.
    pub measured: &'static str,
    /// Of the faster hold.
    pub faster: f64,
    /// Of the slower one.
    pub slower: f64,
    /// Whether its interval leaves 0 out.
    pub sure: bool,
}

/// A measure of both holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MeasuredJson {
    /// What.
    pub measured: &'static str,
    /// Of a, mean of the blocks.
    pub a: f64,
    /// Of b, mean of the blocks.
    pub b: f64,
    /// a - b by the block model, unadjusted.
    pub difference: Option<IntervalJson>,
}

/// Where two lines cross.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CrossingJson {
    /// The minute.
    pub estimate: f64,
    /// Lower end of what is sure.
    pub low: Option<f64>,
    /// Upper end of what is sure.
    pub high: Option<f64>,
}

/// A decile of both holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DecileJson {
    /// 0.1 to 0.9.
    pub share: f64,
    /// a - b, ms.
    pub difference_ms: f64,
    /// Lower end, from ten blocks a hold on.
    pub low_ms: Option<f64>,
    /// Upper end.
    pub high_ms: Option<f64>,
}

/// A difference by the mixed model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MixedJson {
    /// a - b, ms.
    pub difference_ms: f64,
    /// Unadjusted interval.
    pub low_ms: f64,
    /// Unadjusted interval.
    pub high_ms: f64,
    /// Satterthwaite's.
    pub df: f64,
}

/// Variance components of single trials, as standard deviations.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComponentsJson {
    /// Between cycles, ms.
    pub cycle_sd_ms: Option<f64>,
    /// Between blocks of a cycle, ms.
    pub block_sd_ms: Option<f64>,
    /// Between trials of a block, ms.
    pub trial_sd_ms: Option<f64>,
    /// Why they are missing.
    pub failed: Option<String>,
}

/// From day to day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OverSessionsJson {
    /// Folder names in order of time.
    pub order: Vec<String>,
    /// How many sessions were declared beforehand.
    pub declared: Option<usize>,
    /// After how many of them a look was planned before the last.
    pub looks: Vec<usize>,
    /// Typical time of each hold in each of them, ms.
    pub levels_ms: BTreeMap<String, Vec<Option<f64>>>,
    /// Each comparison.
    pub pairs: Vec<PairOverJson>,
}

/// A comparison from day to day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairOverJson {
    /// Id of a.
    pub a: String,
    /// Id of b.
    pub b: String,
    /// a - b in each session, ms.
    pub differences_ms: Vec<Option<f64>>,
    /// Mean with the t interval of the sessions, from four on.
    pub from_day_to_day: Option<IntervalJson>,
    /// Mean with the interval that allows for a look after every session.
    pub always_valid: Option<IntervalJson>,
    /// Verdict over the sessions.
    pub verdict: &'static str,
    /// Interval that the verdict comes from, by the rule.
    pub verdict_interval_ms: Option<IntervalJson>,
    /// Its confidence.
    pub verdict_confidence: f64,
    /// `declared`, `planned_look`, `not_yet` or `always_valid`.
    pub rule: &'static str,
    /// Limits of the individuals chart.
    pub control_limits_ms: Option<IntervalJson>,
    /// Sessions outside them, from 1.
    pub outside: Vec<usize>,
    /// Standard error of measurement of a session's difference, ms.
    pub measurement_error_ms: Option<f64>,
    /// Smallest detectable change, ms.
    pub detectable_change_ms: Option<f64>,
}

/// From player to player.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OverPlayersJson {
    /// How many.
    pub players: usize,
    /// Each comparison.
    pub pairs: Vec<PairOfPlayersJson>,
}

/// A comparison from player to player.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairOfPlayersJson {
    /// Id of a.
    pub a: String,
    /// Id of b.
    pub b: String,
    /// Spread of the true differences between players, sd, ms.
    pub players_sd_ms: Option<f64>,
    /// Between days of a player.
    pub days_sd_ms: Option<f64>,
    /// Between cycles of a session.
    pub cycles_sd_ms: Option<f64>,
    /// ICC(2,1) of single sessions.
    pub icc_agreement: Option<IntervalJson>,
    /// Smallest detectable change of a player, ms.
    pub detectable_change_ms: Option<f64>,
    /// Each player, by number.
    pub each: Vec<PlayerJson>,
    /// Why it is missing.
    pub failed: Option<String>,
}

/// A player.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlayerJson {
    /// By the order of the sessions, from 1.
    pub player: usize,
    /// Mean of the player's own cycles, ms.
    pub alone_ms: f64,
    /// Drawn towards the group.
    pub drawn_in_ms: IntervalJson,
    /// Against the group.
    pub from_group_ms: IntervalJson,
    /// Whether the player differs from it.
    pub differs: bool,
}

pub(super) fn hold(findings: &Findings, number: usize) -> HoldBesideJson {
    let cost: Option<&HoldCost> = findings.costs.holds.get(number);
    let course: Option<&HoldCourse> = findings.within.holds.get(number);
    let second: Option<&HoldSecondary> = findings.secondary.holds.get(number);
    let ratings = course.map_or_else(BTreeMap::new, |course| {
        course.ratings.iter().map(|r| (r.item.name(), r.values.clone())).collect()
    });
    HoldBesideJson {
        errors: cost.and_then(|c| c.errors).map(Into::into),
        early: cost.and_then(|c| c.early).map(Into::into),
        lapses: course.and_then(|c| c.lapses).map(Into::into),
        throughput_bits_s: cost.and_then(|c| c.throughput),
        constant_error_px: cost.and_then(|c| c.constant_error_px),
        variable_error_px: cost.and_then(|c| c.variable_error_px),
        movement_ms: cost.and_then(|c| c.movement_ms),
        press_ms: cost.and_then(|c| c.press_ms),
        small_shakes_counts: cost.and_then(|c| c.small_shakes),
        discomfort: cost.and_then(|c| c.discomfort),
        ratings,
        accuracy_by_speed: cost.map_or_else(Vec::new, |c| {
            let bin = |bin: &crate::analysis::conditional::Bin| SpeedBinJson {
                mean_ms: bin.mean_time,
                answers: bin.answers,
                right: bin.share.into(),
            };
            c.by_speed.iter().map(bin).collect()
        }),
        slope_theil_sen_ms_per_10min: course.and_then(|c| c.theil_sen).map(Into::into),
        small_shakes_per_10min: course.and_then(|c| c.small_shakes).map(Into::into),
        pointing: by_task::pointing(findings, number),
        choice: by_task::choice(findings, number),
        exgaussian: second.map(|second| law(&second.exgauss)),
        later: second
            .and_then(|second| second.later)
            .map(|law| LaterJson { mu_per_s: law.mu, sigma_per_s: law.sigma }),
    }
}

fn law(fit: &Result<LawFit, String>) -> ExGaussianJson {
    let found = fit.as_ref().ok();
    ExGaussianJson {
        mu_ms: found.map(|f| f.fit.law.mu),
        sigma_ms: found.map(|f| f.fit.law.sigma),
        tau_ms: found.map(|f| f.fit.law.tau),
        intervals: found.and_then(|f| f.intervals).map(|list| list.map(Into::into)),
        failed: fit.as_ref().err().cloned(),
    }
}

pub(super) fn pair(findings: &Findings, number: usize) -> PairBesideJson {
    let second = findings.secondary.pairs.get(number);
    let course = findings.within.pairs.get(number);
    let mixed = findings.secondary.mixed.as_ref().and_then(|mixed| mixed.as_ref().ok());
    let measured = |beside: &Beside| MeasuredJson {
        measured: beside.measured.name(),
        a: beside.a,
        b: beside.b,
        difference: beside.apart.map(Into::into),
    };
    PairBesideJson {
        p_randomization_family: findings.pairs[number].p_randomization_family,
        costs: costs_of(findings, number)
            .into_iter()
            .map(|cost| CostJson {
                measured: cost.measured.name(),
                faster: cost.faster,
                slower: cost.slower,
                sure: cost.sure == Sure::Sure,
            })
            .collect(),
        measured: findings
            .costs
            .pairs
            .get(number)
            .map_or_else(Vec::new, |list| list.iter().map(measured).collect()),
        slope_difference_ms_per_10min: course.and_then(|c| c.slopes_apart).map(Into::into),
        crossing_minute: course.and_then(|c| c.lines).and_then(|lines| {
            let ends = match lines.sure {
                CrossingSure::Between { low, high } => Some((low, high)),
                CrossingSure::Outside { .. } | CrossingSure::Nothing => None,
            };
            let (low, high) = (ends.map(|e| e.0), ends.map(|e| e.1));
            Some(CrossingJson { estimate: lines.crossing?, low, high })
        }),
        hodges_lehmann_ms: second
            .and_then(|s| s.hodges_lehmann)
            .map(|location| location.interval.into()),
        d_z: second.and_then(|s| s.effects).map(|effects| effects.d_z.into()),
        d_av: second.and_then(|s| s.effects).map(|effects| effects.d_av),
        superiority_a: second.and_then(|s| s.superiority),
        shift: second.map_or_else(Vec::new, |s| {
            let decile = |decile: &crate::findings::secondary::Decile| DecileJson {
                share: decile.share,
                difference_ms: decile.difference_ms,
                low_ms: decile.interval.map(|i| i.low),
                high_ms: decile.interval.map(|i| i.high),
            };
            s.shift.iter().map(decile).collect()
        }),
        mixed: mixed.and_then(|model| model.differences.get(number)).map(|found| MixedJson {
            difference_ms: found.interval.estimate,
            low_ms: found.interval.low,
            high_ms: found.interval.high,
            df: found.df,
        }),
    }
}

pub(super) fn components(findings: &Findings) -> Option<ComponentsJson> {
    let mixed = findings.secondary.mixed.as_ref()?;
    let found = mixed.as_ref().ok();
    Some(ComponentsJson {
        cycle_sd_ms: found.map(|m| m.cycle_sd_ms),
        block_sd_ms: found.map(|m| m.block_sd_ms),
        trial_sd_ms: found.map(|m| m.trial_sd_ms),
        failed: mixed.as_ref().err().cloned(),
    })
}

pub(super) fn sessions(findings: &Findings, over: &OverSessions) -> OverSessionsJson {
    let id = |hold: usize| findings.holds[hold].id.clone();
    let pairs = findings.pairs.iter().zip(&over.pairs);
    OverSessionsJson {
        order: over.order.iter().map(|&i| findings.sessions[i].name.clone()).collect(),
        declared: over.plan.sessions(),
        looks: over.plan.looks().to_vec(),
        levels_ms: (0..findings.holds.len()).map(|h| (id(h), over.levels_ms[h].clone())).collect(),
        pairs: pairs
            .map(|(pair, over)| PairOverJson {
                a: id(pair.a),
                b: id(pair.b),
                differences_ms: over.differences.iter().map(|d| d.map(|d| d.estimate)).collect(),
                from_day_to_day: over.from_day_to_day.map(Into::into),
                always_valid: over.always_valid.map(Into::into),
                verdict: over.verdict.name(),
                verdict_interval_ms: over.verdict_interval.map(Into::into),
                verdict_confidence: over.verdict_confidence,
                rule: match over.rule {
                    SessionsRule::Declared => "declared",
                    SessionsRule::PlannedLook => "planned_look",
                    SessionsRule::NotYet => "not_yet",
                    SessionsRule::AlwaysValid => "always_valid",
                },
                control_limits_ms: over.chart.as_ref().map(|chart| IntervalJson {
                    estimate: chart.centre,
                    low: chart.low,
                    high: chart.high,
                }),
                outside: over
                    .chart
                    .as_ref()
                    .map_or_else(Vec::new, |chart| chart.outside.iter().map(|i| i + 1).collect()),
                measurement_error_ms: over.measurement_error_ms,
                detectable_change_ms: over.detectable_change_ms,
            })
            .collect(),
    }
}

pub(super) fn players(findings: &Findings, over: &OverPlayers) -> OverPlayersJson {
    let id = |hold: usize| findings.holds[hold].id.clone();
    let pairs = findings.pairs.iter().zip(&over.pairs);
    let of_pair = |(pair, found): (&crate::analysis::Pair, &Result<_, String>)| {
        let told: Option<&crate::findings::over_players::PairOfPlayers> = found.as_ref().ok();
        let each = told.map_or(&[][..], |told| &told.each);
        PairOfPlayersJson {
            a: id(pair.a),
            b: id(pair.b),
            players_sd_ms: told.map(|t| t.players_sd_ms),
            days_sd_ms: told.and_then(|t| t.days_sd_ms),
            cycles_sd_ms: told.map(|t| t.cycles_sd_ms),
            icc_agreement: told.and_then(|t| t.reliability).map(|r| r.icc.into()),
            detectable_change_ms: told.and_then(|t| t.reliability).map(|r| r.detectable_change_ms),
            each: (1..)
                .zip(each)
                .map(|(player, found)| PlayerJson {
                    player,
                    alone_ms: found.alone_ms,
                    drawn_in_ms: found.drawn_in.into(),
                    from_group_ms: found.from_group.into(),
                    differs: found.differs(),
                })
                .collect(),
            failed: found.as_ref().err().cloned(),
        }
    };
    OverPlayersJson { players: over.players, pairs: pairs.map(of_pair).collect() }
}
