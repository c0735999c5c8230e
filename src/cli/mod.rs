//! The command line: one thin file a command; arguments in, exit code out. No logic of its own.
//!
//! Results go to stdout, errors and progress to stderr. Exit codes: 0 done; 1 it could not be done
//! (three lines on stderr say what, where, and how to mend it); 2 the command line was wrong;
//! 3 the session ended before its last block (what was done is kept, its folder is printed).

mod close;
mod completions;
mod console;
mod devices;
mod difference;
mod findings;
#[cfg(feature = "window")]
mod force;
mod out;
mod own_player;
mod picture;
#[cfg(feature = "window")]
mod place;
mod plan;
mod plan_grid;
mod protocols;
mod rehearse;
mod replay;
mod rig;
#[cfg(feature = "window")]
mod run;
#[cfg(feature = "window")]
mod size;
#[cfg(feature = "window")]
mod window;

use self::console::Console;
use clap::{Parser, Subcommand};
use out::Failure;
use std::process::ExitCode;

/// Compares ways of holding a mouse by reaction time: plans, times, analyses and reports.
#[derive(Debug, Parser)]
#[command(name = "tautline", version, about, after_help = EXAMPLES)]
#[cfg_attr(feature = "window", command(args_conflicts_with_subcommands = true))]
#[cfg_attr(not(feature = "window"), command(arg_required_else_help = true))]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    #[cfg(feature = "window")]
    #[command(flatten)]
    window: window::WindowArguments,
}

const EXAMPLES: &str = "\
Without a command it opens its window, which leads through everything.

Examples:
  tautline                                   the window
  tautline rehearse three-holds              a session with a simulated player, no screen needed
  tautline plan two-holds                    minutes, waits, and what the plan can show
  tautline run two-holds --player ana        a session for real
  tautline findings FOLDER                   the sentence, and a report beside the record

Exit codes:
  0  done
  1  it could not be done; stderr says what, where, and how to mend it
  2  the command line was wrong
  3  the session ended before its last block; what was done is kept

A protocol is a file or the id of a shipped one (`tautline protocols` lists them).";

#[derive(Debug, Subcommand)]
enum Command {
    /// Run a session on the real screen with the real mouse
    #[cfg(feature = "window")]
    Run(run::Arguments),
    /// Run a session with a simulated player in virtual time
    Rehearse(rehearse::Arguments),
    /// Show what a protocol plans: schedule, minutes, waits, and what it can show
    Plan(plan::Arguments),
    /// Work out what one or more sessions found
    Findings(findings::Arguments),
    /// Draw the picture for an audience
    Picture(picture::Arguments),
    /// List mice and displays as the program sees them, and why not better
    Devices(devices::Arguments),
    /// Check display, mouse and computer; the lag by camera
    Rig(rig::Arguments),
    /// List force axes, or calibrate one for a player
    #[cfg(feature = "window")]
    Force(force::Arguments),
    /// List the shipped protocols, print one, or print the schema of the files
    Protocols(protocols::Arguments),
    /// Close a session that was cut off, as partial
    Close(close::Arguments),
    /// Feed a session's recorded events to the engine again and compare the trials
    Replay(replay::Arguments),
    /// Print completions for a shell
    Completions(completions::Arguments),
}

/// The whole command line as it is typed: for manual pages and completions.
pub fn command() -> clap::Command {
    <Arguments as clap::CommandFactory>::command()
}

/// Runs the command line and gives the exit code.
pub fn main() -> ExitCode {
    let console = Console::look();
    console.let_go();
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(told) if console.told_in_a_box(&told.to_string()) => return ExitCode::from(2),
        Err(told) => told.exit(),
    };
    let Some(command) = arguments.command else {
        #[cfg(feature = "window")]
        return ended(window::main(&arguments.window), console);
        // The parser has shown the help already.
        #[cfg(not(feature = "window"))]
        return ExitCode::from(2);
    };
    let done = match command {
        #[cfg(feature = "window")]
        Command::Run(arguments) => run::main(&arguments),
        Command::Rehearse(arguments) => rehearse::main(&arguments),
        Command::Plan(arguments) => plan::main(&arguments),
        Command::Findings(arguments) => findings::main(&arguments),
        Command::Picture(arguments) => picture::main(&arguments),
        Command::Devices(arguments) => devices::main(&arguments),
        Command::Rig(arguments) => rig::main(&arguments),
        #[cfg(feature = "window")]
        Command::Force(arguments) => force::main(&arguments),
        Command::Protocols(arguments) => protocols::main(&arguments),
        Command::Close(arguments) => close::main(&arguments),
        Command::Replay(arguments) => replay::main(&arguments),
        Command::Completions(arguments) => completions::main(&arguments),
    };
    ended(done, console)
}

/// The exit code; a failure is told where somebody reads it.
fn ended(done: Result<ExitCode, Failure>, console: Console) -> ExitCode {
    match done {
        Ok(code) => code,
        Err(failure) if console.told_in_a_box(&failure.to_string()) => ExitCode::from(1),
        Err(failure) => failure.report(),
    }
}
