//! Planned looks: judging one while a session runs, and the level at which its answer is given.
//!
//! The judge sees what the record keeps and uses the very functions that the findings use, so that
//! the look and the report cannot disagree. It tells the runner one thing alone: settled or not.

use super::FindingsError;
use super::compare::{Findings, Table};
use super::enter::{Block, Rule, blocks};
use super::from_record;
use super::input::{BlockPlan, Ended, Origin, RigFacts, SessionData, TrialFacts};
use super::spoil::Spoiler;
use crate::analysis::BlockRow;
use crate::engine::TrialRecord;
use crate::plan::look::{self, Level};
use crate::protocol::{Protocol, Schedule};
use crate::record::{Answers, Outcome, RowContext, TrialRow};

/// Judges the looks of a session under way.
#[derive(Debug)]
pub struct LookJudge {
    session: SessionData,
    context: RowContext,
}

impl LookJudge {
    /// Of a session of this protocol and schedule. `earlier`: rows of the segments before, where it
    /// is taken up again.
    pub fn new(protocol: &Protocol, schedule: &Schedule, earlier: &[TrialRow]) -> LookJudge {
        let trial = |row: &TrialRow| from_record::trial(row, protocol, &[]);
        let place = |block: &crate::protocol::Block| BlockPlan {
            position: block.position,
            cycle: block.cycle,
            condition: block.condition,
        };
        LookJudge {
            session: SessionData {
                name: String::new(),
                player: String::new(),
                simulated: false,
                protocol: protocol.clone(),
                rules_hash: String::new(),
                seed: schedule.seed,
                draw_rule: schedule.draw_rule,
                blocks: schedule.blocks.iter().map(place).collect(),
                trials: earlier.iter().map(trial).collect(),
                ratings: Vec::new(),
                expectation: None,
                began: String::new(),
                ended: Ended::BrokenOff,
                rig: RigFacts::default(),
                origin: Origin::Record,
            },
            context: RowContext::new(protocol, schedule, Answers::Real, "", ""),
        }
    }

    /// Takes in a finished trial attempt. Without planned looks nothing is kept.
    pub fn trial(&mut self, trial: &TrialRecord) {
        if !self.session.protocol.design.looks.is_empty() {
            let row = TrialRow::of(trial, &self.context);
            self.session.trials.push(from_record::trial(&row, &self.session.protocol, &[]));
        }
    }

    /// Drops what was recorded of a block (index) that is repeated whole.
    pub fn block_abandoned(&mut self, block: usize) {
        let of_block = |trial: &&mut TrialFacts| trial.position == block + 1;
        for trial in self.session.trials.iter_mut().filter(of_block) {
            trial.outcome = Outcome::Abandoned;
        }
    }

    /// Whether all up to and with `cycle` settles every comparison.
    ///
    /// # Errors
    /// Where the comparison cannot be worked out.
    pub fn settles(&self, cycle: usize) -> Result<bool, FindingsError> {
        let rows = rows(&blocks(&self.session, 0, Rule::Declared));
        let rows = look::rows_until(&rows, cycle);
        let level = look::level_at(&self.session.protocol, cycle)?;
        let none = crate::analysis::Redraws::None;
        let pairs = look::compare_rows(&self.session.protocol, &rows, &level, none)?;
        Ok(look::is_settled(&pairs))
    }
}

/// The used blocks as rows for the analysis.
pub(super) fn rows(blocks: &[Block]) -> Vec<BlockRow> {
    let row = |block: &Block| {
        Some(BlockRow {
            session: block.session,
            cycle: block.cycle.saturating_sub(1),
            position: block.position as f64,
            condition: block.condition,
            value: block.statistic_ms?,
        })
    };
    blocks.iter().filter(|block| block.unused().is_none()).filter_map(row).collect()
}

/// The level at which the answer of these sessions is given: after the last cycle that was run. Of
/// several sessions the strictest, since a look in one of them chose what came after.
pub(super) fn level(table: &Table) -> Result<Level, FindingsError> {
    let design = &table.protocol.design;
    let ended_after = |(index, session): (usize, &SessionData)| match session.ended {
        Ended::Complete => design.cycles,
        Ended::Stopped | Ended::Discomfort | Ended::TimeUp | Ended::Settled | Ended::BrokenOff => {
            let own = table.rows.iter().filter(|row| row.session == index);
            own.map(|row| row.cycle + 1).max().unwrap_or(1)
        }
    };
    let cycles = table.sessions.iter().enumerate().map(ended_after);
    let cycle = cycles.min().unwrap_or(design.cycles);
    Ok(look::level_at(table.protocol, cycle)?)
}

/// What is to be said where a look ended a session.
pub(super) fn spoiler(findings: &Findings) -> Option<Spoiler> {
    let ended = findings.sessions.iter().any(|session| session.ended == Ended::Settled);
    let level = &findings.level;
    ended.then_some(Spoiler::EndedAtLook {
        cycle: level.cycle,
        of: level.of,
        confidence: level.confidence,
    })
}
