//! The attempts of a session folder, as times on CLOCK_MONOTONIC.
//!
//! Read by column name from the files alone, as anyone with the folder could.

use super::matching::Told;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

#[derive(serde::Deserialize)]
struct Row {
    segment: u32,
    outcome: String,
    flags: String,
    foreperiod_start_ns: Option<i64>,
    shown_ns: Option<i64>,
    press_ns: Option<i64>,
    movement_first_rt_ms: Option<f64>,
    movement_5pct_rt_ms: Option<f64>,
    movement_fit_rt_ms: Option<f64>,
    rt_sd_ms: Option<f64>,
    shown_sd_ms: Option<f64>,
    shown_source: Option<String>,
    press_source: Option<String>,
}

/// A session, read.
#[derive(Debug)]
pub(crate) struct Session {
    /// Its attempts in order, those that stopped before the wait left out.
    pub(crate) attempts: Vec<Told>,
    /// Attempts that are answers.
    pub(crate) hits: usize,
    /// Where the stamps of onset and press came from, each named once.
    pub(crate) sources: Vec<String>,
}

/// Outcomes that are answers.
const ANSWERS: [&str; 2] = ["hit", "wrong"];
/// Outcomes that the program itself does not count.
const NOT_COUNTED: [&str; 3] = ["void", "interrupted", "abandoned"];

/// Reads a session folder.
///
/// # Panics
/// When a file or a column is not there.
pub(crate) fn read(folder: &Path) -> Session {
    let zero_ns = zeros(folder);
    let mut reader = csv::Reader::from_path(folder.join("trials.csv")).expect("trials.csv");
    let rows: Vec<Row> = reader.deserialize().map(|row| row.expect("a whole row")).collect();
    let attempts = rows.iter().map(|row| {
        let zero_ns = *zero_ns.get(&row.segment).expect("each row's segment is in the manifest");
        Told {
            shown_ns: row.shown_ns.map(|t| t + zero_ns),
            move_ns: first_count_ns(row).map(|t| t + zero_ns),
            five_ns: since_onset_ns(row, row.movement_5pct_rt_ms).map(|t| t + zero_ns),
            fit_ns: since_onset_ns(row, row.movement_fit_rt_ms).map(|t| t + zero_ns),
            press_ns: answered_ns(row).map(|t| t + zero_ns),
            begun_ns: row.foreperiod_start_ns.map(|t| t + zero_ns),
            rt_sd_ms: row.rt_sd_ms,
            shown_sd_ms: row.shown_sd_ms,
            flagged: !row.flags.is_empty() || NOT_COUNTED.contains(&row.outcome.as_str()),
            counts: ANSWERS.contains(&row.outcome.as_str()),
        }
    });
    let mut sources: Vec<String> = rows
        .iter()
        .flat_map(|row| [&row.shown_source, &row.press_source])
        .flatten()
        .cloned()
        .collect();
    sources.sort();
    sources.dedup();
    let hits = rows.iter().filter(|row| row.outcome == "hit").count();
    Session { attempts: attempts.collect(), hits, sources }
}

/// The press; of an answer by movement its first count.
fn answered_ns(row: &Row) -> Option<i64> {
    let moved = || ANSWERS.contains(&row.outcome.as_str()).then(|| first_count_ns(row)).flatten();
    row.press_ns.or_else(moved)
}

/// When the first count came: the row has it from the onset.
fn first_count_ns(row: &Row) -> Option<i64> {
    since_onset_ns(row, row.movement_first_rt_ms)
}

fn since_onset_ns(row: &Row, since_ms: Option<f64>) -> Option<i64> {
    let since = tautline::units::Span::from_ms_f64(since_ms?);
    row.shown_ns.map(|shown_ns| shown_ns + since.0)
}

/// The reading of the clock at each segment's start.
fn zeros(folder: &Path) -> BTreeMap<u32, i64> {
    let text = fs::read_to_string(folder.join("manifest.json")).expect("manifest.json");
    let manifest: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let segments = manifest["segments"].as_array().expect("a list of segments");
    let number = |segment: &serde_json::Value| segment["number"].as_u64();
    let number = |segment| u32::try_from(number(segment).expect("a number")).expect("a small one");
    let zero_ns = |segment: &serde_json::Value| segment["clock_ns"].as_i64().expect("a reading");
    segments.iter().map(|segment| (number(segment), zero_ns(segment))).collect()
}
