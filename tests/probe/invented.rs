//! An invented protocol and schedule for looking at the screens: three holds, six blocks.
//!
//! No player, no result; the sentence of the end screen is invented too, and says so.

use std::sync::Arc;
use tautline::protocol::{
    AnalysisRule, Ask, Block, Care, Condition, Design, Family, Foreperiod, Grip, Measure,
    MotionRule, OnsetRule, Order, Part, PlannedTrial, Protocol, Rest, Schedule, Statistic, Tension,
};
use tautline::tasks::{Look, Simple, Stimulus, TaskKind};
use tautline::window::Facts;

fn hold(id: &str, grip: Grip, tension: Tension, say: &str) -> Condition {
    Condition { id: id.to_owned(), grip, tension, say: say.to_owned() }
}

/// The protocol.
pub(crate) fn protocol() -> Protocol {
    Protocol {
        id: "invented".to_owned(),
        title: "Three holds, simple reaction (invented)".to_owned(),
        question: "Which hold clicks fastest?".to_owned(),
        conditions: vec![
            hold(
                "light-claw",
                Grip::Claw,
                Tension::Light,
                "Hold the mouse only as firmly as you need to keep it.",
            ),
            hold(
                "firm-claw",
                Grip::Claw,
                Tension::Firm,
                "Close thumb and ring finger on the sides of the mouse, about 3 to 4 of 10.",
            ),
            hold(
                "shaped-fingertip",
                Grip::Fingertip,
                Tension::Shaped,
                "Your usual grip, the fingers curled a little closer; do not squeeze.",
            ),
        ],
        design: Design {
            order: Order::Williams,
            cycles: 2,
            trials: 20,
            warm_up: 4,
            warm_up_later: 2,
            reference: "light-claw".to_owned(),
            looks: vec![],
        },
        task: TaskKind::Simple(Simple {}),
        respond_within_ms: 1500.0,
        stimulus: Look { size_mm: 20.0, contrast_share: 0.6 },
        foreperiod: Foreperiod::Exponential { min_ms: 700.0, mean_ms: 900.0, max_ms: 2772.0 },
        rest: Rest { min_s: 20.0, every_blocks: 1, standing_break: None },
        ask: Ask { before: vec![], after_block: vec![], after_cycle: vec![] },
        motion: MotionRule { onset: OnsetRule::First, low_pass_hz: 20.0, least_counts: 8.0 },
        analysis: AnalysisRule {
            measure: Measure::Click,
            statistic: Statistic::TrimmedMean,
            family: Family::Reference,
            confidence: 0.95,
            smallest_change_ms: 5.0,
            anticipation_ms: 100.0,
            lapse_ms: 500.0,
        },
        care: Care { discomfort_limit: 4, longest_minutes: 60.0, firm_minutes_at_most: 12.0 },
    }
}

/// Six blocks: each hold twice, with 4 or 2 presses to warm up and 20 more.
pub(crate) fn schedule() -> Schedule {
    let blocks = [0, 1, 2, 2, 1, 0];
    let block = |(index, condition): (usize, &usize)| {
        let cycle = index / 3 + 1;
        let warm_up = if cycle == 1 { 4 } else { 2 };
        let trial = |number: usize| PlannedTrial {
            part: if number <= warm_up { Part::WarmUp } else { Part::Main },
            number,
            foreperiod_ms: 1000.0,
            stimulus: Stimulus::Single,
        };
        Block {
            position: index + 1,
            cycle,
            condition: *condition,
            trials: (1..=warm_up + 20).map(trial).collect(),
            spare_foreperiods_ms: vec![1000.0; 10],
        }
    };
    Schedule { draw_rule: 1, seed: 7, blocks: blocks.iter().enumerate().map(block).collect() }
}

/// What the screens may say.
pub(crate) fn facts() -> Facts {
    Facts {
        protocol: Arc::new(protocol()),
        schedule: Arc::new(schedule()),
        player: "Heron".to_owned(),
        minutes_left: Some(14.0),
        sources: "Presses are timed by X11 raw events (give or take 0.3 ms): /dev/input cannot be \
                  read. Pictures are timed by an estimate (give or take 4.8 ms): no presentation \
                  clock proved itself here."
            .to_owned(),
        timing: "Timing on this computer is coarse: small differences take more presses to show.",
        simulated: false,
        force: None,
    }
}
