//! Everything that is found out, as one value: the block table, the model's answer, each hold in
//! numbers, what may spoil it and what would settle it.
//!
//! Several sessions are combined only when one player ran one protocol. The forms that people
//! read are made from this value and work nothing out anew.

use super::FindingsError;
use super::by_task::{ByTask, by_task};
use super::cost::{Costs, costs};
use super::elsewhere;
use super::enter::{Block, End, LeftOut, Rule, blocks, with_left_out_at};
use super::explore::{Change, is_explored};
use super::hold_check::{HoldCheck, hold_check};
use super::input::SessionData;
use super::looks;
use super::over_players::{self, OverPlayers};
use super::over_sessions::{OverSessions, SessionPlan, over_sessions};
use super::primary::primary;
use super::secondary::{Secondary, secondary};
use super::settle::{Settle, settle};
use super::slope::{Trend, trend};
use super::spoil::{Spoiler, spoilers};
use super::within::{Within, within};
use crate::analysis::describe::{BlockStatistic, block_statistic, mad, sd};
use crate::analysis::sdt::{Counts, Detection, detection};
use crate::analysis::{BlockRow, Pair};
use crate::plan::look::Level;
use crate::protocol::Protocol;
use std::collections::BTreeMap;

/// All that is found out.
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    /// The sessions, in the order given.
    pub sessions: Vec<SessionData>,
    /// Every planned block with what entered, in order of session and time.
    pub blocks: Vec<Block>,
    /// Each hold in numbers, in the order of the protocol.
    pub holds: Vec<Hold>,
    /// The comparisons, a before b in the protocol.
    pub pairs: Vec<Pair>,
    /// The same comparisons with everything in that has a time.
    pub pairs_everything_in: Vec<Pair>,
    /// For each of `pairs`: the difference with what stays out put at both ends.
    pub bounds: Vec<Option<Bounds>>,
    /// Whether the holds were held; none of times measured elsewhere.
    pub hold_check: Option<HoldCheck>,
    /// What may spoil it, the gravest first.
    pub spoilers: Vec<Spoiler>,
    /// For each of `pairs`: what would settle it, where it is open.
    pub settles: Vec<Option<Settle>>,
    /// The same question by other methods.
    pub secondary: Secondary,
    /// The time course within the session.
    pub within: Within,
    /// What only one kind of task tells.
    pub by_task: ByTask,
    /// What is measured beside the times.
    pub costs: Costs,
    /// From day to day; nothing of one session, or of several players.
    pub over_sessions: Option<OverSessions>,
    /// From player to player; nothing of one player.
    pub over_players: Option<OverPlayers>,
    /// The level at which `pairs` are judged, planned looks reckoned with.
    pub level: Level,
    /// Where the rules are not those frozen before the first block: what is known to differ.
    pub explored: Option<Vec<Change>>,
}

impl Findings {
    /// The protocol that all sessions ran.
    pub fn protocol(&self) -> &Protocol {
        &self.sessions[0].protocol
    }

    /// Whether the presses are invented.
    pub fn simulated(&self) -> bool {
        self.sessions.iter().any(|session| session.simulated)
    }

    /// The blocks that take part.
    pub fn used(&self) -> impl Iterator<Item = &Block> {
        self.blocks.iter().filter(|block| block.unused().is_none())
    }

    /// Places in `pairs`, the clearest first: settled before half settled before open, and among
    /// those the difference that is largest against its standard error.
    pub fn clearest_first(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.pairs.len()).collect();
        let clarity = |index: &usize| {
            let pair = &self.pairs[*index];
            let t = pair.fit.map_or(0.0, |fit| (fit.difference / fit.standard_error).abs());
            (super::sentence::clarity(pair.verdict), t)
        };
        order.sort_by(|i, j| {
            let (first, second) = (clarity(i), clarity(j));
            first.0.cmp(&second.0).then(second.1.total_cmp(&first.1))
        });
        order
    }
}

