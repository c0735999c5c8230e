//! `replay`: feeds a session's recorded events to the engine again and compares the trials.

use super::out::{Failure, say, warn};
use crate::protocol;
use crate::record::{self, Difference, ScheduleRow};
use crate::session;
use crate::sitting::source;
use crate::words::Told;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

/// How many differences are told one by one.
const TOLD_AT_MOST: usize = 20;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Example:
  tautline replay FOLDER    exits with 1 where the trials differ, and says where")]
pub(super) struct Arguments {
    /// The session's folder
    folder: PathBuf,
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let folder = &arguments.folder;
    let session = record::open(folder)?;
    let protocol = source::recorded(&session)?;
    let rule = protocol.design.draw_rule();
    if session.manifest.draw_rule != rule {
        return Err(Failure::Told(vec![Told {
            what: format!(
                "this session was drawn by rule {}, and this program draws by rule {rule}",
                session.manifest.draw_rule
            ),
            place: Some(folder.display().to_string()),
            mend: "replay it with the version of the program that its manifest names".to_owned(),
        }]));
    }
    let schedule = Arc::new(protocol::draw(&protocol, session.manifest.seed));
    let decoded = record::replay_events(folder)?;
    if decoded.torn_bytes > 0 {
        warn(&format!("events.bin: {} bytes at its end are torn and left out", decoded.torn_bytes));
    }
    if decoded.damaged_stretches > 0 {
        warn(&format!("events.bin was changed: {} damaged stretches", decoded.damaged_stretches));
    }
    let rows = session::replay_rows(&session, &protocol, &schedule, &decoded.events);
    let differences = record::compare_rows(&session.trials, &rows);
    let drawn = ScheduleRow::of(&schedule, &session.context(&protocol, &schedule));
    let same_draw = drawn == session.schedule;
    if !same_draw {
        say("schedule.csv is not what this protocol and this seed draw")?;
    }
    for file in &session.changed {
        say(&format!("{} is not as it was when the session ended", file.name()))?;
    }
    let all_as_it_was = same_draw && session.changed.is_empty() && decoded.damaged_stretches == 0;
    if differences.is_empty() && all_as_it_was {
        say(&format!(
            "{} trials replay to the same rows ({} events)",
            rows.len(),
            decoded.events.len()
        ))?;
        return Ok(ExitCode::SUCCESS);
    }
    for difference in differences.iter().take(TOLD_AT_MOST) {
        say(&match difference {
            Difference::Value { row, column, a, b } => {
                format!("row {}: {column} is {a} in trials.csv and {b} by replay", row + 1)
            }
            Difference::Count { a, b } => format!("{a} rows in trials.csv, {b} by replay"),
        })?;
    }
    if differences.len() > TOLD_AT_MOST {
        say(&format!("and {} more", differences.len() - TOLD_AT_MOST))?;
    }
    Ok(ExitCode::from(1))
}
