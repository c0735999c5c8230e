//! The front of the report, for the player: the sentence, the plots, what may spoil it.

use super::page::Page;
use crate::findings::explore::Change;
use crate::findings::plot::{course, differences, spread};
use crate::findings::{Findings, elsewhere, sentence};
use crate::words::findings as words;
use crate::words::{explored, tables};

pub(super) fn banner(page: &mut Page, findings: &Findings) {
    if findings.simulated() {
        page.element("p", "simulated", words::SIMULATED);
    }
    if let Some(changes) = &findings.explored {
        page.element("p", "explored", explored::BANNER);
        let line = |change: &Change| explored::change(&change.key, &change.frozen, &change.used);
        page.list(&changes.iter().map(line).collect::<Vec<_>>());
    }
}

pub(super) fn answer(page: &mut Page, findings: &Findings) {
    let protocol = findings.protocol();
    page.element("p", "about", &protocol.question);
    page.element("h1", "", &sentence::headline(findings));
    for more in sentence::others(findings) {
        page.element("p", "more", &more);
    }
    let confidence = words::confidence(protocol.analysis.confidence);
    page.note(&words::how_sure(&confidence, findings.sessions.len()));
}

pub(super) fn differences(page: &mut Page, findings: &Findings) {
    page.heading("How far apart");
    page.figure(&differences::draw(findings), words::DIFFERENCES_CAPTION);
}

pub(super) fn course(page: &mut Page, findings: &Findings) {
    page.heading("Block by block");
    let caption = match elsewhere::facts(&findings.sessions) {
        None => words::COURSE_CAPTION,
        Some(table) if elsewhere::order_is_unknown(table) => tables::COURSE_WITHOUT_ORDER,
        Some(_) => tables::COURSE_CAPTION,
    };
    page.figure(&course::draw(findings), caption);
}

pub(super) fn spread(page: &mut Page, findings: &Findings) {
    let of_table = elsewhere::facts(&findings.sessions).is_some();
    let (heading, caption) = if of_table {
        ("Every answer", tables::SPREAD_CAPTION)
    } else {
        ("Every press", words::SPREAD_CAPTION)
    };
    page.heading(heading);
    page.figure(&spread::draw(findings), caption);
}

pub(super) fn spoilers(page: &mut Page, findings: &Findings) {
    page.heading("What may spoil it");
    let doubts = sentence::doubts(findings);
    if doubts.is_empty() {
        let of_table = elsewhere::facts(&findings.sessions).is_some();
        page.paragraph(if of_table { tables::NO_DOUBT } else { words::NO_DOUBT });
    } else {
        let lines: Vec<_> = doubts.into_iter().map(|doubt| (doubt.what, doubt.mend)).collect();
        page.pairs_of_lines(&lines);
    }
}

pub(super) fn settling(page: &mut Page, findings: &Findings) {
    let lines = sentence::settling(findings);
    if !lines.is_empty() {
        page.heading("What would settle it");
    }
    for line in lines {
        page.paragraph(&line);
    }
}
