//! Plays the program and the plain loop in turn and prints what came out.

use crate::bars;
use crate::figures::{HEAD, Runs};
use crate::load::Load;
use crate::plain as plain_loop;
use crate::support::players::{self, Play, Programs};
use crate::support::xserver::XServer;
use crate::support::{floor, matching};
use clap::Parser;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Compares what programs logged with what a robot did.
#[derive(Debug, Parser)]
#[command(name = "robot-bench")]
pub(crate) struct Options {
    /// Protocol of the program's sessions
    #[arg(long, default_value = "tests/data/short-wait.toml")]
    protocol: PathBuf,
    /// What the protocol's task is to the robot
    #[arg(long, default_value = "simple")]
    task: String,
    /// How often each is played
    #[arg(long, default_value_t = 3)]
    turns: u64,
    /// Trials of the plain loop a turn
    #[arg(long, default_value_t = 60)]
    trials: u32,
    /// Only the robot's own floor and the plain loop
    #[arg(long)]
    without_program: bool,
    /// A busy process on each core beside everything. Errors may grow then; what is judged is
    /// that nothing is lost and that no error is above 4 stated sd without a flag
    #[arg(long)]
    load: bool,
    /// Where the data are kept; must be new
    #[arg(long)]
    keep: PathBuf,
}

pub(crate) fn run(options: &Options) -> ExitCode {
    let own = std::env::current_exe().expect("the system tells where this program lies");
    let folder = own.parent().and_then(|examples| examples.parent()).expect("target/PROFILE");
    let programs = Programs { folder: folder.to_owned() };
    let screen = XServer::start();
    let load = options.load.then(Load::on_each_core);
    let (mut program, mut plain) = (Runs::default(), Runs::default());
    let (mut sources, mut hits) = (Vec::new(), 0);
    let task = |seed| Play { task: options.task.clone(), seed, at_most_s: 900 };
    let simple = |seed| Play { task: "simple".to_owned(), seed, at_most_s: 900 };

    let mut own_floor = Runs::default();
    let floor =
        floor::play(&programs, &screen, options.trials, &options.keep.join("floor"), &simple(1));
    own_floor.add(matching::lay(&floor.truth, &floor.told));
    for turn in 1..=options.turns {
        let at = |who: &str| options.keep.join(format!("{who}-{turn}"));
        let played =
            plain_loop::play(&programs, &screen, options.trials, &at("plain"), &simple(turn));
        plain.add(matching::lay(&played.truth, &played.told));
        if !options.without_program {
            let folder = at("program");
            let played =
                players::session(&programs, &screen, &options.protocol, &folder, &task(turn));
            program.add(matching::lay(&played.truth, &played.session.attempts));
            sources.extend(played.session.sources);
            hits += played.session.hits;
        }
    }
    let busy = load.as_ref().map_or(0, Load::processes);
    drop(load);
    watched(&options.keep);
    sources.sort();
    sources.dedup();
    let sources =
        format!("{hits} hits, stamps from {}; {busy} busy processes beside it", sources.join(", "));
    let of_program = (!options.without_program).then_some(&program);
    print(&own_floor, &plain, of_program, &sources, options.load)
}

/// Prints how closely the robot watched each run.
#[expect(clippy::print_stdout, reason = "the robot's own figures belong to the table")]
fn watched(keep: &Path) {
    let folders = std::fs::read_dir(keep).expect("the data just written");
    let mut folders: Vec<PathBuf> =
        folders.map(|entry| entry.expect("a readable folder").path()).collect();
    folders.sort();
    for folder in folders {
        let said = std::fs::read_to_string(folder.join(players::ROBOT_SAID));
        let name = folder.file_name().unwrap_or_default().display();
        println!("{name}: {}", said.expect("the robot says how it watched").trim());
    }
    println!();
}

#[expect(clippy::print_stdout, reason = "the table is what this program is for")]
fn print(
    floor: &Runs,
    plain: &Runs,
    program: Option<&Runs>,
    of_sessions: &str,
    loaded: bool,
) -> ExitCode {
    print!("{HEAD}{}{}", floor.rows("robot's own floor"), plain.rows("plain loop"));
    let Some(program) = program else {
        println!("\n{}\n{}", floor.counts("floor"), plain.counts("plain loop"));
        return ExitCode::SUCCESS;
    };
    print!("{}", program.rows("tautline"));
    println!("\n{}", floor.counts("floor"));
    println!("{}", plain.counts("plain loop"));
    println!("{}; {of_sessions}\n", program.counts("tautline"));
    let bars = if loaded { bars::under_load(program) } else { bars::judge(program, plain) };
    println!("{}\n", bars::by_flag(program));
    for bar in &bars {
        println!("{}", bar.line());
    }
    if bars.iter().all(|bar| bar.passed) { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