/// How far what stays out could move a difference: put at 0 ms under one hold and at the response
/// limit under the other, and the other way round, ms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The lowest difference.
    pub low_ms: f64,
    /// The highest.
    pub high_ms: f64,
}

/// A hold in numbers. Times are of the trials that entered, all blocks together, ms.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// Index into the protocol's conditions.
    pub condition: usize,
    /// Its id.
    pub id: String,
    /// Main trials seen: last attempts.
    pub trials: usize,
    /// Those that stay out.
    pub excluded: usize,
    /// The same by kind.
    pub left_out: BTreeMap<LeftOut, usize>,
    /// Misses among those that entered.
    pub misses: usize,
    /// Late onset frames among those that entered.
    pub late_entered: usize,
    /// Hits slower than the lapse limit.
    pub lapses: usize,
    /// Presses on empty waits.
    pub false_alarms: usize,
    /// Where some targets ask for no answer: how well presses follow the others, and how readily
    /// the player presses.
    pub detection: Option<Detection>,
    /// Mean, a miss counted as the response limit.
    pub mean_ms: Option<f64>,
    /// Median.
    pub median_ms: Option<f64>,
    /// 20 % trimmed mean.
    pub trimmed_mean_ms: Option<f64>,
    /// Standard deviation, without the misses.
    pub sd_ms: Option<f64>,
    /// Median absolute deviation, unscaled, without the misses.
    pub mad_ms: Option<f64>,
    /// Wrong answers and misses among the trials seen, 0 to 1; blank where nothing tells.
    pub error_share: Option<f64>,
    /// Times that entered, in order of time.
    pub times_ms: Vec<f64>,
    /// The line through its blocks.
    pub trend: Option<Trend>,
}

impl Hold {
    /// Early presses among the trials seen, 0 to 1.
    pub fn early_share(&self) -> f64 {
        share(self.left_out.get(&LeftOut::Early).copied().unwrap_or(0), self.trials)
    }

    /// Trials that stay out among the trials seen, 0 to 1.
    pub fn excluded_share(&self) -> f64 {
        share(self.excluded, self.trials)
    }
}

/// `count` of `total`, 0 of nothing.
pub(super) fn share(count: usize, total: usize) -> f64 {
    if total == 0 { 0.0 } else { count as f64 / total as f64 }
}

/// What is handed to the analysis.
#[derive(Debug, Clone, PartialEq)]
pub struct Table<'a> {
    /// A row a used block.
    pub rows: Vec<BlockRow>,
    /// The rules.
    pub protocol: &'a Protocol,
    /// The sessions that the rows come from.
    pub sessions: &'a [SessionData],
    /// Whether a p by re-randomisation is wanted.
    pub redraw: Redraw,
}

/// Whether a p by re-randomisation is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Redraw {
    /// It is.
    Wanted,
    /// Only the estimates are.
    Spared,
}

/// What is asked of several sessions.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Asked {
    /// Whose sessions may stand together.
    pub players: Players,
    /// How many sessions were declared before the first of them.
    pub declared_sessions: Option<usize>,
    /// After how many of them the answer may be looked at before the last, ascending, as declared.
    pub session_looks: Vec<usize>,
}

/// Whose sessions may stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Players {
    /// One player's.
    #[default]
    One,
    /// Several players', who agreed to it.
    Agreed,
}

/// Works everything out by the protocol's own rules.
///
/// # Errors
/// Sessions that do not belong together, or that hold no block table.
pub fn work_out(sessions: Vec<SessionData>) -> Result<Findings, FindingsError> {
    work_out_as(sessions, Asked::default())
}

/// The same of several sessions, as asked.
///
/// # Errors
/// Sessions that do not belong together, or that hold no block table.
pub fn work_out_as(sessions: Vec<SessionData>, asked: Asked) -> Result<Findings, FindingsError> {
    let several = sessions.iter().any(|other| other.player != sessions[0].player);
    if several && asked.players == Players::Agreed {
        work_out_with(sessions, asked, &over_players::primary)
    } else {
        work_out_with(sessions, asked, &primary)
    }
}

