//! The designs and the players of the tables. All truths are round figures of our own.

use tautline::protocol::{Order, Protocol, read, shipped};
use tautline::sim::Truth;

/// A player of a cell.
pub(super) struct PlayerOf {
    pub(super) name: &'static str,
    pub(super) truth: fn(usize) -> Truth,
    /// With few cycles in place of the design's own.
    pub(super) few_cycles: bool,
}

/// Every player.
pub(super) const PLAYERS: [PlayerOf; 6] = [
    PlayerOf { name: "quiet", truth: Truth::quiet, few_cycles: false },
    PlayerOf {
        name: "drift",
        truth: |holds| Truth { drift_ms_per_10min: 12.0, practice_ms: 20.0, ..Truth::quiet(holds) },
        few_cycles: false,
    },
    PlayerOf {
        name: "block shifts",
        truth: |holds| Truth { block_sd_ms: 6.0, ..Truth::quiet(holds) },
        few_cycles: false,
    },
    PlayerOf {
        name: "AR(1)",
        truth: |holds| Truth { autocorrelation: 0.3, ..Truth::quiet(holds) },
        few_cycles: false,
    },
    PlayerOf {
        name: "lapses",
        truth: |holds| Truth { lapse_share: 0.05, early_share: 0.02, ..Truth::quiet(holds) },
        few_cycles: false,
    },
    PlayerOf { name: "few cycles", truth: Truth::usual, few_cycles: true },
];

/// A design of the tables.
pub(super) struct Design {
    pub(super) name: &'static str,
    pub(super) protocol: Protocol,
    /// How much slower a hold is that is neither the reference nor the one in question, ms.
    pub(super) far_ms: f64,
}

impl Design {
    pub(super) fn two_holds() -> Design {
        Design { name: "two holds", protocol: protocol("two-holds"), far_ms: 0.0 }
    }

    pub(super) fn three_holds() -> Design {
        Design { name: "three holds", protocol: protocol("three-holds"), far_ms: 0.0 }
    }

    pub(super) fn third_far() -> Design {
        Design { name: "three, one 40 ms off", protocol: protocol("three-holds"), far_ms: 40.0 }
    }

    /// The design as this player runs it, and the player's truth with this difference.
    pub(super) fn with(&self, player: &PlayerOf, difference_ms: f64) -> (Protocol, Truth) {
        let mut protocol = self.protocol.clone();
        let holds = protocol.conditions.len();
        if player.few_cycles {
            protocol.design.order = Order::Shuffled;
            protocol.design.cycles = if holds == 2 { 4 } else { 3 };
        }
        let mut truth = (player.truth)(holds);
        truth.differences_ms = vec![self.far_ms; holds];
        truth.differences_ms[0] = 0.0;
        truth.differences_ms[holds - 1] = difference_ms;
        (protocol, truth)
    }
}

pub(super) fn protocol(id: &str) -> Protocol {
    read(shipped::find(id).unwrap().text, id).unwrap()
}
