//! `findings`: works out what one or more sessions, or a table measured elsewhere, found.

use super::out::{Failure, say, warn};
use crate::exchange::{self, Asked, Mapping, Unit};
use crate::findings::files::FOLDER;
use crate::findings::json::FindingsJson;
use crate::findings::{self, Findings, elsewhere};
use crate::protocol::Statistic;
use crate::sitting::results;
use crate::words::{Tell, Told};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline findings FOLDER                   writes FOLDER/findings/, prints the sentence and the report's path
  tautline findings FOLDER FOLDER --out both several sessions of one player and one protocol together
  tautline findings FOLDER --json            the numbers, as findings.json has them, and writes nothing
  tautline findings --table times.csv        times measured elsewhere; writes times-findings/ beside the file
  tautline findings --table times.csv --column time=rt --column condition=grip --unit s
  tautline findings --table video.csv --column start=seen --column end=pressed --frames-per-second 120

A session or a table is never changed. docs/tables.md says what a table may hold.")]
pub(super) struct Arguments {
    /// Session folders
    #[arg(required_unless_present = "table", conflicts_with = "table", value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Where the files go (default: findings/ in the session, or in the last one of several)
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON object and write nothing
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    table: TableArguments,
}

#[derive(Debug, clap::Args)]
#[command(next_help_heading = "A table measured elsewhere")]
struct TableArguments {
    /// A CSV file with a row for each trial, in place of session folders
    #[arg(long, value_name = "FILE.csv")]
    table: Option<PathBuf>,
    /// Which column is what, if its name does not tell: condition, cycle, block, order, session,
    /// player, time, start, end, correct; with nothing behind the =, the table has none
    #[arg(long = "column", value_name = "WHAT=HEADER", value_parser = Mapping::parse, requires = "table", conflicts_with = "folders")]
    columns: Vec<Mapping>,
    /// Unit of the times, if the column's name does not tell
    #[arg(long, value_enum, requires = "table", conflicts_with = "folders")]
    unit: Option<UnitName>,
    /// Frames a second, where times were counted or seen in frames
    #[arg(long, value_name = "N", requires = "table", conflicts_with = "folders")]
    frames_per_second: Option<f64>,
    /// Whose rows, where the table has several players
    #[arg(long, value_name = "NAME", requires = "table", conflicts_with = "folders")]
    player: Option<String>,
    /// The hold that the others are compared with (default: every pair is compared)
    #[arg(long, value_name = "HOLD", requires = "table", conflicts_with = "folders")]
    reference: Option<String>,
    /// The value of a block
    #[arg(
        long,
        value_enum,
        default_value = "trimmed-mean",
        requires = "table",
        conflicts_with = "folders"
    )]
    statistic: StatisticName,
    /// The least difference that matters, ms
    #[arg(
        long,
        value_name = "MS",
        default_value_t = 5.0,
        requires = "table",
        conflicts_with = "folders"
    )]
    smallest_change: f64,
}

#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum UnitName {
    Ms,
    S,
    Frames,
}

#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum StatisticName {
    /// 20 % trimmed mean
    TrimmedMean,
    Median,
    Mean,
}

impl TableArguments {
    fn asked(&self) -> Asked {
        Asked {
            columns: self.columns.clone(),
            unit: self.unit.map(|unit| match unit {
                UnitName::Ms => Unit::Ms,
                UnitName::S => Unit::S,
                UnitName::Frames => Unit::Frames,
            }),
            frames_per_second: self.frames_per_second,
            player: self.player.clone(),
            reference: self.reference.clone(),
            statistic: match self.statistic {
                StatisticName::TrimmedMean => Statistic::TrimmedMean,
                StatisticName::Median => Statistic::Median,
                StatisticName::Mean => Statistic::Mean,
            },
            smallest_change_ms: self.smallest_change,
        }
    }
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let table = arguments.table.table.as_deref();
    let findings = match table {
        Some(file) => of_table(file, &arguments.table.asked())?,
        None => results::work_out(&arguments.folders)?,
    };
    if arguments.json {
        say(FindingsJson::of(&findings).text().trim_end())?;
        return Ok(ExitCode::SUCCESS);
    }
    let out = match (&arguments.out, table) {
        (Some(out), _) => Some(out.clone()),
        (None, Some(file)) => Some(beside(file)),
        (None, None) => None,
    };
    let written = results::write_out(&findings, &arguments.folders, out.as_deref())?;
    say(&written.sentence)?;
    say(&written.report.display().to_string())?;
    Ok(ExitCode::SUCCESS)
}

/// Works the findings of a table out, and says on stderr what was taken for what.
fn of_table(file: &Path, asked: &Asked) -> Result<Findings, Failure> {
    let name = file.display().to_string();
    let bytes = std::fs::read(file).map_err(|source| {
        Failure::Told(vec![Told {
            what: format!("the table cannot be read: {source}"),
            place: Some(name.clone()),
            mend: "give the path of a CSV file that may be read".to_owned(),
        }])
    })?;
    let sessions = exchange::read(&bytes, &name, asked)
        .map_err(|faults| Failure::Told(faults.iter().map(Tell::tell).collect()))?;
    let findings = findings::work_out(sessions)?;
    for note in elsewhere::facts(&findings.sessions).into_iter().flat_map(|facts| &facts.taken) {
        warn(&format!("{}: {}", note.name, note.value));
    }
    Ok(findings)
}

/// Where the findings of a table go: beside it, in a folder named after it.
fn beside(file: &Path) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    file.with_file_name(format!("{stem}-{FOLDER}"))
}
