//! `plan`: what a protocol plans: schedule, minutes, waits, and what it can show.

use super::difference::difference_ms;
use super::out::{Failure, say, say_json, warn};
use super::own_player;
use super::plan_grid::{self, Numbers, Stop};
use crate::plan::{self, Grid, Outlook};
use crate::protocol::{self, Minutes, Order, Part, Protocol, Schedule};
use crate::sim::Truth;
use crate::sitting::source;
use crate::words;
use serde_json::json;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline plan two-holds
  tautline plan ./my-own.toml --difference 8
  tautline plan three-holds --seed 7 --schedule
  tautline plan two-holds --json
  tautline plan two-holds --grid --out plans.svg     cycles against trials, side by side, and a plot
  tautline plan two-holds --wish 0.8                 the smallest plan that is clear in 8 of 10 sessions
  tautline plan two-holds --grid --from FOLDER       tried on a player like you in those sessions

The chance of a clear answer comes from simulated sessions of a usual player (practice, drift,
blocks that differ, early presses and slow ones), or with --from of one whose times and blocks vary
as yours did; it says what such a plan can show, not what you will find. Ctrl-C stops it.")]
pub(super) struct Arguments {
    /// A protocol file, or the id of a shipped protocol
    protocol: String,
    /// The true difference to plan for, ms
    #[arg(long, value_name = "MS", default_value_t = 12.0, value_parser = difference_ms, allow_hyphen_values = true)]
    difference: f64,
    /// How many sessions to simulate
    #[arg(long, value_name = "N", default_value_t = 400, value_parser = clap::value_parser!(u32).range(50..=20_000))]
    simulations: u32,
    /// Seed of the schedule shown and of the simulation
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Also print every block of the schedule
    #[arg(long)]
    schedule: bool,
    /// As JSON
    #[arg(long)]
    json: bool,
    /// Take the simulated player from these sessions of yours, of any protocol
    #[arg(long, value_name = "FOLDER", num_args = 1..)]
    from: Vec<PathBuf>,
    /// Plans of other sizes side by side
    #[arg(long)]
    grid: bool,
    /// Cycles to try, as 6,8,10 (with --grid or --wish; default: about the protocol's own)
    #[arg(long, value_name = "LIST", value_parser = Numbers::cycles)]
    cycles: Option<Numbers>,
    /// Trials a block to try, as 10,16,20 (with --grid or --wish; default: about the protocol's own)
    #[arg(long, value_name = "LIST", value_parser = Numbers::trials)]
    trials: Option<Numbers>,
    /// The chance of a clear answer that you want, as 0.8: names the smallest plan that has it
    #[arg(long, value_name = "SHARE", value_parser = plan_grid::wish)]
    wish: Option<f64>,
    /// Write a plot of the plans: an SVG file, or PNG if its name ends so
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl Arguments {
    /// Whether plans of other sizes are asked for.
    fn wants_grid(&self) -> bool {
        let sizes = self.cycles.is_some() || self.trials.is_some();
        self.grid || sizes || self.wish.is_some() || self.out.is_some()
    }
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let protocol = source::load(&arguments.protocol)?.protocol;
    let schedule = protocol::draw(&protocol, arguments.seed);
    let takes = protocol::minutes(&protocol);
    let attainable = protocol::attainable_p(&protocol.design, protocol.conditions.len());
    let (truth, tried_on) = player(arguments, &protocol)?;
    if !arguments.json {
        warn(&format!("simulating {} sessions", arguments.simulations));
    }
    let stop = Stop::listen()?;
    let asked = plan::Asked {
        protocol: &protocol,
        truth: &truth,
        difference_ms: arguments.difference,
        simulations: arguments.simulations,
        seed: arguments.seed,
    };
    // The simulated player's variability is that of single answers.
    let (outlook, grid) = if protocol.analysis.measure.is_of_answer() {
        let Some((outlook, grid)) = look_ahead(arguments, &asked, &stop) else {
            warn(words::plan::STOPPED);
            return Ok(ExitCode::from(plan_grid::STOPPED));
        };
        (Some(outlook), grid)
    } else {
        (None, None)
    };
    if let (Some(grid), Some(file)) = (&grid, &arguments.out) {
        plan_grid::write_plot(grid, arguments.wish, file)?;
    }
    if arguments.json {
        let mut told = as_json(&protocol, &schedule, &takes, attainable, outlook.as_ref());
        told["player"] = json!(tried_on);
        if let Some(grid) = &grid {
            told["grid"] = plan_grid::as_json(grid, arguments.wish);
        }
        say_json(&told)?;
    } else {
        say(&as_text(&protocol, &takes, attainable, outlook.as_ref()))?;
        say(&tried_on)?;
        if arguments.schedule {
            say(&schedule_text(&protocol, &schedule))?;
        }
        if let Some(grid) = &grid {
            plan_grid::tell(grid, arguments.wish)?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// What the plan can show, and plans of other sizes where they are asked for; nothing where it was
/// stopped.
fn look_ahead(
    arguments: &Arguments,
    asked: &plan::Asked,
    stop: &Stop,
) -> Option<(Outlook, Option<Grid>)> {
    let plan::Asked { protocol, truth, difference_ms, simulations, seed } = *asked;
    let go_on = || stop.goes_on();
    let outlook = plan::outlook_while(protocol, truth, difference_ms, simulations, seed, &go_on)?;
    if !arguments.wants_grid() {
        return Some((outlook, None));
    }
    let (cycles, trials) = (arguments.cycles.as_ref(), arguments.trials.as_ref());
    plan_grid::try_all(asked, cycles, trials, stop).map(|grid| (outlook, Some(grid)))
}

/// The player to simulate, and a sentence on it.
fn player(arguments: &Arguments, protocol: &Protocol) -> Result<(Truth, String), Failure> {
    let holds = protocol.conditions.len();
    if arguments.from.is_empty() {
        return Ok((Truth::usual(holds), words::plan::usual_player()));
    }
    let own = own_player::read(&arguments.from, protocol)?;
    let tried_on =
        words::plan::own_player(own.sessions, own.blocks, own.times, own.truth.block_sd_ms);
    Ok((own.truth, tried_on))
}

fn as_text(
    protocol: &Protocol,
    takes: &Minutes,
    attainable: Option<f64>,
    outlook: Option<&Outlook>,
) -> String {
    let design = &protocol.design;
    let holds: Vec<_> = protocol.conditions.iter().map(|c| c.id.as_str()).collect();
    let mut lines = vec![
        protocol.title.clone(),
        String::new(),
        format!(
            "{} cycles of {} holds ({}), {} trials a block, order {}",
            design.cycles,
            holds.len(),
            holds.join(", "),
            design.trials,
            order_name(design.order),
        ),
        format!("about {:.0} minutes, rests included; {} presses", takes.elapsed, takes.presses),
        format!("under each hold about {:.1} minutes", takes.under_hold.first().unwrap_or(&0.0)),
    ];
    if takes.firm_presses > 0 {
        lines.push(format!(
            "under a firm hold at most {:.1} minutes, {} presses",
            takes.firm_at_most, takes.firm_presses
        ));
    }
    lines.push(format!(
        "mean wait {:.0} ms; about {:.0} empty waits",
        takes.mean_wait_ms, takes.empty_waits
    ));
    lines.push(String::new());
    lines.push(words::attainable(attainable, protocol.analysis.confidence));
    lines.push(outlook.map_or_else(
        || words::no_outlook(protocol.analysis.measure.name()),
        |outlook| {
            words::outlook(
                outlook.difference_ms,
                outlook.clear_share,
                outlook.half_width_ms,
                protocol.analysis.smallest_change_ms,
            )
        },
    ));
    if let Some(outlook) = outlook.filter(|_| !design.looks.is_empty()) {
        lines.push(words::plan::looks(outlook.mean_cycles, design.cycles));
    }
    lines.join("\n")
}

fn as_json(
    protocol: &Protocol,
    schedule: &Schedule,
    takes: &Minutes,
    attainable: Option<f64>,
    outlook: Option<&Outlook>,
) -> serde_json::Value {
    let blocks: Vec<_> = schedule
        .blocks
        .iter()
        .map(|block| {
            json!({
                "block": block.position,
                "cycle": block.cycle,
                "condition": protocol.conditions[block.condition].id,
                "foreperiods_ms": block.trials.iter().map(|t| t.foreperiod_ms).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "format": 1,
        "protocol": protocol.id,
        "draw_rule": schedule.draw_rule,
        "seed": schedule.seed,
        "minutes": takes.elapsed,
        "minutes_under_each_hold": takes.under_hold.first(),
        "firm_minutes_at_most": takes.firm_at_most,
        "presses": takes.presses,
        "firm_presses": takes.firm_presses,
        "mean_wait_ms": takes.mean_wait_ms,
        "empty_waits": takes.empty_waits,
        "attainable_p": attainable,
        "outlook": outlook.map(|outlook| json!({
            "difference_ms": outlook.difference_ms,
            "simulations": outlook.simulations,
            "clear_answer_share": outlook.clear_share,
            "half_width_ms": outlook.half_width_ms,
            "power": outlook.found_share,
            "mean_cycles": outlook.mean_cycles,
        })),
        "schedule": blocks,
    })
}

fn schedule_text(protocol: &Protocol, schedule: &Schedule) -> String {
    let mut lines =
        vec![String::new(), "block  cycle  hold          main  warm-up  empty".to_owned()];
    for block in &schedule.blocks {
        let count = |part| block.trials.iter().filter(|t| t.part == part).count();
        lines.push(format!(
            "{:>5}  {:>5}  {:<12}  {:>4}  {:>7}  {:>5}",
            block.position,
            block.cycle,
            protocol.conditions[block.condition].id,
            count(Part::Main),
            count(Part::WarmUp),
            count(Part::Catch),
        ));
    }
    lines.join("\n")
}

const fn order_name(order: Order) -> &'static str {
    match order {
        Order::Williams => "williams",
        Order::Mirrored => "mirrored",
        Order::Shuffled => "shuffled",
        Order::Fixed => "fixed",
    }
}
