//! `rehearse`: a session with a simulated player in virtual time, through the same engine, runner
//! and record as a real one.

use super::difference::difference_ms;
use super::out::{self, ENDED_EARLY, Failure, say};
use crate::engine::{Ending, Engine, Start};
use crate::findings::ANALYSIS_VERSION;
use crate::protocol::{self, Protocol};
use crate::record::{self, About, NewSession, Simulation};
use crate::session;
use crate::settings;
use crate::sim::{Player, SimDesk, SimScreen, Truth};
use crate::sitting::{Looks, Source, machine, source};
use crate::units::Nanos;
use crate::words::Told;
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

/// Under which nickname rehearsals are kept.
const NICKNAME: &str = "rehearsal";
/// The simulated player's gain, px for a count.
const PX_PER_COUNT: f64 = 0.5;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline rehearse three-holds
  tautline rehearse two-holds --seed 7 --difference firm=-12
  tautline rehearse ./my-own.toml --sessions 4 --data ./try

The player is invented and everything written is marked as simulated, for ever. Prints the session
folders on stdout, one a line.")]
pub(super) struct Arguments {
    /// A protocol file, or the id of a shipped protocol
    protocol: String,
    /// Where sessions are kept (default: the platform's data folder)
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Seed of the draw and of the player (default: a new one)
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// How much slower (or, negative, faster) a hold truly is, ms; may be repeated
    #[arg(long, value_name = "CONDITION=MS", value_parser = difference, allow_hyphen_values = true)]
    difference: Vec<Difference>,
    /// How many sessions
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    sessions: u32,
}

/// One `CONDITION=MS`.
#[derive(Debug, Clone)]
struct Difference {
    condition: String,
    ms: f64,
}

fn difference(text: &str) -> Result<Difference, String> {
    let wrong = || format!("write CONDITION=MS, for example firm=-12, instead of `{text}`");
    let (condition, ms) = text.split_once('=').ok_or_else(wrong)?;
    let ms = difference_ms(ms.trim())?;
    Ok(Difference { condition: condition.trim().to_owned(), ms })
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let source = source::load(&arguments.protocol)?;
    let truth = truth(&source.protocol, &arguments.difference)?;
    let data = source::data_folder(arguments.data.as_deref())?;
    let first_seed = source::seed(arguments.seed);
    let mut all_complete = true;
    for number in 0..arguments.sessions {
        let seed = first_seed.wrapping_add(u64::from(number));
        let (folder, ending) = one(&source, &truth, &data, seed)?;
        say(&folder.display().to_string())?;
        all_complete &= matches!(ending, Ending::Complete | Ending::Settled);
    }
    Ok(if all_complete { ExitCode::SUCCESS } else { ExitCode::from(ENDED_EARLY) })
}

fn truth(protocol: &Protocol, differences: &[Difference]) -> Result<Truth, Failure> {
    let mut truth = Truth::usual(protocol.conditions.len());
    for difference in differences {
        let index = protocol.conditions.iter().position(|c| c.id == difference.condition);
        let Some(index) = index else {
            let known: Vec<_> = protocol.conditions.iter().map(|c| c.id.as_str()).collect();
            return Err(Failure::Told(vec![Told {
                what: format!("protocol `{}` has no hold `{}`", protocol.id, difference.condition),
                place: Some("--difference".to_owned()),
                mend: format!("write one of: {}", known.join(", ")),
            }]));
        };
        truth.differences_ms[index] = difference.ms;
    }
    Ok(truth)
}

/// One session; gives its folder and how it ended.
fn one(
    source: &Source,
    truth: &Truth,
    data: &Path,
    seed: u64,
) -> Result<(PathBuf, Ending), Failure> {
    let protocol = Arc::new(source.protocol.clone());
    let schedule = Arc::new(protocol::draw(&protocol, seed));
    let player = settings::players::find_or_create(data, NICKNAME, seed)?;
    let screen = SimScreen::usual();
    let start = Nanos(0);
    let differences_ms = protocol
        .conditions
        .iter()
        .zip(&truth.differences_ms)
        .map(|(condition, ms)| (condition.id.clone(), *ms))
        .collect();
    let about = About {
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        rules_hash: protocol::rules_hash(&protocol, ANALYSIS_VERSION),
        analysis_version: ANALYSIS_VERSION,
        machine: machine::machine(),
        display: json!({
            "simulated": true,
            "clock": { "chosen": "simulated" },
            "refresh_hz": screen.canvas.rate_hz,
            "vsync": { "state": "locked", "how": "simulated" },
        }),
        input: json!({ "simulated": true, "source": "simulated" }),
        priorities: Vec::new(),
        latency_notes: Vec::new(),
        rig: None,
        px_per_count: PX_PER_COUNT,
        simulation: Some(Simulation { seed, differences_ms, player: json!(truth) }),
        start: machine::start(start),
    };
    let mut keep = record::create(&NewSession {
        data,
        player: &player.id,
        protocol: &protocol,
        protocol_text: &source.text,
        schedule: &schedule,
        about,
    })?;
    let hand = Player::new(truth.clone(), seed);
    let mut desk = SimDesk::new(
        Arc::clone(&protocol),
        Arc::clone(&schedule),
        screen,
        hand,
        PX_PER_COUNT,
        start,
    );
    let mut judge = Looks::new(&protocol, &schedule, &[], Box::new(out::told));
    let mut engine = Engine::new(protocol, schedule, Start::default());
    let ending = session::run(&mut engine, &mut desk, &mut keep, &mut judge)?;
    Ok((keep.folder().to_path_buf(), ending))
}
