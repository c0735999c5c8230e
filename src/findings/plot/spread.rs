//! Every press as a dot, a row a hold, dots that would overlap pushed apart.
//!
//! Times far beyond the rest are counted at the edge instead of squeezing all others together; the
//! count is written there.

use super::draw::{Drawing, Item, Point, Type, at};
use super::ink::{HAIRLINE, INK, MUTED, colour_of, marker};
use super::letters::width;
use super::{Axis, axis::tick_text, ticks};
use crate::analysis::describe::quantile;
use crate::findings::compare::Hold;
use crate::findings::{Findings, elsewhere};
use crate::words::findings as words;

/// Where and how large the plot is drawn, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Left end of the axis.
    pub left_px: f64,
    /// Right end of the axis.
    pub right_px: f64,
    /// Upper edge of the first row.
    pub top_px: f64,
    /// Where the axis lies.
    pub foot_px: f64,
    /// Size of the letters.
    pub letters_px: f64,
    /// Largest radius of a press's dot.
    pub dot_px: f64,
    /// Whether the blocks' typical times stand under the presses.
    pub blocks: Blocks,
    /// Where the holds' names stand.
    pub names: Names,
}

/// What stands under the presses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blocks {
    /// Nothing.
    Hidden,
    /// A mark for each block, in a lane of their own.
    Shown,
}

/// Where the holds' names stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    /// Above each row.
    Above,
    /// At its left.
    Beside,
}

/// The plot by itself.
pub fn draw(findings: &Findings) -> Drawing {
    const WIDTH_PX: u32 = 600;
    const ROW_PX: u32 = 120;
    let rows = u32::try_from(findings.holds.len()).unwrap_or(u32::MAX).clamp(1, 100);
    let height = rows * ROW_PX + 70;
    let says = "Every press that counts as a dot, a row for each hold.".to_owned();
    let mut drawing = Drawing::new(WIDTH_PX, height, says);
    let frame = Frame {
        left_px: 20.0,
        right_px: f64::from(WIDTH_PX) - 20.0,
        top_px: 8.0,
        foot_px: f64::from(height) - 56.0,
        letters_px: 14.0,
        dot_px: 3.0,
        blocks: Blocks::Hidden,
        names: Names::Above,
    };
    draw_in(&mut drawing, findings, &frame);
    drawing
}

/// The plot inside a frame of a larger drawing.
pub fn draw_in(drawing: &mut Drawing, findings: &Findings, frame: &Frame) {
    let small = Type::plain(frame.letters_px, MUTED);
    let unit = frame.letters_px;
    let gutter_px = match frame.names {
        Names::Above => 0.0,
        Names::Beside => 3.0 * unit + widest_name(findings, 1.1 * unit),
    };
    let Some(axis) = axis(findings, frame.left_px + gutter_px, frame.right_px) else {
        drawing.text(at(frame.left_px, frame.foot_px), "No press counts yet.", &small);
        return;
    };
    for tick in ticks(axis.from, axis.to, 6) {
        let x = axis.px(tick);
        drawing.line(at(x, frame.top_px), at(x, frame.foot_px), HAIRLINE, 1.0);
        drawing.text(at(x, frame.foot_px + 1.6 * unit), tick_text(tick), &small.middle());
    }
    drawing.line(at(axis.from_px, frame.foot_px), at(axis.to_px, frame.foot_px), MUTED, 1.0);
    let under = at(f64::midpoint(axis.from_px, axis.to_px), frame.foot_px + 3.2 * unit);
    let scale = match elsewhere::facts(&findings.sessions) {
        Some(_) => "milliseconds",
        None => "milliseconds from the target's first sight",
    };
    drawing.text(under, scale, &small.middle());
    let rows = findings.holds.len().max(1) as f64;
    let row_px = (frame.foot_px - frame.top_px) / rows;
    let label_px = match frame.names {
        Names::Above => 2.0 * unit,
        Names::Beside => 0.5 * unit,
    };
    let lane_px = match frame.blocks {
        Blocks::Hidden => 0.0,
        Blocks::Shown => 0.3 * (row_px - label_px),
    };
    let swarm_px = row_px - label_px - lane_px - 0.3 * unit;
    let dot_px = dot_radius(findings, &axis, frame.dot_px, swarm_px);
    for (row, hold) in findings.holds.iter().enumerate() {
        let top_px = frame.top_px + row as f64 * row_px;
        let middle_px = top_px + label_px + swarm_px / 2.0;
        let lane_middle_px = top_px + label_px + swarm_px + lane_px / 2.0;
        let row = Row { axis, top_px, middle_px, swarm_px, lane_middle_px, lane_px, dot_px, unit };
        let name_px = match frame.names {
            Names::Above => top_px + 1.35 * unit,
            Names::Beside => middle_px + 0.4 * unit,
        };
        name_of(drawing, hold, at(frame.left_px, name_px), unit);
        presses(drawing, hold, &row);
        if frame.blocks == Blocks::Shown {
            lane(drawing, findings, hold, &row);
        }
        typical(drawing, hold, &row);
    }
}

/// Where a row lies, px.
#[derive(Debug, Clone, Copy)]
struct Row {
    axis: Axis,
    top_px: f64,
    middle_px: f64,
    swarm_px: f64,
    lane_middle_px: f64,
    lane_px: f64,
    dot_px: f64,
    unit: f64,
}

fn widest_name(findings: &Findings, size_px: f64) -> f64 {
    let widths = findings.holds.iter().map(|hold| width(&words::hold(&hold.id), size_px));
    widths.fold(0.0, f64::max)
}

