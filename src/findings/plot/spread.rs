//! Every press as a dot, a row a hold, dots that would overlap pushed apart.
//!
//! Times far beyond the rest are counted at the edge instead of squeezing all others together; the
//! count is written there.

use super::draw::{Drawing, Item, Type, at};
use super::ink::{HAIRLINE, INK, MUTED, PAPER, colour_of, marker};
use super::{Axis, axis::tick_text, ticks};
use crate::analysis::describe::quantile;
use crate::findings::Findings;
use crate::findings::compare::Hold;
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
    /// Whether the blocks' typical times are laid over the presses.
    pub blocks: Blocks,
}

/// What is laid over the presses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blocks {
    /// Only the hold's typical time.
    Hidden,
    /// A mark for each block too.
    Shown,
}

/// The plot by itself.
pub fn draw(findings: &Findings) -> Drawing {
    const WIDTH_PX: u32 = 720;
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
    };
    draw_in(&mut drawing, findings, &frame);
    drawing
}

/// The plot inside a frame of a larger drawing.
pub fn draw_in(drawing: &mut Drawing, findings: &Findings, frame: &Frame) {
    let small = Type::plain(frame.letters_px, MUTED);
    let Some(axis) = axis(findings, frame) else {
        drawing.text(at(frame.left_px, frame.foot_px), "No press counts yet.", &small);
        return;
    };
    let unit = frame.letters_px;
    for tick in ticks(axis.from, axis.to, 6) {
        let x = axis.px(tick);
        drawing.line(at(x, frame.top_px), at(x, frame.foot_px), HAIRLINE, 1.0);
        drawing.text(at(x, frame.foot_px + 1.6 * unit), tick_text(tick), &small.middle());
    }
    drawing.line(at(frame.left_px, frame.foot_px), at(frame.right_px, frame.foot_px), MUTED, 1.0);
    let under = at(f64::midpoint(frame.left_px, frame.right_px), frame.foot_px + 3.2 * unit);
    drawing.text(under, "milliseconds from the target's first sight", &small.middle());
    let rows = findings.holds.len().max(1) as f64;
    let row_px = (frame.foot_px - frame.top_px) / rows;
    let label_px = 2.0 * unit;
    let dot_px = dot_radius(findings, &axis, frame.dot_px, row_px - 1.6 * label_px);
    for (row, hold) in findings.holds.iter().enumerate() {
        let top = frame.top_px + row as f64 * row_px;
        let area = Row { axis, top, label_px, height: row_px, dot_px, unit };
        row_of(drawing, findings, hold, &area, frame.blocks);
    }
}

/// Where a row lies.
#[derive(Debug, Clone, Copy)]
struct Row {
    axis: Axis,
    top: f64,
    label_px: f64,
    height: f64,
    dot_px: f64,
    unit: f64,
}

/// From the fastest press to the slowest that still belongs: upper quartile + 3 x the distance of
/// the quartiles.
fn axis(findings: &Findings, frame: &Frame) -> Option<Axis> {
    let all: Vec<f64> = findings.holds.iter().flat_map(|h| h.times_ms.iter().copied()).collect();
    let (low, high) = (quantile(&all, 0.0)?, quantile(&all, 1.0)?);
    let (q1, q3) = (quantile(&all, 0.25)?, quantile(&all, 0.75)?);
    let to = high.min(q3 + 3.0 * (q3 - q1)).max(low + 1.0);
    let air = 0.03 * (to - low);
    let (from, to) = (low - air, to + air);
    Some(Axis { from, to, from_px: frame.left_px, to_px: frame.right_px })
}

fn row_of(drawing: &mut Drawing, findings: &Findings, hold: &Hold, row: &Row, blocks: Blocks) {
    let colour = colour_of(hold.condition);
    let middle = row.top + row.label_px + (row.height - row.label_px) / 2.0;
    let first = row.axis.from_px;
    let base = row.top + row.unit * 1.35;
    let mark_at = at(first + 0.45 * row.unit, base - 0.35 * row.unit);
    marker(drawing, hold.condition, mark_at, 0.42 * row.unit, colour, None);
    let name = words::hold(&hold.id);
    drawing.text(
        at(first + 1.4 * row.unit, base),
        name,
        &Type::plain(1.1 * row.unit, INK).strong(),
    );
    for dot in swarm(&hold.times_ms, &row.axis, row.dot_px) {
        let place = at(dot.x_px, middle + dot.off_px);
        let fill = Some(colour.faint(110));
        drawing.items.push(Item::Dot { at: place, radius_px: row.dot_px, fill, stroke: None });
    }
    let beyond = hold.times_ms.iter().filter(|ms| **ms > row.axis.to).count();
    if beyond > 0 {
        let note = format!("{beyond} slower \u{2192}");
        let small = Type::plain(row.unit, MUTED).end();
        drawing.text(at(row.axis.to_px, base), note, &small);
    }
    if blocks == Blocks::Shown {
        let own = findings.used().filter(|block| block.condition == hold.condition);
        for value in own.filter_map(|block| block.statistic_ms) {
            let place = at(row.axis.px(value), middle);
            marker(drawing, hold.condition, place, 0.5 * row.unit, colour, Some(PAPER));
        }
    }
    if let Some(typical) = hold.trimmed_mean_ms {
        let x = row.axis.px(typical);
        let half = (row.height - row.label_px) * 0.36;
        drawing.line(at(x, middle - half), at(x, middle + half), INK, (0.16 * row.unit).max(2.0));
        let label = format!("{typical:.0}");
        let type_ = Type::plain(row.unit, INK).strong();
        drawing.text(at(x + 0.4 * row.unit, middle - half + 0.5 * row.unit), label, &type_);
    }
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