/// The same with another comparison: a block table in, pairs out.
///
/// # Errors
/// Sessions that do not belong together, or what `compare` says.
pub fn work_out_by(
    sessions: Vec<SessionData>,
    compare: &dyn Fn(&Table) -> Result<Vec<Pair>, FindingsError>,
) -> Result<Findings, FindingsError> {
    work_out_with(sessions, Asked::default(), compare)
}

fn work_out_with(
    sessions: Vec<SessionData>,
    asked: Asked,
    compare: &dyn Fn(&Table) -> Result<Vec<Pair>, FindingsError>,
) -> Result<Findings, FindingsError> {
    let plan = SessionPlan::new(asked.declared_sessions, asked.session_looks)?;
    belong_together(&sessions, asked.players)?;
    let entered = |rule| -> Vec<Block> {
        sessions.iter().enumerate().flat_map(|(i, session)| blocks(session, i, rule)).collect()
    };
    let declared = entered(Rule::Declared);
    let table_of = |blocks: &[Block], redraw| table(blocks, &sessions, redraw);
    let pairs = compare(&table_of(&declared, Redraw::Wanted))?;
    let everything_in = entered(Rule::EverythingIn);
    let pairs_everything_in = compare(&table_of(&everything_in, Redraw::Wanted))?;
    let bounds = bounds(
        &pairs,
        &declared,
        |moved: &[Block]| compare(&table_of(moved, Redraw::Spared)),
        &sessions[0],
    )?;
    let holds = holds(&declared, &sessions);
    let settles = pairs.iter().map(|pair| settle(pair, &sessions[0].protocol, sessions.len()));
    let settles = settles.collect();
    let hold_check = match elsewhere::facts(&sessions) {
        Some(_) => None,
        None => hold_check(&sessions),
    };
    let level = looks::level(&table_of(&declared, Redraw::Spared))?;
    let explored = is_explored(&sessions).then(Vec::new);
    let mut findings = Findings {
        sessions,
        blocks: declared,
        holds,
        pairs,
        pairs_everything_in,
        bounds,
        hold_check,
        spoilers: Vec::new(),
        settles,
        level,
        explored,
        secondary: Secondary::default(),
        within: Within::default(),
        by_task: ByTask::default(),
        costs: Costs::default(),
        over_sessions: None,
        over_players: None,
    };
    findings.secondary = secondary(&findings);
    findings.by_task = by_task(&findings);
    findings.costs = costs(&findings);
    findings.within = within(&findings);
    findings.over_players = over_players::over_players(&findings);
    if findings.over_players.is_some() {
        // More cycles of one player settle nothing about players.
        findings.settles.iter_mut().for_each(|settle| *settle = None);
    } else {
        findings.over_sessions = over_sessions(&findings, plan)?;
    }
    findings.spoilers = spoilers(&findings);
    Ok(findings)
}

fn belong_together(sessions: &[SessionData], players: Players) -> Result<(), FindingsError> {
    let first = sessions.first().ok_or(FindingsError::NoSession)?;
    for (index, other) in sessions.iter().enumerate().skip(1) {
        let session = other.name.clone();
        if other.player != first.player && players == Players::One {
            let (player, first_player) = (other.player.clone(), first.player.clone());
            return Err(FindingsError::OtherPlayer { session, player, first_player });
        }
        // Two players may have begun in the same second: a name is one player's alone.
        let same =
            |before: &SessionData| (&before.name, &before.player) == (&other.name, &other.player);
        if sessions[..index].iter().any(same) {
            return Err(FindingsError::SameSessionTwice { session });
        }
        if other.protocol != first.protocol {
            return Err(FindingsError::OtherProtocol {
                session,
                protocol: other.protocol.id.clone(),
                first_protocol: first.protocol.id.clone(),
            });
        }
        if other.simulated != first.simulated {
            return Err(FindingsError::SimulatedAndReal { session });
        }
    }
    Ok(())
}

