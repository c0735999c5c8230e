//! Many plans side by side: cycles against trials, and the smallest that meets a wish.
//!
//! Each cell is the same protocol with other sizes, simulated with the same seeds; what the checker
//! would refuse is named and not simulated. It uses every core and can be stopped at any session.

use super::{Outlook, outlook_while};
use crate::protocol::{self, Minutes, Order, Protocol, Refusal};
use crate::sim::Truth;
use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::thread;

/// What is asked of each plan.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The protocol whose sizes are changed.
    pub protocol: &'a Protocol,
    /// The player.
    pub truth: &'a Truth,
    /// The true difference, ms.
    pub difference_ms: f64,
    /// Sessions simulated for each plan.
    pub simulations: u32,
    /// Seed of all of them.
    pub seed: u64,
}

/// The sizes to try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sizes {
    /// Cycles, ascending.
    pub cycles: Vec<usize>,
    /// Trials a block, ascending.
    pub trials: Vec<usize>,
}

/// One plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// Cycles.
    pub cycles: usize,
    /// Trials a block.
    pub trials: usize,
    /// What it can show and takes, or why it may not be.
    pub plan: Result<Planned, Refusal>,
}

/// A plan that may be run.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// What it can show.
    pub outlook: Outlook,
    /// What it takes.
    pub takes: Minutes,
}

/// All plans, by cycles, then by trials.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// The plans.
    pub cells: Vec<Cell>,
    /// The true difference that was simulated, ms.
    pub difference_ms: f64,
    /// Sessions simulated for each plan.
    pub simulations: u32,
}

/// What a minute more adds to the chance of a clear answer, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trade {
    /// Spent on more cycles.
    pub by_cycles: f64,
    /// Spent on more trials a block.
    pub by_trials: f64,
}

impl Sizes {
    /// Sizes about a protocol's own, whole sets of its order alone.
    pub fn about(protocol: &Protocol) -> Sizes {
        let design = &protocol.design;
        let set = protocol::whole_set(design.order, protocol.conditions.len());
        let mut cycles: Vec<usize> = match design.order {
            Order::Williams => (1..=4).map(|sets| sets * set).collect(),
            Order::Mirrored | Order::Shuffled | Order::Fixed => vec![4, 6, 8, 10, 12, 16],
        };
        let mut trials = vec![8, 12, 16, 20, 30];
        for (list, own) in [(&mut cycles, design.cycles), (&mut trials, design.trials)] {
            list.push(own);
            list.sort_unstable();
            list.dedup();
        }
        // A block that is too long under a firm hold is so with any number of cycles.
        trials.retain(|&trials| {
            let tried = protocol::resized(protocol, design.cycles, trials);
            !matches!(tried, Err(Refusal::FirmBlock { .. }))
        });
        Sizes { cycles, trials }
    }
}

impl Grid {
    /// The plan of the fewest minutes whose chance of a clear answer is at least `share`, 0 to 1;
    /// of equal minutes the one with fewer presses.
    pub fn smallest(&self, share: f64) -> Option<&Cell> {
        let takes = |cell: &Cell| {
            let plan = cell.plan.as_ref().ok()?;
            (plan.outlook.clear_share >= share).then_some((plan.takes.elapsed, plan.takes.presses))
        };
        let fitting = self.cells.iter().filter_map(|cell| Some((takes(cell)?, cell)));
        let least = fitting.min_by(|((m, p), _), ((n, q), _)| m.total_cmp(n).then(p.cmp(q)));
        least.map(|(_, cell)| cell)
    }

    /// What a minute more buys, over all plans that differ from another by the next size alone.
    pub fn trade(&self) -> Option<Trade> {
        let sound: Vec<(usize, usize, &Planned)> = self
            .cells
            .iter()
            .filter_map(|cell| Some((cell.cycles, cell.trials, cell.plan.as_ref().ok()?)))
            .collect();
        let per_minute = |along: fn(&(usize, usize, &Planned)) -> (usize, usize)| {
            let (mut gained, mut minutes) = (0.0, 0.0);
            for one in &sound {
                let (kept, size) = along(one);
                let next = sound.iter().filter(|other| along(other).0 == kept);
                let next = next.filter(|other| along(other).1 > size);
                let Some(next) = next.min_by_key(|other| along(other).1) else { continue };
                gained += next.2.outlook.clear_share - one.2.outlook.clear_share;
                minutes += next.2.takes.elapsed - one.2.takes.elapsed;
            }
            (minutes > 0.0).then(|| gained / minutes)
        };
        Some(Trade {
            by_cycles: per_minute(|(cycles, trials, _)| (*trials, *cycles))?,
            by_trials: per_minute(|(cycles, trials, _)| (*cycles, *trials))?,
        })
    }

    /// The plan with the largest chance of a clear answer.
    pub fn surest(&self) -> Option<&Cell> {
        let share = |cell: &Cell| cell.plan.as_ref().map_or(-1.0, |plan| plan.outlook.clear_share);
        let sound = self.cells.iter().filter(|cell| cell.plan.is_ok());
        sound.max_by(|one, other| share(one).total_cmp(&share(other)))
    }
}

