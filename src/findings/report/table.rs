//! The back of a report on times measured elsewhere: the rules, how the table was read, and what
//! cannot be known.
//!
//! It claims nothing of a plan, a draw or a rig. It works nothing out.

use super::back::{VERDICT, equivalence, intervals, statistic};
use super::page::Page;
use crate::findings::input::{BlocksBy, OrderShown, TableFacts};
use crate::findings::{Findings, elsewhere};
use crate::words::tables as words;

pub(super) fn rules(page: &mut Page, findings: &Findings, facts: &TableFacts) {
    page.element("h3", "", "Rules");
    let protocol = findings.protocol();
    let rules = &protocol.analysis;
    let model = match facts.order {
        OrderShown::Unknown => "Model: block statistic = hold + cycle",
        OrderShown::Places | OrderShown::PlacesInCycles | OrderShown::Numbers => {
            "Model: block statistic = hold + cycle + linear trend in block position (within session)"
        }
    };
    page.list(&[
        format!(
            "Table: {} holds, {} blocks, {} rows.",
            protocol.conditions.len(),
            findings.blocks.len(),
            findings.blocks.iter().map(|block| block.seen).sum::<usize>()
        ),
        format!("Blocks: {}.", blocks(facts.blocks)),
        "Measure: the time as the table has it.".to_owned(),
        statistic(rules, protocol.respond_within_ms),
        format!(
            "What enters: each row with a time at or above {} ms and, where the table tells, a \
             right answer. Lapses (over {} ms) stay in. A block of which fewer than half of the \
             rows enter is left out and named.",
            rules.anticipation_ms, rules.lapse_ms
        ),
        format!("{model}, ordinary least squares, blocks unweighted."),
        intervals(rules),
        equivalence(rules),
        VERDICT.to_owned(),
    ]);
}

const fn blocks(by: BlocksBy) -> &'static str {
    match by {
        BlocksBy::Cycles => "one for each hold and cycle",
        BlocksBy::Blocks => "as the table has them; a hold's first block is in cycle 1, and so on",
        BlocksBy::BlocksAsCycles => {
            "one for each hold within what the table calls a block, which serves as the cycle"
        }
        BlocksBy::CyclesAndBlocks => "as the table has them, within its cycles",
        BlocksBy::Runs => {
            "rows that share a place, or else a run of rows of one hold; a hold's first is in cycle 1"
        }
        BlocksBy::Nothing => "one for each hold and session: the table tells no others",
    }
}

pub(super) fn read_as(page: &mut Page, facts: &TableFacts) {
    page.element("h3", "", "Where the numbers come from");
    let mut rows = vec![vec!["file".to_owned(), facts.file.clone()]];
    let taken =
        |note: &crate::findings::input::RigNote| vec![note.name.clone(), note.value.clone()];
    rows.extend(facts.taken.iter().map(taken));
    if let Some(frames) = facts.frames {
        let ends = if frames.both_ends { "frame/\u{221a}6" } else { "frame/\u{221a}12" };
        rows.push(vec![
            "a single time's sd from seeing whole frames".to_owned(),
            format!("{:.3} ms ({ends}, {} frames a second)", frames.sd_ms, frames.per_second),
        ]);
    }
    page.table(&["", ""], &rows);
    if facts.frames.is_some() {
        page.note(words::FRAMES_NOTE);
    }
    page.element("h3", "", "What cannot be known");
    page.list(&elsewhere::not_known(facts));
}
