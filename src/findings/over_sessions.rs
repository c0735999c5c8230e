//! Several sessions: does a difference hold from day to day, and is a session out of line.
//!
//! The declared comparison takes the blocks of all sessions together and speaks of these sessions.
//! Here each session is one value, so that the answer speaks of further days; and the verdict over
//! sessions allows for every look on the way, unless their number, or the looks, were declared beforehand.

use super::enter::Block;
use super::{Findings, FindingsError};
use crate::analysis::always_valid::mean_so_far;
use crate::analysis::control::{Chart, individuals};
use crate::analysis::describe::{mean, sd};
use crate::analysis::looks::{LooksError, Spending, nominal};
use crate::analysis::model::Model;
use crate::analysis::primary::EQUIVALENCE_ALPHA;
use crate::analysis::reliability::smallest_detectable_change;
use crate::analysis::verdict::verdict_of;
use crate::analysis::{BlockRow, Interval, Verdict, student};

/// From so many sessions on the t on their differences is given: below, it is too wide to say
/// anything. Common practice, no source.
pub const LEAST_SESSIONS: usize = 4;
/// The first look over sessions: with fewer, the t of a look is too rough to be trusted, as within a session
/// below four degrees of freedom.
pub const EARLIEST_LOOK: usize = 5;
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
    /// What was declared before the first.
    pub plan: SessionPlan,
}

/// What was declared before the first session.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SessionPlan {
    sessions: Option<usize>,
    looks: Vec<usize>,
}

impl SessionPlan {
    /// So many sessions, if any number was declared, and looks after these of them before the last.
    ///
    /// # Errors
    /// [`FindingsError::SessionLooks`] where the looks do not rise, come before [`EARLIEST_LOOK`], or
    /// where not more sessions were declared than the last of them.
    pub fn new(sessions: Option<usize>, looks: Vec<usize>) -> Result<SessionPlan, FindingsError> {
        let rises = looks.windows(2).all(|pair| pair[0] < pair[1]);
        let early = looks.first().is_some_and(|first| *first < EARLIEST_LOOK);
        let late = looks.last().is_some_and(|last| sessions.is_none_or(|all| *last >= all));
        if !rises || early || late {
            return Err(FindingsError::SessionLooks { looks, sessions });
        }
        Ok(SessionPlan { sessions, looks })
    }

    /// How many sessions were declared, if any were.
    pub fn sessions(&self) -> Option<usize> {
        self.sessions
    }

    /// After which of them a look was planned before the last.
    pub fn looks(&self) -> &[usize] {
        &self.looks
    }

    fn rule(&self, done: usize) -> SessionsRule {
        let Some(all) = self.sessions else { return SessionsRule::AlwaysValid };
        if done > all || (done == all && done < LEAST_SESSIONS) {
            SessionsRule::AlwaysValid
        } else if self.looks.contains(&done) || (done == all && !self.looks.is_empty()) {
            SessionsRule::PlannedLook
        } else if done == all {
            SessionsRule::Declared
        } else {
            SessionsRule::NotYet
        }
    }

    /// Confidences at a look after `done` sessions, in place of the declared ones: the level that the
    /// looks up to there leave, in the manner of O'Brien and Fleming.
    fn at_look(&self, done: usize, declared: [f64; 2]) -> Result<[f64; 2], LooksError> {
        let all = self.sessions.unwrap_or(done) as f64;
        let before = self.looks.iter().copied().filter(|look| *look < done);
        let information: Vec<f64> = before.chain([done]).map(|n| n as f64 / all).collect();
        let [whole, narrow] =
            declared.map(|confidence| nominal(&information, 1.0 - confidence, Spending::Late));
        Ok([1.0 - whole?, 1.0 - narrow?])
    }
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
    /// The interval that the verdict comes from, by the rule below.
    pub verdict_interval: Option<Interval>,
    /// Its confidence.
    pub verdict_confidence: f64,
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
    /// A look was planned here, or looks were planned and this is the last session: the same t at the level of
    /// the look.
    PlannedLook,
    /// Neither is there yet: no verdict before.
    NotYet,
    /// No number was declared, or there are more sessions: the always-valid interval.
    AlwaysValid,
}