/// Tries every plan; nothing where it was stopped.
///
/// `go_on` is told how many sessions of how many are done, before each, from several threads; once
/// it says no, all stop.
pub fn grid(
    asked: &Asked,
    sizes: &Sizes,
    go_on: &(dyn Fn(u64, u64) -> bool + Sync),
) -> Option<Grid> {
    let plans: Vec<(usize, usize, Result<Protocol, Refusal>)> = sizes
        .cycles
        .iter()
        .flat_map(|&cycles| sizes.trials.iter().map(move |&trials| (cycles, trials)))
        .map(|(cycles, trials)| (cycles, trials, protocol::resized(asked.protocol, cycles, trials)))
        .collect();
    let sound = plans.iter().filter(|(_, _, plan)| plan.is_ok()).count() as u64;
    let all = sound * u64::from(asked.simulations);
    let (next, done, stopped) = (AtomicUsize::new(0), AtomicU64::new(0), AtomicBool::new(false));
    let cells: Mutex<Vec<(usize, Cell)>> = Mutex::new(Vec::with_capacity(plans.len()));
    let work = || loop {
        let place = next.fetch_add(1, Ordering::Relaxed);
        let Some((cycles, trials, plan)) = plans.get(place) else { return };
        let plan = match plan {
            Ok(protocol) => {
                let one_more = || {
                    let so_far = done.fetch_add(1, Ordering::Relaxed);
                    let on = !stopped.load(Ordering::Relaxed) && go_on(so_far, all);
                    if !on {
                        stopped.store(true, Ordering::Relaxed);
                    }
                    on
                };
                let Asked { truth, difference_ms, simulations, seed, .. } = *asked;
                let outlook =
                    outlook_while(protocol, truth, difference_ms, simulations, seed, &one_more);
                let Some(outlook) = outlook else { return };
                Ok(Planned { outlook, takes: protocol::minutes(protocol) })
            }
            Err(refusal) => Err(*refusal),
        };
        let cell = Cell { cycles: *cycles, trials: *trials, plan };
        // A thread that has died has told of itself; what the others found stays good.
        cells.lock().unwrap_or_else(std::sync::PoisonError::into_inner).push((place, cell));
    };
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get).min(plans.len());
    thread::scope(|scope| {
        for number in 1..threads {
            let name = format!("plan {number}");
            // Where no thread is to be had, this one does it all.
            let _spared = thread::Builder::new().name(name).spawn_scoped(scope, work);
        }
        work();
    });
    if stopped.load(Ordering::Relaxed) {
        return None;
    }
    let mut cells = cells.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    cells.sort_by_key(|(place, _)| *place);
    let cells = cells.into_iter().map(|(_, cell)| cell).collect();
    let Asked { difference_ms, simulations, .. } = *asked;
    Some(Grid { cells, difference_ms, simulations })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::protocol::{read, shipped};

    fn two_holds() -> Protocol {
        let text = shipped::find("two-holds").expect("it is shipped").text;
        read(text, "two-holds").expect("it is sound")
    }

    fn asked<'a>(protocol: &'a Protocol, truth: &'a Truth) -> Asked<'a> {
        Asked { protocol, truth, difference_ms: 12.0, simulations: 100, seed: 1 }
    }

    #[test]
    fn more_of_either_tells_more_and_the_smallest_plan_is_the_shortest() {
        let (protocol, truth) = (two_holds(), Truth::usual(2));
        let sizes = Sizes { cycles: vec![4, 10], trials: vec![8, 16] };
        let grid = grid(&asked(&protocol, &truth), &sizes, &|_, _| true).expect("nobody stops it");
        let share = |cycles, trials| {
            let cell = grid.cells.iter().find(|c| (c.cycles, c.trials) == (cycles, trials));
            let plan = cell.expect("it was asked for").plan.as_ref().expect("it may be run");
            (plan.outlook.clear_share, plan.outlook.half_width_ms, plan.takes.elapsed)
        };
        let (little, much) = (share(4, 8), share(10, 16));
        // 100 sessions each: two standard errors of a difference of shares are 0.14 at most.
        assert!(much.0 > little.0 + 0.2 && much.1 < little.1 && much.2 > little.2);
        let least = grid.smallest(much.0).expect("the largest meets it").plan.as_ref();
        assert!(least.expect("it may be run").takes.elapsed <= much.2);
        assert_eq!(grid.smallest(1.01), None);
    }

    #[test]
    fn what_the_checker_refuses_is_named_and_not_simulated() {
        let (protocol, truth) = (two_holds(), Truth::usual(2));
        let sizes = Sizes { cycles: vec![3, 40], trials: vec![100] };
        let grid = grid(&asked(&protocol, &truth), &sizes, &|_, _| false).expect("nothing to stop");
        assert!(grid.cells.iter().all(|cell| cell.plan.is_err()), "{grid:?}");
    }

    #[test]
    fn it_stops_when_told() {
        let (protocol, truth) = (two_holds(), Truth::usual(2));
        let sizes = Sizes { cycles: vec![8, 10], trials: vec![16] };
        assert_eq!(grid(&asked(&protocol, &truth), &sizes, &|done, _| done < 5), None);
    }
}
