//! The differences between holds, with their intervals and the band of what does not matter.
//!
//! A row a pair: the simultaneous interval, a mark at the estimate, at the sides who is sooner.

use super::draw::{Drawing, Item, Stroke, Type, at};
use super::ink::{BAND, HAIRLINE, INK, MUTED, colour_of, marker};
use super::{Axis, axis::tick_text, ticks};
use crate::analysis::{Pair, PairFit};
use crate::findings::{Findings, sentence};
use crate::words::findings as words;

const WIDTH_PX: u32 = 600;
const ROW_PX: f64 = 92.0;
const TOP_PX: f64 = 34.0;
const BOTTOM_PX: f64 = 54.0;
const SIDE_PX: f64 = 28.0;

/// The plot.
pub fn draw(findings: &Findings) -> Drawing {
    let enough_ms = findings.protocol().analysis.smallest_change_ms;
    let rows = findings.clearest_first();
    let height = TOP_PX + ROW_PX * rows.len() as f64 + BOTTOM_PX;
    let mut drawing = Drawing::new(WIDTH_PX, whole(height), says(findings));
    let axis = axis(findings, enough_ms);
    let foot = height - BOTTOM_PX;
    band(&mut drawing, findings, &axis, foot);
    for (row, &index) in rows.iter().enumerate() {
        let middle = TOP_PX + ROW_PX * (row as f64 + 0.5);
        pair(&mut drawing, findings, &findings.pairs[index], &axis, middle);
    }
    scale(&mut drawing, &axis, foot);
    drawing
}

fn says(findings: &Findings) -> String {
    let unit = findings.protocol().analysis.measure.unit();
    let of_pair = |pair: &Pair| {
        let (a, b) = (name(findings, pair.a), name(findings, pair.b));
        match pair.fit {
            Some(fit) => format!(
                "{a} minus {b}: {:.1} {unit}, from {:.1} to {:.1}",
                fit.difference, fit.low, fit.high
            ),
            None => format!("{a} minus {b}: no interval"),
        }
    };
    let all: Vec<String> = findings.pairs.iter().map(of_pair).collect();
    format!("Differences between holds. {}.", all.join("; "))
}

/// Symmetric about zero and wide enough for every interval and the band.
fn axis(findings: &Findings, enough_ms: f64) -> Axis {
    let ends = findings.pairs.iter().filter_map(|pair| pair.fit);
    let ends = ends.flat_map(|fit| [fit.low.abs(), fit.high.abs()]);
    let far = ends.fold(2.0 * enough_ms, f64::max) * 1.08;
    Axis { from: -far, to: far, from_px: SIDE_PX, to_px: f64::from(WIDTH_PX) - SIDE_PX }
}

fn band(drawing: &mut Drawing, findings: &Findings, axis: &Axis, foot: f64) {
    let rules = &findings.protocol().analysis;
    let (enough_ms, unit) = (rules.smallest_change_ms, rules.measure.unit());
    let (left, right) = (axis.px(-enough_ms), axis.px(enough_ms));
    let top = TOP_PX - 8.0;
    drawing.items.push(Item::Slab {
        at: at(left, top),
        width_px: right - left,
        height_px: foot - top,
        fill: BAND,
    });
    let label = format!("less than {} {unit}", words::Ms::plain(enough_ms));
    drawing.text(at(axis.px(0.0), top - 8.0), label, &Type::plain(14.0, MUTED).middle());
    drawing.line(at(axis.px(0.0), top), at(axis.px(0.0), foot), MUTED, 1.0);
}

fn pair(drawing: &mut Drawing, findings: &Findings, pair: &Pair, axis: &Axis, middle: f64) {
    let (a, b) = (name(findings, pair.a), name(findings, pair.b));
    let side = Type::plain(14.0, MUTED);
    let better = sentence::did(findings).better();
    let high = middle - 22.0;
    let right = axis.to_px;
    marker(drawing, pair.a, at(axis.from_px + 7.0, high - 5.0), 6.0, colour_of(pair.a), None);
    drawing.text(at(axis.from_px + 20.0, high), format!("\u{2190} {a} {better}"), &side);
    marker(drawing, pair.b, at(right - 7.0, high - 5.0), 6.0, colour_of(pair.b), None);
    drawing.text(at(right - 20.0, high), format!("{b} {better} \u{2192}"), &side.end());
    match pair.fit {
        Some(fit) => {
            let unit = findings.protocol().analysis.measure.unit();
            interval(drawing, &fit, unit, axis, middle);
        }
        None => {
            let type_ = Type::plain(15.0, INK).middle();
            drawing.text(at(axis.px(0.0), middle + 6.0), "no interval can be given", &type_);
        }
    }
}

fn interval(drawing: &mut Drawing, fit: &PairFit, unit: &str, axis: &Axis, middle: f64) {
    let (low, high, here) = (axis.px(fit.low), axis.px(fit.high), axis.px(fit.difference));
    let line_at = middle + 4.0;
    drawing.line(at(low, line_at), at(high, line_at), INK, 3.0);
    for end in [low, high] {
        drawing.line(at(end, line_at - 8.0), at(end, line_at + 8.0), INK, 2.0);
    }
    let stroke = Some(Stroke { colour: INK, width_px: 3.0, dash_px: None });
    let fill = Some(super::ink::PAPER);
    drawing.items.push(Item::Dot { at: at(here, line_at), radius_px: 7.0, fill, stroke });
    let give = (fit.high - fit.low) / 2.0;
    let label = format!(
        "{} {unit}, give or take {}",
        words::Ms::rounded_with(fit.difference.abs(), give),
        words::Ms::rounded_with(give, give)
    );
    let half = super::letters::width(&label, 15.0) / 2.0;
    let label_x = here.clamp(axis.from_px + half, (axis.to_px - half).max(axis.from_px + half));
    drawing.text(at(label_x, line_at + 30.0), label, &Type::plain(15.0, INK).strong().middle());
}

fn scale(drawing: &mut Drawing, axis: &Axis, foot: f64) {
    drawing.line(at(axis.from_px, foot), at(axis.to_px, foot), HAIRLINE, 1.0);
    for tick in ticks(axis.from, axis.to, 8) {
        let x = axis.px(tick);
        drawing.line(at(x, foot), at(x, foot + 5.0), MUTED, 1.0);
        drawing.text(at(x, foot + 22.0), tick_text(tick), &Type::plain(14.0, MUTED).middle());
    }
    let middle = at(axis.px(0.0), foot + 44.0);
    drawing.text(middle, "difference, milliseconds", &Type::plain(14.0, MUTED).middle());
}

fn name(findings: &Findings, condition: usize) -> String {
    words::hold(&findings.holds[condition].id)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a plot's height is positive and small"
)]
fn whole(px: f64) -> u32 {
    px.round() as u32
}