/// What the sessions say; nothing of one session.
pub(super) fn over_sessions(
    findings: &Findings,
    plan: SessionPlan,
) -> Result<Option<OverSessions>, FindingsError> {
    let sessions = findings.sessions.len();
    if sessions < 2 {
        return Ok(None);
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
        pair_over(findings, fits.iter().map(own).collect(), &plan)
    };
    let pairs =
        findings.pairs.iter().map(of_pair).collect::<Result<Vec<PairOver>, LooksError>>()?;
    Ok(Some(OverSessions { order, levels_ms, pairs, plan }))
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
    plan: &SessionPlan,
) -> Result<PairOver, LooksError> {
    let rules = &findings.protocol().analysis;
    let values: Vec<f64> = differences.iter().flatten().map(|own| own.estimate).collect();
    let enough = values.len() >= LEAST_SESSIONS;
    let at = |confidence: f64| t_interval(&values, confidence);
    let always = |confidence: f64| mean_so_far(&values, NARROWEST_AT, confidence);
    let rule = plan.rule(values.len());
    let [whole, narrow] = match rule {
        SessionsRule::PlannedLook => {
            plan.at_look(values.len(), [rules.confidence, 1.0 - 2.0 * EQUIVALENCE_ALPHA])?
        }
        SessionsRule::Declared | SessionsRule::AlwaysValid | SessionsRule::NotYet => {
            [rules.confidence, 1.0 - 2.0 * EQUIVALENCE_ALPHA]
        }
    };
    let ends = match rule {
        SessionsRule::Declared | SessionsRule::PlannedLook => at(whole).zip(at(narrow)),
        SessionsRule::AlwaysValid => always(whole).zip(always(narrow)),
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
    Ok(PairOver {
        from_day_to_day: at(rules.confidence).filter(|_| enough),
        verdict_interval: ends.map(|(whole, _)| whole),
        verdict_confidence: whole,
        always_valid: always(rules.confidence),
        verdict,
        rule,
        chart: enough.then(|| individuals(&values)).flatten(),
        measurement_error_ms: error,
        detectable_change_ms: error.map(|sem| smallest_detectable_change(sem, rules.confidence)),
        differences,
    })
}

/// The t interval of a mean.
fn t_interval(values: &[f64], confidence: f64) -> Option<Interval> {
    let n = values.len() as f64;
    let (estimate, sd) = (mean(values)?, sd(values)?);
    let half = student::critical(confidence, n - 1.0) * sd / n.sqrt();
    Some(Interval { estimate, low: estimate - half, high: estimate + half })
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha12Rng;
    use rand_distr::{Distribution, StandardNormal};

    #[test]
    fn what_is_no_plan() {
        let plan = |sessions, looks: &[usize]| SessionPlan::new(sessions, looks.to_vec());
        for looks in [&[4, 6][..], &[6, 5], &[6, 6], &[5, 8], &[9]] {
            assert!(plan(Some(8), looks).is_err(), "{looks:?}");
        }
        assert!(plan(None, &[5]).is_err());
        let rules = plan(Some(8), &[5, 6]).expect("a plan");
        assert_eq!(
            [3, 5, 6, 7, 8, 9].map(|done| rules.rule(done)),
            [
                SessionsRule::NotYet,
                SessionsRule::PlannedLook,
                SessionsRule::PlannedLook,
                SessionsRule::NotYet,
                SessionsRule::PlannedLook,
                SessionsRule::AlwaysValid
            ]
        );
    }

    /// Whoever stops at the first look that tells a difference errs in at most 5 of 100 runs; the bar is 3.3
    /// standard errors above, as everywhere here. The same looks at 95 % each err more often.
    #[test]
    fn all_looks_over_sessions_err_no_more_often_than_one() {
        let plan = SessionPlan::new(Some(10), vec![5, 7, 9]).expect("a plan");
        let looks = [5, 7, 9, 10];
        let levels = looks.map(|n| plan.at_look(n, [0.95, 0.9]).expect("a level")[0]);
        let mut words = ChaCha12Rng::seed_from_u64(10);
        let runs = 4000;
        let (mut planned, mut plain) = (0_u32, 0_u32);
        for _ in 0..runs {
            let values: Vec<f64> = (0..10).map(|_| StandardNormal.sample(&mut words)).collect();
            let apart = |n: usize, confidence: f64| {
                t_interval(&values[..n], confidence).is_some_and(|i| i.low > 0.0 || i.high < 0.0)
            };
            planned += u32::from(looks.iter().zip(levels).any(|(&n, level)| apart(n, level)));
            plain += u32::from(looks.iter().any(|&n| apart(n, 0.95)));
        }
        let runs = f64::from(runs);
        let bar = 0.05 + 3.3 * (0.05 * 0.95 / runs).sqrt();
        let (planned, plain) = (f64::from(planned) / runs, f64::from(plain) / runs);
        assert!(planned <= bar && plain > 0.08, "{planned} {plain}");
    }
}