/// From the fastest press to the slowest that still belongs: upper quartile + 3 x the distance of
/// the quartiles.
fn axis(findings: &Findings, from_px: f64, to_px: f64) -> Option<Axis> {
    let all: Vec<f64> = findings.holds.iter().flat_map(|h| h.times_ms.iter().copied()).collect();
    let (low, high) = (quantile(&all, 0.0)?, quantile(&all, 1.0)?);
    let (q1, q3) = (quantile(&all, 0.25)?, quantile(&all, 0.75)?);
    let to = high.min(q3 + 3.0 * (q3 - q1)).max(low + 1.0);
    let air = 0.03 * (to - low);
    Some(Axis { from: low - air, to: to + air, from_px, to_px })
}

fn name_of(drawing: &mut Drawing, hold: &Hold, start: Point, unit: f64) {
    let mark_at = at(start.x + 0.45 * unit, start.y - 0.38 * unit);
    marker(drawing, hold.condition, mark_at, 0.42 * unit, colour_of(hold.condition), None);
    let type_ = Type::plain(1.1 * unit, INK).strong();
    drawing.text(at(start.x + 1.4 * unit, start.y), words::hold(&hold.id), &type_);
}

fn presses(drawing: &mut Drawing, hold: &Hold, row: &Row) {
    let fill = Some(colour_of(hold.condition).faint(110));
    for dot in swarm(&hold.times_ms, &row.axis, row.dot_px) {
        let place = at(dot.x_px, row.middle_px + dot.off_px);
        drawing.items.push(Item::Dot { at: place, radius_px: row.dot_px, fill, stroke: None });
    }
    let beyond = hold.times_ms.iter().filter(|ms| **ms > row.axis.to).count();
    if beyond > 0 {
        let place = at(row.axis.to_px, row.top_px + 1.35 * row.unit);
        let note = format!("and {beyond} slower");
        drawing.text(place, note, &Type::plain(row.unit, MUTED).end());
    }
}

/// The blocks' typical times, those that would overlap pushed apart.
fn lane(drawing: &mut Drawing, findings: &Findings, hold: &Hold, row: &Row) {
    let own = findings.used().filter(|block| block.condition == hold.condition);
    let values: Vec<f64> = own.filter_map(|block| block.statistic_ms).collect();
    let mut radius = 0.42 * row.unit;
    let mut places = swarm(&values, &row.axis, radius);
    let tall = |places: &[Place]| places.iter().map(|p| p.off_px.abs()).fold(0.0, f64::max);
    while radius > 3.0 && 2.0 * (tall(&places) + radius) > row.lane_px {
        radius *= 0.85;
        places = swarm(&values, &row.axis, radius);
    }
    for place in places {
        let middle = at(place.x_px, row.lane_middle_px + place.off_px);
        marker(drawing, hold.condition, middle, radius, colour_of(hold.condition), None);
    }
}

fn typical(drawing: &mut Drawing, hold: &Hold, row: &Row) {
    let Some(typical) = hold.trimmed_mean_ms else { return };
    let x = row.axis.px(typical);
    let half = 0.48 * row.swarm_px;
    let (top, foot) = (row.middle_px - half, row.middle_px + half);
    drawing.line(at(x, top), at(x, foot), INK, (0.12 * row.unit).max(2.0));
    let label = format!("{typical:.0}");
    let place = at(x + 0.4 * row.unit, top + 0.6 * row.unit);
    drawing.text(place, label, &Type::plain(row.unit, INK).strong());
}

/// A press's dot.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Place {
    x_px: f64,
    off_px: f64,
}

/// Each dot in a column of its own width, columns filled from the middle outwards.
fn swarm(times_ms: &[f64], axis: &Axis, radius_px: f64) -> Vec<Place> {
    let pitch = 2.1 * radius_px;
    let mut sorted: Vec<f64> = times_ms.iter().copied().filter(|ms| axis.holds(*ms)).collect();
    sorted.sort_by(f64::total_cmp);
    let mut places: Vec<Place> = Vec::with_capacity(sorted.len());
    for ms in sorted {
        let x_px = axis.px(ms);
        let near: Vec<Place> =
            places.iter().rev().take_while(|p| x_px - p.x_px < pitch).copied().collect();
        let free = |off: f64| {
            near.iter().all(|p| {
                let (dx, dy) = (x_px - p.x_px, off - p.off_px);
                dx * dx + dy * dy >= pitch * pitch * 0.98
            })
        };
        let step = pitch / 2.0;
        let off_px = (0..4_000_u32)
            .map(|i| {
                let out = f64::from(i.div_ceil(2)) * step;
                if i % 2 == 0 { out } else { -out }
            })
            .find(|off| free(*off))
            .unwrap_or(0.0);
        places.push(Place { x_px, off_px });
    }
    places
}

/// The largest radius with which every row's swarm fits into its height.
fn dot_radius(findings: &Findings, axis: &Axis, largest_px: f64, height_px: f64) -> f64 {
    let mut radius = largest_px;
    while radius > 0.6 {
        let tall = |hold: &Hold| {
            let places = swarm(&hold.times_ms, axis, radius);
            places.iter().map(|p| p.off_px.abs()).fold(0.0, f64::max) + radius
        };
        let tallest = findings.holds.iter().map(tall).fold(0.0, f64::max);
        if 2.0 * tallest <= height_px {
            break;
        }
        radius *= 0.85;
    }
    radius
}
