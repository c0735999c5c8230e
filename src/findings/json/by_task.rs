//! The fields of findings.json that only one kind of task has.

use crate::analysis::slope::Line;
use crate::findings::Findings;
use crate::findings::by_task::{Difficulty, HoldPointing};
use serde::Serialize;

/// Pointing under a hold, all its blocks together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointingJson {
    /// Each distance and size, the easiest first.
    pub difficulties: Vec<DifficultyJson>,
    /// Movement time over effective index of difficulty: ms at 0 bits; from three difficulties on.
    pub intercept_ms: Option<f64>,
    /// The same: ms for a bit.
    pub slope_ms_per_bit: Option<f64>,
}

/// A condition of difficulty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DifficultyJson {
    /// How far the target appeared, mm.
    pub distance_mm: f64,
    /// Its size, mm.
    pub size_mm: f64,
    /// Index of difficulty as presented, bits.
    pub bits: f64,
    /// Movements that ended with a press.
    pub movements: usize,
    /// Those that ended beside the target.
    pub beside: usize,
    /// Mean movement time, ms.
    pub movement_ms: Option<f64>,
    /// Mean distance covered along the way to the target, px.
    pub effective_distance_px: Option<f64>,
    /// 4.133 sd of the ends along the way, px.
    pub effective_width_px: Option<f64>,
    /// Effective index of difficulty, bits.
    pub effective_bits: Option<f64>,
    /// Bits a second.
    pub throughput_bits_s: Option<f64>,
}

/// A choice under a hold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ChoiceJson {
    /// How many alternatives.
    pub alternatives: usize,
    /// Answers, right or wrong.
    pub answers: usize,
    /// log2 n.
    pub hyman_bits: f64,
    /// log2 (n + 1).
    pub hick_bits: f64,
    /// What the answers tell of the targets, bits.
    pub transmitted_bits: f64,
    /// That over the mean time of the answers, bits a second.
    pub transmitted_bits_s: Option<f64>,
}

pub(super) fn pointing(findings: &Findings, hold: usize) -> Option<PointingJson> {
    let HoldPointing { difficulties, line, .. } = findings.by_task.pointing.get(hold)?;
    Some(PointingJson {
        difficulties: difficulties.iter().map(difficulty).collect(),
        intercept_ms: line.map(|Line { intercept, .. }| intercept),
        slope_ms_per_bit: line.map(|Line { slope, .. }| slope),
    })
}

fn difficulty(of: &Difficulty) -> DifficultyJson {
    DifficultyJson {
        distance_mm: of.distance_mm,
        size_mm: of.size_mm,
        bits: of.bits,
        movements: of.movements,
        beside: of.beside,
        movement_ms: of.found.map(|found| found.time_ms),
        effective_distance_px: of.found.map(|found| found.effective_amplitude),
        effective_width_px: of.found.map(|found| found.effective_width),
        effective_bits: of.found.map(|found| found.effective_bits),
        throughput_bits_s: of.found.map(|found| found.bits_per_s),
    }
}

pub(super) fn choice(findings: &Findings, hold: usize) -> Option<ChoiceJson> {
    let of = findings.by_task.choice.get(hold)?;
    Some(ChoiceJson {
        alternatives: of.alternatives,
        answers: of.answers,
        hyman_bits: of.hyman_bits,
        hick_bits: of.hick_bits,
        transmitted_bits: of.transmitted_bits,
        transmitted_bits_s: of.bits_per_s,
    })
}
