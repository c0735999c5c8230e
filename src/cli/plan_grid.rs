//! `plan --grid`: plans of other sizes side by side, with progress, a stop, and a plot.

use super::out::{Failure, say, warn};
use crate::findings::plot::{planned, png, svg};
use crate::plan::{self, Cell, Grid, Sizes};
use crate::protocol::Refusal;
use crate::words::{Told, plan as words};
use serde_json::{Value, json};
use signal_hook::consts::SIGINT;
use std::io::{IsTerminal, Write, stderr};
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Exit code of a command that the player stopped, as shells have it: 128 and the signal's number.
pub(super) const STOPPED: u8 = 130;

/// A list of whole numbers, as `6,8,10`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Numbers(Vec<usize>);

impl Numbers {
    /// Cycles to try.
    pub(super) fn cycles(text: &str) -> Result<Numbers, String> {
        Numbers::within(text, 1, 40)
    }

    /// Trials to try.
    pub(super) fn trials(text: &str) -> Result<Numbers, String> {
        Numbers::within(text, 5, 100)
    }

    fn within(text: &str, least: usize, most: usize) -> Result<Numbers, String> {
        let wrong = || {
            format!("write whole numbers from {least} to {most}, as 6,8,10, instead of `{text}`")
        };
        let number = |part: &str| {
            let number = part.trim().parse::<usize>().ok();
            number.filter(|number| (least..=most).contains(number)).ok_or_else(wrong)
        };
        let mut list = text.split(',').map(number).collect::<Result<Vec<usize>, String>>()?;
        list.sort_unstable();
        list.dedup();
        Ok(Numbers(list))
    }
}

/// A chance wished for, as 0.8.
pub(super) fn wish(text: &str) -> Result<f64, String> {
    let wrong = || format!("write a share from 0.1 to 0.99, for example 0.8, instead of `{text}`");
    text.parse().ok().filter(|share| (0.1..=0.99).contains(share)).ok_or_else(wrong)
}

/// Tries the sizes; nothing where the player stopped it.
pub(super) fn try_all(
    asked: &plan::Asked,
    cycles: Option<&Numbers>,
    trials: Option<&Numbers>,
    stop: &Stop,
) -> Option<Grid> {
    let about = Sizes::about(asked.protocol);
    let sizes = Sizes {
        cycles: cycles.map_or(about.cycles, |list| list.0.clone()),
        trials: trials.map_or(about.trials, |list| list.0.clone()),
    };
    // On a terminal one line is written over; in a file every tenth is a line.
    let over = stderr().is_terminal();
    let step = if over { 1 } else { 10 };
    let next = Mutex::new(0);
    let go_on = |done: u64, all: u64| {
        let percent = 100 * done / all.max(1);
        if let Ok(mut next) = next.try_lock()
            && percent >= *next
        {
            *next = percent + step;
            progress(percent, over);
        }
        stop.goes_on()
    };
    let grid = plan::grid(asked, &sizes, &go_on);
    if over {
        progress(100, over);
        warn("");
    }
    grid
}

/// Hears Ctrl-C: the work then ends by itself, with a word.
pub(super) struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Hears it from now on.
    pub(super) fn listen() -> Result<Stop, Failure> {
        let asked = Arc::new(AtomicBool::new(false));
        match signal_hook::flag::register(SIGINT, Arc::clone(&asked)) {
            Ok(_) => Ok(Stop(asked)),
            Err(source) => Err(Failure::Told(vec![Told {
                what: format!("the system does not let this program hear Ctrl-C: {source}"),
                place: Some("signals".to_owned()),
                mend: "try again".to_owned(),
            }])),
        }
    }

    /// Whether nobody has asked to stop.
    pub(super) fn goes_on(&self) -> bool {
        !self.0.load(Ordering::Relaxed)
    }
}

/// If nobody reads it, nothing is lost.
fn progress(percent: u64, over: bool) {
    let (before, after) = if over { ("\r", "") } else { ("", "\n") };
    let mut out = stderr().lock();
    let _closed =
        write!(out, "{before}simulating: {percent:>3} %{after}").and_then(|()| out.flush());
}

