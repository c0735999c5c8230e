//! `findings`: works out what one or more sessions, or a table measured elsewhere, found.

use super::out::{Failure, say, warn};
use crate::exchange::{self, Asked, Mapping, Unit};
use crate::findings::explore::{self, Change};
use crate::findings::files::FOLDER;
use crate::findings::json::FindingsJson;
use crate::findings::{self, Findings, Players, elsewhere};
use crate::protocol::{Protocol, Statistic};
use crate::sitting::{results, source};
use crate::words::{Tell, Told};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline findings FOLDER                   writes FOLDER/findings/, prints the sentence and the report's path
  tautline findings FOLDER FOLDER --out both several sessions of one player and one protocol together
  tautline findings FOLDER... --sessions-declared 6
                                             one verdict over sessions, six declared before the first
  tautline findings FOLDER... --sessions-declared 8 --session-looks 5,6
                                             the same with looks planned after 5 and 6 of eight
  tautline findings FOLDER... --players-agreed
                                             sessions of several players who agreed to be compared
  tautline findings FOLDER --json            the numbers, as findings.json has them, and writes nothing
  tautline findings FOLDER --statistic median  under another rule than the frozen one: marked as explored
  tautline findings FOLDER --rules other.toml the same with the analysis of a protocol file
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
    /// How many sessions were declared before the first of them
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(2..), conflicts_with = "table")]
    sessions_declared: Option<u16>,
    /// After how many of them the answer may be looked at before the last, as declared: 5,6
    #[arg(
        long,
        value_name = "N,N",
        value_delimiter = ',',
        requires = "sessions_declared",
        conflicts_with = "table"
    )]
    session_looks: Vec<u16>,
    /// The sessions are of several players, and each agreed to be compared
    #[arg(long, conflicts_with = "table")]
    players_agreed: bool,
    /// Print one JSON object and write nothing
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    table: TableArguments,
    #[command(flatten)]
    rules: RuleArguments,
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
}

#[derive(Debug, clap::Args)]
#[command(
    next_help_heading = "Other rules (of a session they only explore, and everything says so)"
)]
struct RuleArguments {
    /// The analysis of this protocol file, in place of the rules frozen before the session
    #[arg(long, value_name = "FILE.toml", conflicts_with = "table")]
    rules: Option<PathBuf>,
    /// The value of a block (of a table: trimmed-mean, if left out)
    #[arg(long, value_enum)]
    statistic: Option<StatisticName>,
    /// The least difference that matters, ms (of a table: 5, if left out)
    #[arg(long, value_name = "MS", value_parser = smallest_change)]
    smallest_change: Option<f64>,
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

/// The range that a protocol file has for it.
fn smallest_change(text: &str) -> Result<f64, String> {
    let wrong = || format!("write ms from 0.5 to 100, for example 5, instead of `{text}`");
    text.parse().ok().filter(|ms| (0.5..=100.0).contains(ms)).ok_or_else(wrong)
}

impl From<StatisticName> for Statistic {
    fn from(name: StatisticName) -> Statistic {
        match name {
            StatisticName::TrimmedMean => Statistic::TrimmedMean,
            StatisticName::Median => Statistic::Median,
            StatisticName::Mean => Statistic::Mean,
        }
    }
}

impl Arguments {
    fn asked(&self) -> findings::Asked {
        findings::Asked {
            players: if self.players_agreed { Players::Agreed } else { Players::One },
            declared_sessions: self.sessions_declared.map(usize::from),
            session_looks: self.session_looks.iter().copied().map(usize::from).collect(),
        }
    }
}

impl RuleArguments {
    /// Whether a session is to be worked out under other rules than its own.
    fn explores(&self) -> bool {
        self.rules.is_some() || self.statistic.is_some() || self.smallest_change.is_some()
    }

    /// The session's protocol with these rules, and what they change.
    fn on(&self, frozen: &Protocol) -> Result<(Protocol, Vec<Change>), Failure> {
        let mut wanted = match &self.rules {
            Some(file) => source::load(&file.display().to_string())?.protocol,
            None => frozen.clone(),
        };
        if let Some(name) = self.statistic {
            wanted.analysis.statistic = name.into();
        }
        if let Some(ms) = self.smallest_change {
            wanted.analysis.smallest_change_ms = ms;
        }
        Ok(explore::under(frozen, &wanted)?)
    }
}

impl TableArguments {
    fn asked(&self, rules: &RuleArguments) -> Asked {
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
            statistic: rules.statistic.map_or(Statistic::TrimmedMean, Statistic::from),
            smallest_change_ms: rules.smallest_change.unwrap_or(5.0),
        }
    }
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let table = arguments.table.table.as_deref();
    let findings = match table {
        Some(file) => of_table(file, &arguments.table.asked(&arguments.rules))?,
        None if arguments.rules.explores() => {
            explored(&arguments.folders, &arguments.rules, arguments.asked())?
        }
        None => results::work_out_as(&arguments.folders, arguments.asked())?,
    };
    if arguments.json {
        say(FindingsJson::of(&findings).text().trim_end())?;
        return Ok(ExitCode::SUCCESS);
    }
    let out = match (&arguments.out, table) {
        (Some(out), _) => Some(out.clone()),
        (None, Some(file)) => Some(beside(file)),
        // Explored findings never lie where the declared ones do.
        (None, None) if findings.explored.is_some() => {
            arguments.folders.last().map(|last| last.join(format!("{FOLDER}-explored")))
        }
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

/// The sessions under other rules, marked as explored where they are other ones.
fn explored(
    folders: &[PathBuf],
    rules: &RuleArguments,
    asked: findings::Asked,
) -> Result<Findings, Failure> {
    let (mut sessions, mut changes) = (Vec::new(), Vec::new());
    for folder in folders {
        let session = results::open(folder)?;
        let (protocol, changed) = rules.on(&*source::recorded(&session)?)?;
        sessions.push(findings::session_data(&session, &protocol));
        changes = changed;
    }
    let mut findings = findings::work_out_as(sessions, asked)?;
    if let Some(known) = &mut findings.explored {
        *known = changes;
    }
    Ok(findings)
}
