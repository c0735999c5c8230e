//! Ten unscored presses of the real task, to feel it: the same engine, screen and mouse as a
//! session, kept nowhere.

use crate::app::house::Wish;
use crate::engine::Start;
use crate::input::InputChoice;
use crate::protocol::{self, Ask, Foreperiod, Grip, Part, Protocol, Schedule, Tension, shipped};
use crate::record::{Keep, MemoryKeeper};
use crate::rig::known::Known;
use crate::session::NoLooks;
use crate::session::live::{LastScreen, Plan, Wishes};
use crate::settings::Gain;
use crate::sitting::USUAL_PX_PER_COUNT;
use crate::window::Ended;
use crate::words::guide as words;
use std::path::PathBuf;
use std::sync::Arc;

/// How many presses.
pub(super) const PRESSES: usize = 10;

/// The wish for them. `seed`: what their waits are drawn from.
pub(super) fn wish(input: InputChoice, mouse: Option<String>, seed: u64) -> Option<Wish> {
    let (protocol, schedule) = planned(seed)?;
    let minutes = protocol::minutes_from(&protocol, 0);
    let plan = Plan {
        protocol: Arc::new(protocol),
        schedule: Arc::new(schedule),
        start: Start::default(),
        player: String::new(),
        gain: Gain::PxPerCount(USUAL_PX_PER_COUNT),
        force: None,
        display_lag_ms: None,
        input,
        known_rig: Known::default(),
        wishes: Wishes { mouse, ..Wishes::default() },
        first_start: false,
        minor: false,
        hour_of_firm: false,
        minutes,
        judge: Box::new(NoLooks),
        last_screen: LastScreen::LeftOut,
        open_record: Box::new(|_| {
            let nothing_kept: Box<dyn Keep> = Box::<MemoryKeeper>::default();
            Ok(nothing_kept)
        }),
        sum_up: Box::new(|ending| Ended {
            ending,
            sentence: None,
            folder: PathBuf::new(),
            report: None,
        }),
    };
    Some(Wish::Feel(Box::new(plan)))
}

/// One block of [`PRESSES`] trials under the player's usual hold, nothing asked.
fn planned(seed: u64) -> Option<(Protocol, Schedule)> {
    let shipped = shipped::shipped().first()?;
    let mut protocol = protocol::read(shipped.text, shipped.id).ok()?;
    // Without empty waits: nobody has to learn yet not to press.
    protocol.foreperiod = Foreperiod::Uniform { min_ms: 700.0, max_ms: 2_000.0, catch_share: 0.0 };
    let mut schedule = protocol::draw(&protocol, seed);
    schedule.blocks.truncate(1);
    let block = schedule.blocks.first_mut()?;
    block.trials.truncate(PRESSES);
    for (number, trial) in block.trials.iter_mut().enumerate() {
        (trial.part, trial.number) = (Part::Feel, number + 1);
    }
    protocol.conditions = vec![protocol.conditions.get(block.condition)?.clone()];
    block.condition = 0;
    (protocol.design.cycles, protocol.design.warm_up, protocol.design.trials) = (1, 0, PRESSES);
    let hold = protocol.conditions.first_mut()?;
    words::FEEL_HOLD_ID.clone_into(&mut hold.id);
    words::FEEL_HOLD.clone_into(&mut hold.say);
    (hold.grip, hold.tension) = (Grip::Other, Tension::Other);
    words::FEEL_TITLE.clone_into(&mut protocol.title);
    protocol.ask = Ask { before: Vec::new(), after_block: Vec::new(), after_cycle: Vec::new() };
    Some((protocol, schedule))
}

#[cfg(test)]
mod tests {
    use super::{PRESSES, planned};
    use crate::protocol::{self, Part};

    #[test]
    fn ten_presses_without_an_empty_wait_under_a_minute() {
        for seed in 0..50 {
            let (protocol, schedule) = planned(seed).expect("the first shipped protocol");
            let trials = &schedule.blocks[0].trials;
            assert_eq!((schedule.blocks.len(), trials.len()), (1, PRESSES));
            assert!(trials.iter().all(|trial| trial.part == Part::Feel));
            let waits_ms: f64 = trials.iter().map(|trial| trial.foreperiod_ms).sum();
            assert!(waits_ms + 1e3 * (PRESSES as f64) < 60e3, "{waits_ms}");
            assert!(protocol::minutes_from(&protocol, 0) < 1.0);
            assert!(protocol.ask.before.is_empty() && protocol.ask.after_block.is_empty());
        }
    }
}
