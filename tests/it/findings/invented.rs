//! Invented sessions for the findings: every press is made up by a small rule, nobody's.

use tautline::findings::input::{
    BlockPlan, Ended, ExpectationFacts, HandFacts, Origin, RatingFacts, RigFacts, RigNote,
    SessionData, TrialFacts,
};
use tautline::protocol::{
    AnalysisRule, Ask, Block, Care, Condition, Design, Family, Foreperiod, Grip, Measure,
    MotionRule, OnsetRule, Order, Part, Protocol, Rest, Statistic, Tension, draw,
};
use tautline::record::{Flags, Outcome};
use tautline::tasks::{Look, Simple, TaskKind};
use tautline::units::StampSource;

/// Ids of the holds in use, in order.
pub(super) const HOLDS: [&str; 3] = ["light", "firm", "shaped"];

pub(super) fn protocol(holds: usize, cycles: usize) -> Protocol {
    let condition = |id: &&str| Condition {
        id: (*id).to_owned(),
        grip: Grip::Claw,
        tension: Tension::Light,
        say: "Hold the mouse only as firmly as you need to keep it.".to_owned(),
    };
    Protocol {
        id: "invented".to_owned(),
        title: "Invented session: which hold clicks sooner?".to_owned(),
        question: "Which hold clicks sooner, and does it tire the hand?".to_owned(),
        conditions: HOLDS[..holds].iter().map(condition).collect(),
        design: Design {
            order: Order::Shuffled,
            cycles,
            trials: 20,
            warm_up: 2,
            warm_up_later: 1,
            reference: "light".to_owned(),
            looks: vec![],
        },
        task: TaskKind::Simple(Simple {}),
        respond_within_ms: 1500.0,
        stimulus: Look { size_mm: 20.0, contrast_share: 0.6 },
        foreperiod: Foreperiod::Exponential { min_ms: 700.0, mean_ms: 900.0, max_ms: 2772.0 },
        rest: Rest { min_s: 20.0, every_blocks: 1, standing_break: None },
        ask: Ask { before: vec![], after_block: vec![], after_cycle: vec![] },
        motion: MotionRule { onset: OnsetRule::First, low_pass_hz: 20.0, least_counts: 3.0 },
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

/// A trial that was hit after `ms`.
pub(super) fn hit(position: usize, trial: usize, ms: f64) -> TrialFacts {
    TrialFacts {
        position,
        part: Part::Main,
        trial,
        asks_nothing: false,
        outcome: Outcome::Hit,
        flags: Flags::NONE,
        click_ms: Some(ms),
        onset_ms: None,
        of_run: None,
        minute: Some((position - 1) as f64 + trial as f64 / 40.0),
        rt_sd_ms: Some(0.4),
        shown_sd_ms: Some(0.3),
        shown_source: Some(StampSource::PresentComplete),
        press_source: Some(StampSource::Evdev),
        hand: HandFacts::default(),
    }
}

/// A session around 230 ms; `differences_ms`: what each hold adds. The same seed gives the same.
pub(super) fn session(protocol: Protocol, differences_ms: &[f64], seed: u64) -> SessionData {
    let mut dice = Dice(seed);
    let mut trials = Vec::new();
    let plan = |block: &Block| BlockPlan {
        position: block.position,
        cycle: block.cycle,
        condition: block.condition,
    };
    let blocks: Vec<BlockPlan> = draw(&protocol, seed).blocks.iter().map(plan).collect();
    for block in &blocks {
        let level = 230.0 + differences_ms[block.condition] + 3.0 * dice.normal();
        for trial in 1..=protocol.design.trials {
            let tail = -25.0 * (1.0 - dice.share()).ln();
            trials.push(hit(block.position, trial, level - 25.0 + 14.0 * dice.normal() + tail));
        }
    }
    let hash = tautline::protocol::rules_hash(&protocol, tautline::findings::ANALYSIS_VERSION);
    SessionData {
        name: format!("20260101T100000Z-invented-{seed}"),
        player: "heron-abcd".to_owned(),
        simulated: true,
        protocol,
        rules_hash: hash,
        seed,
        draw_rule: 1,
        blocks,
        trials,
        ratings: Vec::<RatingFacts>::new(),
        expectation: Some(ExpectationFacts { faster: Some(1), sure: 5 }),
        began: "2026-01-01T10:00:00Z".to_owned(),
        ended: Ended::Complete,
        rig: RigFacts {
            vsync_judged: Some("locked".to_owned()),
            changed: Vec::new(),
            notes: vec![RigNote {
                name: "display refresh ms".to_owned(),
                value: "6.94".to_owned(),
            }],
        },
        origin: Origin::Record,
    }
}

/// A small generator (Knuth's constants for a linear congruence), good enough to scatter dots.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    fn share(&mut self) -> f64 {
        self.next() as f64 / (1_u64 << 31) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}
