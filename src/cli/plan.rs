//! `plan`: what a protocol plans: schedule, minutes, waits, and what it can show.

use super::difference::difference_ms;
use super::out::{Failure, say, say_json, warn};
use crate::plan::{self, Outlook};
use crate::protocol::{self, Minutes, Order, Part, Protocol, Schedule};
use crate::sim::Truth;
use crate::sitting::source;
use crate::words;
use serde_json::json;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  tautline plan two-holds
  tautline plan ./my-own.toml --difference 8
  tautline plan three-holds --seed 7 --schedule
  tautline plan two-holds --json

The chance of a clear answer comes from simulated sessions of a usual player (practice, drift,
blocks that differ, early presses and slow ones); it says what such a plan can show, not what you
will find.")]
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
}

pub(super) fn main(arguments: &Arguments) -> Result<ExitCode, Failure> {
    let protocol = source::load(&arguments.protocol)?.protocol;
    let schedule = protocol::draw(&protocol, arguments.seed);
    let takes = protocol::minutes(&protocol);
    let attainable = protocol::attainable_p(&protocol.design, protocol.conditions.len());
    if !arguments.json {
        warn(&format!("simulating {} sessions", arguments.simulations));
    }
    let truth = Truth::usual(protocol.conditions.len());
    let outlook = plan::outlook(
        &protocol,
        &truth,
        arguments.difference,
        arguments.simulations,
        arguments.seed,
    );
    if arguments.json {
        say_json(&as_json(&protocol, &schedule, &takes, attainable, &outlook))?;
    } else {
        say(&as_text(&protocol, &takes, attainable, &outlook))?;
        if arguments.schedule {
            say(&schedule_text(&protocol, &schedule))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn as_text(
    protocol: &Protocol,
    takes: &Minutes,
    attainable: Option<f64>,
    outlook: &Outlook,
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
    lines.push(words::outlook(
        outlook.difference_ms,
        outlook.clear_share,
        outlook.half_width_ms,
        protocol.analysis.smallest_change_ms,
    ));
    lines.join("\n")
}

fn as_json(
    protocol: &Protocol,
    schedule: &Schedule,
    takes: &Minutes,
    attainable: Option<f64>,
    outlook: &Outlook,
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
        "outlook": {
            "difference_ms": outlook.difference_ms,
            "simulations": outlook.simulations,
            "clear_answer_share": outlook.clear_share,
            "half_width_ms": outlook.half_width_ms,
        },
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
