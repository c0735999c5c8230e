//! What was found, ready to be shown: the sentences, the same plots as the report, and where the
//! files lie. Made beside the window, since it takes a moment.

use crate::exchange::{self, Asked};
use crate::findings::picture::{self, Naming, PictureShape};
use crate::findings::plot::{Drawing, course, differences, spread};
use crate::findings::{self, Findings, elsewhere, files, sentence};
use crate::sitting::{Trouble, results};
use crate::words::{Tell, afterwards as after, findings as finding_words};
use std::path::{Path, PathBuf};

/// A hold's typical times as viewers know them, ms.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HoldTimes {
    /// Its name.
    pub(super) name: String,
    /// Middle 60 %.
    pub(super) typical_ms: Option<f64>,
    /// Median.
    pub(super) median_ms: Option<f64>,
    /// Mean.
    pub(super) mean_ms: Option<f64>,
}

/// What was found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    /// The session folders, or the table.
    pub(super) of: Vec<PathBuf>,
    /// Whether it is of a table measured elsewhere.
    pub(super) elsewhere: bool,
    /// Title of the protocol.
    pub(super) title: String,
    /// Whether the presses are invented.
    pub(super) simulated: bool,
    /// The first sentence.
    pub(super) headline: String,
    /// The sentences of the other pairs.
    pub(super) others: Vec<String>,
    /// What was expected.
    pub(super) expected: String,
    /// What may spoil it: what, and how much.
    pub(super) doubts: Vec<String>,
    /// What would settle it.
    pub(super) settling: Vec<String>,
    /// What each column of a table was taken for.
    pub(super) taken: Vec<[String; 2]>,
    /// The plots of the report, each below its heading.
    pub(super) plots: Vec<(&'static str, Drawing)>,
    /// The picture for an audience, wide and tall.
    pub(super) pictures: Vec<(PictureShape, Drawing)>,
    /// The holds' times.
    pub(super) times: Vec<HoldTimes>,
    /// The player's refresh, Hz, where the session's record tells it.
    pub(super) rate_hz: Option<f64>,
    /// The folder with report and pictures.
    pub(super) folder: PathBuf,
    /// The report.
    pub(super) report: PathBuf,
}

impl Found {
    /// What sessions found; writes the files into the last one's folder.
    ///
    /// # Errors
    /// As [`results::work_out`] and [`files::write_all`].
    pub(super) fn of_sessions(folders: Vec<PathBuf>) -> Result<Found, Trouble> {
        let findings = results::work_out(&folders)?;
        let out = folders.last().map(|last| last.join(files::FOLDER)).unwrap_or_default();
        let rate_hz = folders.last().and_then(|folder| rate_hz(folder));
        Found::of(&findings, folders, out, rate_hz)
    }

    /// What a table measured elsewhere says; writes the files beside it.
    ///
    /// # Errors
    /// Every fault of the table, or the files cannot be written.
    pub(super) fn of_table(file: &Path, asked: &Asked) -> Result<Found, Trouble> {
        let name = file.display().to_string();
        let bytes = std::fs::read(file).map_err(|source| {
            Trouble::one(
                format!("the table cannot be read: {source}"),
                Some(name.clone()),
                "give the path of a CSV file that may be read".to_owned(),
            )
        })?;
        let sessions = exchange::read(&bytes, &name, asked)
            .map_err(|faults| Trouble(faults.iter().map(Tell::tell).collect()))?;
        let findings = findings::work_out(sessions)?;
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let out = file.with_file_name(format!("{stem}-{}", files::FOLDER));
        Found::of(&findings, vec![file.to_owned()], out, None)
    }

    /// The picture in one shape, as it lies among the findings.
    pub(super) fn picture(&self, shape: PictureShape) -> PathBuf {
        self.folder.join(shape.file_name("png"))
    }

    fn of(
        findings: &Findings,
        of: Vec<PathBuf>,
        folder: PathBuf,
        rate_hz: Option<f64>,
    ) -> Result<Found, Trouble> {
        let report = files::write_all(findings, &folder)?.report;
        let table = elsewhere::facts(&findings.sessions);
        let plots = vec![
            (after::PLOT_DIFFERENCES, differences::draw(findings)),
            (after::PLOT_SPREAD, spread::draw(findings)),
            (after::PLOT_COURSE, course::draw(findings)),
        ];
        let picture = |shape| (shape, picture::draw(findings, shape, Naming::Nobody));
        let doubt = |doubt: finding_words::Doubt| {
            let finding_words::Doubt { what, mend } = doubt;
            after::doubt(&what, &mend)
        };
        Ok(Found {
            of,
            elsewhere: table.is_some(),
            title: findings.protocol().title.clone(),
            simulated: findings.simulated(),
            headline: sentence::headline(findings),
            others: sentence::others(findings),
            expected: expected(findings),
            doubts: sentence::doubts(findings).into_iter().map(doubt).collect(),
            settling: sentence::settling(findings),
            taken: table
                .into_iter()
                .flat_map(|table| &table.taken)
                .map(|note| [note.name.clone(), note.value.clone()])
                .collect(),
            plots,
            pictures: PictureShape::ALL.map(picture).into(),
            times: findings
                .holds
                .iter()
                .map(|hold| HoldTimes {
                    name: crate::words::screens::hold_name(&hold.id),
                    typical_ms: hold.trimmed_mean_ms,
                    median_ms: hold.median_ms,
                    mean_ms: hold.mean_ms,
                })
                .collect(),
            rate_hz,
            folder,
            report,
        })
    }
}

/// What the player expected; what was said before several sessions stands once, with how many.
fn expected(findings: &Findings) -> String {
    let conditions = &findings.protocol().conditions;
    let name = |index: usize| {
        let id = conditions.get(index).map(|condition| condition.id.as_str());
        crate::words::screens::hold_name(id.unwrap_or_default())
    };
    let said = findings.sessions.iter().filter_map(|session| session.expectation.as_ref());
    let mut lines: Vec<(String, usize)> = Vec::new();
    for expectation in said {
        let line = match expectation.faster {
            Some(faster) => after::expected(&name(faster), expectation.sure),
            None => after::EXPECTED_NOTHING.to_owned(),
        };
        match lines.iter_mut().find(|(known, _)| *known == line) {
            Some((_, sessions)) => *sessions += 1,
            None => lines.push((line, 1)),
        }
    }
    let several = findings.sessions.len() > 1;
    let said = |(line, sessions): (String, usize)| {
        if several { after::expected_in(&line, sessions) } else { line }
    };
    let lines: Vec<String> = lines.into_iter().map(said).collect();
    if lines.is_empty() { after::EXPECTED_NOT_ASKED.to_owned() } else { lines.join(" ") }
}

/// The refresh that was measured in a session, Hz.
fn rate_hz(folder: &Path) -> Option<f64> {
    let session = crate::record::open(folder).ok()?;
    let display = &session.manifest.display;
    let refresh_ms = display.pointer("/vsync/refresh_ms").and_then(serde_json::Value::as_f64);
    let asked_ms = display.pointer("/refresh_asked_ms").and_then(serde_json::Value::as_f64);
    let hz = display.pointer("/refresh_hz").and_then(serde_json::Value::as_f64);
    hz.or_else(|| refresh_ms.or(asked_ms).filter(|ms| *ms > 0.1).map(|ms| 1e3 / ms))
}
