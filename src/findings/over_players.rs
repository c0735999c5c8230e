//! Several players who agreed to be compared: the group's difference, and who differs from it.
//!
//! Each cycle gives one difference of two holds, free of the player's, the day's and the cycle's
//! own level; a mixed model divides their spread among players, days and cycles. Players appear by
//! number, in the order of their sessions, never by id.

use super::compare::Table;
use super::{Findings, FindingsError};
use crate::analysis::mixed::{self, Likelihood, Mixed, Term};
use crate::analysis::primary::{EQUIVALENCE_ALPHA, LEAST_DF, pairs_of};
use crate::analysis::reliability::{Form, mean_squares, smallest_detectable_change};
use crate::analysis::verdict::verdict;
use crate::analysis::{self, BlockRow, Interval, Pair, PairFit, student};
use crate::protocol::Family;
use std::collections::BTreeMap;

/// What several players say.
#[derive(Debug, Clone, PartialEq)]
pub struct OverPlayers {
    /// How many.
    pub players: usize,
    /// Sessions of each, by the player's number.
    pub sessions: Vec<usize>,
    /// Of each of the findings' pairs; with why it is missing, if so.
    pub pairs: Vec<Result<PairOfPlayers, String>>,
}

/// Of a pair; differences are a - b, ms.
#[derive(Debug, Clone, PartialEq)]
pub struct PairOfPlayers {
    /// Spread of the true differences between players, sd.
    pub players_sd_ms: f64,
    /// Spread between the days of one player, sd; blank where each has one session.
    pub days_sd_ms: Option<f64>,
    /// Spread between the cycles of one session, sd.
    pub cycles_sd_ms: f64,
    /// Each player's.
    pub each: Vec<PlayerDifference>,
    /// Agreement of one session's difference with the next, ICC(2,1), where every player has at
    /// least two sessions: over as many as all have.
    pub reliability: Option<Reliability>,
}

/// How far a session's difference can be relied upon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reliability {
    /// ICC(2,1) of Shrout & Fleiss: absolute agreement of single sessions.
    pub icc: Interval,
    /// Sessions of each player in it.
    pub sessions: usize,
    /// Standard error of measurement, ms.
    pub measurement_error_ms: f64,
    /// Smallest change of one player that is more than that error, ms.
    pub detectable_change_ms: f64,
}

/// One player's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlayerDifference {
    /// Mean of the player's own cycles.
    pub alone_ms: f64,
    /// The same drawn towards the group by as much as it is uncertain.
    pub drawn_in: Interval,
    /// What the player differs from the group.
    pub from_group: Interval,
    /// Cycles.
    pub cycles: usize,
}

impl PlayerDifference {
    /// Whether the player differs from the group.
    pub fn differs(&self) -> bool {
        self.from_group.low > 0.0 || self.from_group.high < 0.0
    }
}

/// The players' numbers, session by session, in the order in which they appear.
fn numbers<'a>(players: impl Iterator<Item = &'a str>) -> Vec<usize> {
    let mut seen: Vec<&str> = Vec::new();
    players
        .map(|player| {
            seen.iter().position(|other| *other == player).unwrap_or_else(|| {
                seen.push(player);
                seen.len() - 1
            })
        })
        .collect()
}

/// The differences of one pair.
struct Differences {
    value: Vec<f64>,
    /// Position of a less position of b.
    distance: Vec<f64>,
    player: Vec<u32>,
    session: Vec<u32>,
    /// The players that appear, by their number among all.
    players: Vec<usize>,
}

