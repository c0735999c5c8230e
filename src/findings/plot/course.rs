//! The blocks in order of time: a mark a block, a line a hold.
//!
//! Sessions stand side by side on one scale of milliseconds. A block that takes no part is drawn
//! hollow. Where no minute is known, the blocks stand by their place.

use super::draw::{Drawing, Point, Type, at};
use super::ink::{HAIRLINE, INK, MUTED, PAPER, colour_of, marker};
use super::letters::width;
use super::{Axis, axis::tick_text, ticks};
use crate::findings::Findings;
use crate::findings::enter::Block;
use crate::words::findings as words;

const WIDTH_PX: u32 = 600;
const HEIGHT_PX: u32 = 360;
const LEFT_PX: f64 = 58.0;
const RIGHT_PX: f64 = 20.0;
const TOP_PX: f64 = 52.0;
const FOOT_PX: f64 = 300.0;
const GAP_PX: f64 = 28.0;

/// The plot.
pub fn draw(findings: &Findings) -> Drawing {
    let says = if timed(findings) {
        "Each block's typical time in order of time, with a line for each hold.".to_owned()
    } else {
        "Each block's typical time, block by block.".to_owned()
    };
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, says);
    legend(&mut drawing, findings, at(LEFT_PX, 22.0));
    let Some(upright) = upright(findings) else {
        let type_ = Type::plain(15.0, INK);
        drawing.text(at(LEFT_PX, 160.0), "No block has a typical time.", &type_);
        return drawing;
    };
    let right = f64::from(WIDTH_PX) - RIGHT_PX;
    for tick in ticks(upright.from, upright.to, 5) {
        let y = upright.px(tick);
        drawing.line(at(LEFT_PX, y), at(right, y), HAIRLINE, 1.0);
        drawing.text(at(LEFT_PX - 8.0, y + 4.5), tick_text(tick), &Type::plain(14.0, MUTED).end());
    }
    drawing.text(
        at(8.0, TOP_PX - 10.0),
        findings.protocol().analysis.measure.unit(),
        &Type::plain(14.0, MUTED),
    );
    let panels = findings.sessions.len() as f64;
    let panel = (right - LEFT_PX - GAP_PX * (panels - 1.0)) / panels;
    for session in 0..findings.sessions.len() {
        let from_px = LEFT_PX + session as f64 * (panel + GAP_PX);
        session_panel(&mut drawing, findings, session, &upright, from_px, from_px + panel);
    }
    let middle = at(f64::midpoint(LEFT_PX, right), FOOT_PX + 48.0);
    let unit = match (timed(findings), panels > 1.0) {
        (true, true) => "minutes into each session",
        (true, false) => "minutes into the session",
        (false, true) => "block of each session",
        (false, false) => "block",
    };
    drawing.text(middle, unit, &Type::plain(14.0, MUTED).middle());
    drawing
}

/// Whether any block's minute is known.
fn timed(findings: &Findings) -> bool {
    findings.blocks.iter().any(|block| block.minute.is_some())
}

/// A mark and a name for each hold, from `start` on.
pub fn legend(drawing: &mut Drawing, findings: &Findings, start: Point) {
    let mut x = start.x;
    for hold in &findings.holds {
        let name = words::hold(&hold.id);
        let colour = colour_of(hold.condition);
        marker(drawing, hold.condition, at(x + 7.0, start.y - 5.0), 6.0, colour, None);
        drawing.text(at(x + 20.0, start.y), name.clone(), &Type::plain(15.0, INK));
        // The reader's own font may be wider than ours.
        x += 20.0 + 1.15 * width(&name, 15.0) + 28.0;
    }
}

/// Milliseconds upwards, with a little air.
fn upright(findings: &Findings) -> Option<Axis> {
    let values = || findings.blocks.iter().filter_map(|block| block.statistic_ms);
    let low = values().reduce(f64::min)?;
    let high = values().reduce(f64::max)?;
    let air = (0.1 * (high - low)).max(2.0);
    Some(Axis { from: low - air, to: high + air, from_px: FOOT_PX, to_px: TOP_PX })
}

fn session_panel(
    drawing: &mut Drawing,
    findings: &Findings,
    session: usize,
    upright: &Axis,
    from_px: f64,
    to_px: f64,
) {
    let own = || findings.blocks.iter().filter(move |block| block.session == session);
    let timed = timed(findings);
    let along_of = |block: &Block| if timed { block.minute } else { Some(block.position as f64) };
    let last = own().filter_map(along_of).fold(0.0, f64::max);
    let along = Axis { from: 0.0, to: (last * 1.06).max(1.0), from_px, to_px };
    drawing.line(at(from_px, FOOT_PX), at(to_px, FOOT_PX), MUTED, 1.0);
    let wish = if findings.sessions.len() > 3 { 2 } else { 6 };
    for tick in ticks(0.0, along.to, wish) {
        let x = along.px(tick);
        drawing.line(at(x, FOOT_PX), at(x, FOOT_PX + 5.0), MUTED, 1.0);
        let type_ = Type::plain(14.0, MUTED).middle();
        drawing.text(at(x, FOOT_PX + 22.0), tick_text(tick), &type_);
    }
    for hold in &findings.holds {
        let blocks = own().filter(|block| block.condition == hold.condition);
        let minutes: Vec<f64> = blocks.filter_map(|block| block.minute).collect();
        let (Some(trend), Some(first), Some(last)) = (
            hold.trend.as_ref(),
            minutes.iter().copied().reduce(f64::min),
            minutes.iter().copied().reduce(f64::max),
        ) else {
            continue;
        };
        if let (Some(from), Some(to)) = (trend.at(session, first), trend.at(session, last)) {
            let colour = colour_of(hold.condition).faint(150);
            let (from, to) = (upright.px(from), upright.px(to));
            drawing.line(at(along.px(first), from), at(along.px(last), to), colour, 2.0);
        }
    }
    for block in own() {
        mark(drawing, block, along_of(block), &along, upright);
    }
}

fn mark(drawing: &mut Drawing, block: &Block, place: Option<f64>, along: &Axis, upright: &Axis) {
    let (Some(place), Some(value)) = (place, block.statistic_ms) else { return };
    let colour = colour_of(block.condition);
    let (fill, edge) =
        if block.unused().is_some() { (PAPER, Some(colour)) } else { (colour, Some(PAPER)) };
    let middle = at(along.px(place), upright.px(value));
    marker(drawing, block.condition, middle, 7.0, fill, edge);
}