/// The table and the wish, in words.
pub(super) fn tell(grid: &Grid, wish: Option<f64>) -> Result<(), Failure> {
    say("")?;
    say("cycles  trials  minutes  firm min  clear  power  give or take")?;
    for cell in &grid.cells {
        let sizes = format!("{:>6}  {:>6}", cell.cycles, cell.trials);
        say(&match &cell.plan {
            Ok(plan) => format!(
                "{sizes}  {:>7.0}  {:>8.1}  {:>4.0} %  {:>3.0} %  {:>9.1} ms",
                plan.takes.elapsed,
                plan.takes.firm_at_most,
                plan.outlook.clear_share * 100.0,
                plan.outlook.found_share * 100.0,
                plan.outlook.half_width_ms,
            ),
            Err(refusal) => format!("{sizes}  {}", refused(refusal)),
        })?;
    }
    say("")?;
    if let Some(trade) = grid.trade() {
        say(&words::trade(trade.by_cycles, trade.by_trials))?;
    }
    let most = 0.5 / f64::from(grid.simulations.max(1)).sqrt();
    say(&words::give_or_take(grid.simulations, most))?;
    if let Some(wish) = wish {
        say(&match grid.smallest(wish).and_then(|cell| Some((cell, cell.plan.as_ref().ok()?))) {
            Some((cell, plan)) => words::smallest(
                cell.cycles,
                cell.trials,
                plan.takes.elapsed,
                plan.takes.firm_at_most,
                plan.outlook.clear_share,
                wish,
            ),
            None => {
                let share = |cell: &Cell| Some(cell.plan.as_ref().ok()?.outlook.clear_share);
                let best = grid.surest();
                let best = best.and_then(|cell| Some((cell.cycles, cell.trials, share(cell)?)));
                words::none_meets(wish, best)
            }
        })?;
    }
    Ok(())
}

/// The same as JSON.
pub(super) fn as_json(grid: &Grid, wish: Option<f64>) -> Value {
    let cells: Vec<Value> = grid
        .cells
        .iter()
        .map(|cell| match &cell.plan {
            Ok(plan) => json!({
                "cycles": cell.cycles,
                "trials": cell.trials,
                "minutes": plan.takes.elapsed,
                "firm_minutes_at_most": plan.takes.firm_at_most,
                "presses": plan.takes.presses,
                "clear_answer_share": plan.outlook.clear_share,
                "power": plan.outlook.found_share,
                "half_width_ms": plan.outlook.half_width_ms,
            }),
            Err(refusal) => json!({
                "cycles": cell.cycles,
                "trials": cell.trials,
                "refused": refused(refusal),
            }),
        })
        .collect();
    let smallest = wish.and_then(|wish| grid.smallest(wish));
    json!({
        "simulations": grid.simulations,
        "plans": cells,
        "wish": wish,
        "smallest": smallest.map(|cell| json!({ "cycles": cell.cycles, "trials": cell.trials })),
    })
}

/// Writes the plot.
pub(super) fn write_plot(grid: &Grid, wish: Option<f64>, file: &Path) -> Result<(), Failure> {
    let drawing = planned::draw(grid, wish);
    let picture = if file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("png")) {
        png::paint(&drawing)?
    } else {
        svg::paint(&drawing, svg::Letters::Outlines).into_bytes()
    };
    std::fs::write(file, picture).map_err(|source| {
        Failure::Told(vec![Told {
            what: format!("the plot cannot be written: {source}"),
            place: Some(file.display().to_string()),
            mend: "name a file in a folder that exists and may be written: --out plans.svg"
                .to_owned(),
        }])
    })
}

fn refused(refusal: &Refusal) -> String {
    match refusal {
        Refusal::WholeSets { set } => words::refused_sets(*set),
        Refusal::TooFewCycles { least } => words::refused_too_few(*least),
        Refusal::NoOrder | Refusal::Look(_) => words::REFUSED_NO_ORDER.to_owned(),
        Refusal::FirmBlock { longest_s } => words::refused_firm_block(*longest_s),
        Refusal::FirmMinutes { minutes } => words::refused_firm_minutes(*minutes),
        Refusal::TooLong { minutes } => words::refused_too_long(*minutes),
    }
}