impl Differences {
    fn of(rows: &[BlockRow], player_of: &[usize], a: usize, b: usize) -> Differences {
        let mut cycles: BTreeMap<(usize, usize, usize), [Option<&BlockRow>; 2]> = BTreeMap::new();
        for row in rows {
            let side = if row.condition == a {
                0
            } else if row.condition == b {
                1
            } else {
                continue;
            };
            let place = (player_of[row.session], row.session, row.cycle);
            cycles.entry(place).or_default()[side] = Some(row);
        }
        let mut list = Differences {
            value: Vec::new(),
            distance: Vec::new(),
            player: Vec::new(),
            session: Vec::new(),
            players: Vec::new(),
        };
        let mut sessions: Vec<usize> = Vec::new();
        let level = |place: usize| u32::try_from(place).unwrap_or(u32::MAX);
        for ((player, session, _), pair) in cycles {
            let [Some(of_a), Some(of_b)] = pair else { continue };
            if list.players.last() != Some(&player) {
                list.players.push(player);
            }
            if sessions.last() != Some(&session) {
                sessions.push(session);
            }
            list.value.push(of_a.value - of_b.value);
            list.distance.push(of_a.position - of_b.position);
            list.player.push(level(list.players.len() - 1));
            list.session.push(level(sessions.len() - 1));
        }
        list
    }

    /// d = mean + trend x distance + (1 | player) + (1 | session); the last two where they can be
    /// told from each other and from the cycles.
    fn fit(&self) -> Result<Fitted, mixed::MixedError> {
        let ones = vec![1.0; self.value.len()];
        let first = self.distance.first().copied().unwrap_or(0.0);
        let varies = self.distance.iter().any(|d| (d - first).abs() > 0.0);
        let mut fixed = vec![ones];
        if varies {
            fixed.push(self.distance.clone());
        }
        let levels = |list: &[u32]| list.iter().max().map_or(0, |last| last + 1);
        let several_days = levels(&self.session) > levels(&self.player);
        let mut terms = vec![Term::intercept(self.player.clone())];
        if several_days && (levels(&self.session) as usize) < self.value.len() {
            terms.push(Term::intercept(self.session.clone()));
        }
        let days = terms.len() > 1;
        let fit = Mixed::new(&self.value, &fixed, &terms, Likelihood::Restricted)?.fit()?;
        let mut weights = vec![0.0; fixed.len()];
        weights[0] = 1.0;
        Ok(Fitted { fit, weights, days })
    }
}

struct Fitted {
    fit: mixed::Fit,
    weights: Vec<f64>,
    days: bool,
}

/// The group's comparison: in place of the block model of one player.
///
/// Intervals and p of the family by Bonferroni; degrees of freedom by Satterthwaite, held to at
/// most players - 1.
pub(super) fn primary(table: &Table) -> Result<Vec<Pair>, FindingsError> {
    let rules = &table.protocol.analysis;
    let holds = table.protocol.conditions.len();
    let family = match rules.family {
        Family::Reference => analysis::Family::Reference(table.protocol.reference()),
        Family::All => analysis::Family::All,
    };
    let player_of = numbers(table.sessions.iter().map(|session| session.player.as_str()));
    let pairs = pairs_of(family, holds);
    let of_family = pairs.len() as f64;
    let one = |&(a, b): &(usize, usize)| {
        let differences = Differences::of(&table.rows, &player_of, a, b);
        let fit = differences.fit().ok().and_then(|fitted| {
            let found = fitted.fit.contrast(&fitted.weights);
            let most = differences.players.len().saturating_sub(1) as f64;
            let df = found.df.unwrap_or(most).min(most);
            let sound = df >= LEAST_DF as f64 && found.standard_error > 0.0;
            sound.then(|| pair_fit(found.estimate, found.standard_error, df, of_family, rules))
        });
        Pair {
            a,
            b,
            verdict: verdict(fit.as_ref(), rules.smallest_change_ms),
            fit,
            p_randomization: None,
            p_randomization_family: None,
            attainable_p: None,
        }
    };
    Ok(pairs.iter().map(one).collect())
}

fn pair_fit(
    difference: f64,
    standard_error: f64,
    df: f64,
    of_family: f64,
    rules: &crate::protocol::AnalysisRule,
) -> PairFit {
    let half = |alpha: f64| student::critical(1.0 - alpha, df) * standard_error;
    let alpha = 1.0 - rules.confidence;
    let (together, alone) = (half(alpha / of_family), half(alpha));
    let equivalence = half(2.0 * EQUIVALENCE_ALPHA / of_family);
    let p_t = student::two_sided_p(difference / standard_error, df);
    PairFit {
        difference,
        standard_error,
        df,
        low: difference - together,
        high: difference + together,
        low_single: difference - alone,
        high_single: difference + alone,
        p_t,
        p_adjusted: (p_t * of_family).min(1.0),
        equivalence_low: difference - equivalence,
        equivalence_high: difference + equivalence,
        chance_a_faster: student::below(-difference / standard_error, df),
        chance_a_faster_by_enough: student::below(
            (-rules.smallest_change_ms - difference) / standard_error,
            df,
        ),
    }
}

