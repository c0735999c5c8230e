//! The part of the report that only one kind of task has.

use super::page::Page;
use crate::findings::Findings;
use crate::findings::by_task::{Difficulty, HoldChoice};
use crate::words::by_task as words;
use crate::words::findings::hold as hold_name;

/// Pointing by difficulty, or the information in a choice; nothing of another task.
pub(super) fn section(page: &mut Page, findings: &Findings) {
    if findings.by_task.pointing.iter().any(|hold| !hold.difficulties.is_empty()) {
        pointing(page, findings);
    }
    if findings.by_task.choice.iter().any(|hold| hold.answers > 0) {
        choice(page, findings);
    }
}

fn none() -> String {
    "\u{2013}".to_owned()
}

fn pointing(page: &mut Page, findings: &Findings) {
    page.heading(words::POINTING);
    let holds = || findings.holds.iter().zip(&findings.by_task.pointing);
    let row = |name: &str, of: &Difficulty| {
        let found = |digits: usize, value: Option<f64>| {
            value.map_or_else(none, |value| format!("{value:.digits$}"))
        };
        vec![
            hold_name(name),
            of.distance_mm.to_string(),
            of.size_mm.to_string(),
            format!("{} ({})", of.movements, of.beside),
            found(0, of.found.map(|found| found.time_ms)),
            found(1, of.found.map(|found| found.effective_width)),
            found(2, of.found.map(|found| found.effective_bits)),
            found(2, of.found.map(|found| found.bits_per_s)),
        ]
    };
    let rows: Vec<Vec<String>> = holds()
        .flat_map(|(hold, of)| of.difficulties.iter().map(move |one| row(&hold.id, one)))
        .collect();
    page.table(&words::POINTING_COLUMNS, &rows);
    for (hold, of) in holds() {
        if let Some(line) = of.line {
            page.paragraph(&words::pointing_line(&hold_name(&hold.id), line.intercept, line.slope));
        }
    }
    page.note(words::POINTING_NOTE);
}

fn choice(page: &mut Page, findings: &Findings) {
    page.heading(words::CHOICE);
    let row = |name: &str, of: &HoldChoice| {
        vec![
            hold_name(name),
            of.alternatives.to_string(),
            of.answers.to_string(),
            format!("{:.2} ({:.2})", of.transmitted_bits, of.hyman_bits),
            of.bits_per_s.map_or_else(none, |bits| format!("{bits:.2}")),
        ]
    };
    let holds = findings.holds.iter().zip(&findings.by_task.choice);
    let rows: Vec<Vec<String>> = holds.map(|(hold, of)| row(&hold.id, of)).collect();
    page.table(&words::CHOICE_COLUMNS, &rows);
    page.note(words::CHOICE_NOTE);
}