/// The bounds of each pair.
fn bounds(
    pairs: &[Pair],
    declared: &[Block],
    compare: impl Fn(&[Block]) -> Result<Vec<Pair>, FindingsError>,
    session: &SessionData,
) -> Result<Vec<Option<Bounds>>, FindingsError> {
    let difference = |pair: &Pair, end_of_a: End, end_of_b: End| -> Result<_, FindingsError> {
        let moved: Vec<Block> = declared
            .iter()
            .map(|block| match block.condition {
                hold if hold == pair.a => with_left_out_at(block, end_of_a, session),
                hold if hold == pair.b => with_left_out_at(block, end_of_b, session),
                _ => block.clone(),
            })
            .collect();
        let found = compare(&moved)?;
        let same = found.iter().find(|other| other.a == pair.a && other.b == pair.b);
        Ok(same.and_then(|same| same.fit).map(|fit| fit.difference))
    };
    // Only the time of an answer has two ends.
    if !session.protocol.analysis.measure.is_of_answer() {
        return Ok(vec![None; pairs.len()]);
    }
    let of_pair = |pair: &Pair| {
        let low = difference(pair, End::Fastest, End::Slowest)?;
        let high = difference(pair, End::Slowest, End::Fastest)?;
        Ok(low.zip(high).map(|(low_ms, high_ms)| Bounds { low_ms, high_ms }))
    };
    pairs.iter().map(of_pair).collect()
}

fn table<'a>(blocks: &[Block], sessions: &'a [SessionData], redraw: Redraw) -> Table<'a> {
    Table { rows: looks::rows(blocks), protocol: &sessions[0].protocol, sessions, redraw }
}

fn holds(blocks: &[Block], sessions: &[SessionData]) -> Vec<Hold> {
    let protocol = &sessions[0].protocol;
    let ids = protocol.conditions.iter().map(|condition| condition.id.clone());
    ids.enumerate().map(|(condition, id)| hold(condition, id, blocks, sessions)).collect()
}

fn hold(condition: usize, id: String, blocks: &[Block], sessions: &[SessionData]) -> Hold {
    let protocol = &sessions[0].protocol;
    let own = || blocks.iter().filter(|block| block.condition == condition);
    let sum = |count: fn(&Block) -> usize| own().map(count).sum::<usize>();
    let mut left_out: BTreeMap<LeftOut, usize> = BTreeMap::new();
    for (kind, count) in own().flat_map(|block| &block.left_out) {
        *left_out.entry(*kind).or_insert(0) += count;
    }
    let times_ms: Vec<f64> = own().flat_map(|block| block.times_ms.iter().copied()).collect();
    let trials = sum(|block| block.seen);
    let misses = sum(|block| block.misses);
    let answers_told = elsewhere::facts(sessions).is_none_or(|table| table.answers_told);
    let errors = misses + left_out.get(&LeftOut::Wrong).copied().unwrap_or(0);
    // Blank where a miss would be averaged, as in a block.
    let over_all =
        |statistic| block_statistic(&times_ms, misses, statistic, protocol.respond_within_ms).ok();
    Hold {
        condition,
        id,
        trials,
        excluded: sum(Block::excluded),
        left_out,
        misses,
        late_entered: sum(|block| block.late_entered),
        lapses: sum(|block| block.lapses),
        false_alarms: sum(|block| block.false_alarms),
        detection: detection(Counts {
            hits: times_ms.len(),
            misses,
            false_alarms: sum(|block| block.pressed_at),
            correct_rejections: sum(|block| block.left_alone),
        })
        .ok(),
        mean_ms: over_all(BlockStatistic::Mean),
        median_ms: over_all(BlockStatistic::Median),
        trimmed_mean_ms: over_all(BlockStatistic::TrimmedMean),
        sd_ms: sd(&times_ms),
        mad_ms: mad(&times_ms),
        error_share: (trials > 0 && answers_told).then(|| share(errors, trials)),
        times_ms,
        trend: trend(blocks, condition, sessions.len(), protocol.analysis.confidence),
    }
}
