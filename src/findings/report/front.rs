//! The front of the report, for the player: the sentence, the plots, what may spoil it.

use super::page::Page;
use crate::findings::plot::{course, differences, spread};
use crate::findings::{Findings, sentence};
use crate::words::findings as words;

pub(super) fn banner(page: &mut Page, findings: &Findings) {
    if findings.simulated() {
        page.element("p", "simulated", words::SIMULATED);
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
    page.figure(&course::draw(findings), words::COURSE_CAPTION);
}

pub(super) fn spread(page: &mut Page, findings: &Findings) {
    page.heading("Every press");
    page.figure(&spread::draw(findings), words::SPREAD_CAPTION);
}

pub(super) fn spoilers(page: &mut Page, findings: &Findings) {
    page.heading("What may spoil it");
    let doubts = sentence::doubts(findings);
    if doubts.is_empty() {
        page.paragraph(words::NO_DOUBT);
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