/// Who differs; nothing of one player.
pub(super) fn over_players(findings: &Findings) -> Option<OverPlayers> {
    let player_of = numbers(findings.sessions.iter().map(|session| session.player.as_str()));
    let players = player_of.iter().max().map_or(0, |last| last + 1);
    if players < 2 {
        return None;
    }
    let mut sessions = vec![0; players];
    for &player in &player_of {
        sessions[player] += 1;
    }
    let row = |block: &super::enter::Block| {
        Some(BlockRow {
            session: block.session,
            cycle: block.cycle,
            position: block.position as f64,
            condition: block.condition,
            value: block.statistic_ms?,
        })
    };
    let rows: Vec<BlockRow> = findings.used().filter_map(row).collect();
    let confidence = findings.protocol().analysis.confidence;
    let pairs = findings
        .pairs
        .iter()
        .map(|pair| {
            let differences = Differences::of(&rows, &player_of, pair.a, pair.b);
            of_pair(&differences, confidence).map_err(|error| error.to_string())
        })
        .collect();
    Some(OverPlayers { players, sessions, pairs })
}

fn of_pair(differences: &Differences, confidence: f64) -> Result<PairOfPlayers, mixed::MixedError> {
    let Fitted { fit, weights, days } = differences.fit()?;
    let z = student::normal_critical(confidence);
    let interval = |found: mixed::Estimate| Interval {
        estimate: found.estimate,
        low: found.estimate - z * found.standard_error,
        high: found.estimate + z * found.standard_error,
    };
    let none = vec![0.0; weights.len()];
    let each = (0..differences.players.len())
        .map(|level| {
            let own: Vec<f64> = differences
                .player
                .iter()
                .zip(&differences.value)
                .filter(|(player, _)| **player as usize == level)
                .map(|(_, value)| *value)
                .collect();
            PlayerDifference {
                alone_ms: own.iter().sum::<f64>() / own.len().max(1) as f64,
                drawn_in: interval(fit.predicted(&weights, 0, level, &[1.0])),
                from_group: interval(fit.predicted(&none, 0, level, &[1.0])),
                cycles: own.len(),
            }
        })
        .collect();
    let sd = |term: usize| fit.covariances[term][(0, 0)].sqrt();
    Ok(PairOfPlayers {
        players_sd_ms: sd(0),
        days_sd_ms: days.then(|| sd(1)),
        cycles_sd_ms: fit.sigma,
        each,
        reliability: reliability(differences, confidence),
    })
}

/// Players by sessions: as many of each player's first sessions as all players have.
fn reliability(differences: &Differences, confidence: f64) -> Option<Reliability> {
    let mut means: BTreeMap<(u32, u32), Vec<f64>> = BTreeMap::new();
    let places = differences.player.iter().zip(&differences.session);
    for ((&player, &session), &value) in places.zip(&differences.value) {
        means.entry((player, session)).or_default().push(value);
    }
    let mut table: Vec<Vec<f64>> = vec![Vec::new(); differences.players.len()];
    for ((player, _), values) in &means {
        table[*player as usize].push(values.iter().sum::<f64>() / values.len() as f64);
    }
    let sessions = table.iter().map(Vec::len).min().filter(|sessions| *sessions >= 2)?;
    for own in &mut table {
        own.truncate(sessions);
    }
    let squares = mean_squares(&table).ok()?;
    let error = squares.sem_agreement();
    Some(Reliability {
        icc: squares.icc(Form::Agreement, confidence),
        sessions,
        measurement_error_ms: error,
        detectable_change_ms: smallest_detectable_change(error, confidence),
    })
}
