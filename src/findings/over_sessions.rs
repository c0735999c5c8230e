//! Several sessions: does a difference hold from day to day, and is a session out of line.
//!
//! The declared comparison takes the blocks of all sessions together and speaks of these sessions.
//! Here each session is one value, so that the answer speaks of further days; and the verdict over
//! sessions allows for every look on the way, unless their number was declared beforehand.

use super::Findings;
use super::enter::Block;
use crate::analysis::always_valid::mean_so_far;
use crate::analysis::control::{Chart, individuals};
use crate::analysis::describe::{mean, sd};
use crate::analysis::model::Model;
use crate::analysis::primary::EQUIVALENCE_ALPHA;
use crate::analysis::reliability::smallest_detectable_change;
use crate::analysis::verdict::verdict_of;
use crate::analysis::{BlockRow, Interval, Verdict, student};

/// From so many sessions on the t on their differences is given: below, it is too wide to say
/// anything. Common practice, no source.
pub const LEAST_SESSIONS: usize = 4;
/// Sessions at which the always-valid interval is narrowest: about two months of weekly sessions.
const NARROWEST_AT: usize = 8;

/// What several sessions of one player say.
#[derive(Debug, Clone, PartialEq)]
pub struct OverSessions {
    /// Places of the sessions in order of time.
    pub order: Vec<usize>,
    /// Typical time of each hold in each session (in that order): mean of its blocks, ms.
    pub levels_ms: Vec<Vec<Option<f64>>>,
    /// Of each of the findings' pairs.
    pub pairs: Vec<PairOver>,
    /// How many sessions were declared before the first, if any were.
    pub declared: Option<usize>,
}

/// Of a pair; differences are a - b.
#[derive(Debug, Clone, PartialEq)]
pub struct PairOver {
    /// Each session's own difference, in order of time.
    pub differences: Vec<Option<SessionDifference>>,
    /// Their mean with its t interval, from [`LEAST_SESSIONS`] on.
    pub from_day_to_day: Option<Interval>,
    /// The mean with the interval that allows for a look after every session.
    pub always_valid: Option<Interval>,
    /// The verdict over the sessions.
    pub verdict: Verdict,
    /// By which rule.
    pub rule: SessionsRule,
    /// Individuals chart of the differences, from [`LEAST_SESSIONS`] on.
    pub chart: Option<Chart>,
    /// Standard error of measurement of one session's difference, ms: their sd.
    pub measurement_error_ms: Option<f64>,
    /// The smallest change from one session to another that is more than that error, ms.
    pub detectable_change_ms: Option<f64>,
}

/// One session's own difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SessionDifference {
    /// a - b, ms.
    pub estimate: f64,
    /// Its standard error by the session's own block model.
    pub standard_error: f64,
    /// Degrees of freedom.
    pub df: usize,
}

/// How the verdict over sessions came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SessionsRule {
    /// The declared number of sessions is there: the t on their differences.
    Declared,
    /// It is not there yet: no verdict before.
    NotYet,
    /// No number was declared, or there are more sessions: the always-valid interval.
    AlwaysValid,
}

/// What the sessions say; nothing of one session.
pub(super) fn over_sessions(findings: &Findings, declared: Option<usize>) -> Option<OverSessions> {
    let sessions = findings.sessions.len();
    if sessions < 2 {
        return None;
    }
    let mut order: Vec<usize> = (0..sessions).collect();
    order.sort_by(|&i, &j| findings.sessions[i].began.cmp(&findings.sessions[j].began));
    let mut blocks: Vec<Vec<&Block>> = vec![Vec::new(); sessions];
    for block in findings.used() {
        blocks[block.session].push(block);
    }
    let blocks: Vec<Vec<&Block>> = order.iter().map(|&i| std::mem::take(&mut blocks[i])).collect();
    let holds = findings.holds.len();
    let levels_ms = (0..holds)
        .map(|hold| {
            let level = |own: &Vec<&Block>| {
                let own = own.iter().filter(|block| block.condition == hold);
                mean(&own.filter_map(|block| block.statistic_ms).collect::<Vec<f64>>())
            };
            blocks.iter().map(level).collect()
        })
        .collect();
    let fits: Vec<_> = blocks.iter().map(|own| fitted(own, holds)).collect();
    let of_pair = |pair: &crate::analysis::Pair| {
        let own = |fit: &Option<crate::analysis::model::Fit>| {
            let fit = fit.as_ref()?;
            let contrast = fit.contrast(pair.a, pair.b)?;
            Some(SessionDifference {
                estimate: contrast.estimate,
                standard_error: contrast.standard_error,
                df: fit.df,
            })
        };
        pair_over(findings, fits.iter().map(own).collect(), declared)
    };
    let pairs = findings.pairs.iter().map(of_pair).collect();
    Some(OverSessions { order, levels_ms, pairs, declared })
}

/// The block model of one session alone.
fn fitted(blocks: &[&Block], holds: usize) -> Option<crate::analysis::model::Fit> {
    let row = |block: &&Block| {
        Some(BlockRow {
            session: 0,
            cycle: block.cycle.saturating_sub(1),
            position: block.position as f64,
            condition: block.condition,
            value: block.statistic_ms?,
        })
    };
    let rows: Vec<BlockRow> = blocks.iter().filter_map(row).collect();
    let order: Vec<u8> =
        rows.iter().map(|row| u8::try_from(row.condition).unwrap_or(u8::MAX)).collect();
    Some(Model::new(&rows, holds).ok()?.fit(&order))
}

fn pair_over(
    findings: &Findings,
    differences: Vec<Option<SessionDifference>>,
    declared: Option<usize>,
) -> PairOver {
    let rules = &findings.protocol().analysis;
    let values: Vec<f64> = differences.iter().flatten().map(|own| own.estimate).collect();
    let enough = values.len() >= LEAST_SESSIONS;
    let at = |confidence: f64| t_interval(&values, confidence);
    let always = |confidence: f64| mean_so_far(&values, NARROWEST_AT, confidence);
    let rule = match declared {
        Some(number) if values.len() < number => SessionsRule::NotYet,
        Some(number) if values.len() == number && enough => SessionsRule::Declared,
        Some(_) | None => SessionsRule::AlwaysValid,
    };
    let equivalence = 1.0 - 2.0 * EQUIVALENCE_ALPHA;
    let ends = match rule {
        SessionsRule::Declared => at(rules.confidence).zip(at(equivalence)),
        SessionsRule::AlwaysValid => always(rules.confidence).zip(always(equivalence)),
        SessionsRule::NotYet => None,
    };
    let verdict = ends.map_or(Verdict::Open, |(interval, narrow)| {
        verdict_of(
            [interval.low, interval.high],
            [narrow.low, narrow.high],
            rules.smallest_change_ms,
        )
    });
    let error = sd(&values).filter(|_| enough);
    PairOver {
        from_day_to_day: at(rules.confidence).filter(|_| enough),
        always_valid: always(rules.confidence),
        verdict,
        rule,
        chart: enough.then(|| individuals(&values)).flatten(),
        measurement_error_ms: error,
        detectable_change_ms: error.map(|sem| smallest_detectable_change(sem, rules.confidence)),
        differences,
    }
}

/// The t interval of a mean.
fn t_interval(values: &[f64], confidence: f64) -> Option<Interval> {
    let n = values.len() as f64;
    let (estimate, sd) = (mean(values)?, sd(values)?);
    let half = student::critical(confidence, n - 1.0) * sd / n.sqrt();
    Some(Interval { estimate, low: estimate - half, high: estimate + half })
}
