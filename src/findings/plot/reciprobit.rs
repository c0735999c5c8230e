//! Reciprobit paper: times on a reciprocal scale against the normal quantile of their rank.
//!
//! Times of a LATER law lie on a straight line, drawn beside them.

use super::course::legend;
use super::draw::{Drawing, Item, Type, at};
use super::ink::{HAIRLINE, MUTED, colour_of};
use super::{Axis, axis::tick_text, ticks};
use crate::analysis::normal;
use crate::findings::Findings;

const WIDTH_PX: u32 = 600;
const HEIGHT_PX: u32 = 420;
const LEFT_PX: f64 = 64.0;
const TOP_PX: f64 = 62.0;
const FOOT_PX: f64 = 350.0;
/// Shares that stand at the upright axis.
const SHARES: [f64; 7] = [0.01, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99];

/// The plot; `None` where no hold has times.
pub fn draw(findings: &Findings) -> Option<Drawing> {
    let points = || findings.secondary.holds.iter().flat_map(|hold| &hold.reciprobit);
    let fast = points().map(|point| point.promptness).reduce(f64::max)?;
    let slow = points().map(|point| point.promptness).reduce(f64::min)?;
    let air = (0.04 * (fast - slow)).max(0.05);
    let says = "Every time on reciprobit paper, a row of dots for each hold.".to_owned();
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, says);
    legend(&mut drawing, findings, at(LEFT_PX, 22.0));
    let right = f64::from(WIDTH_PX) - 20.0;
    // Slow on the right: promptness falls along the axis.
    let along = Axis { from: fast + air, to: slow - air, from_px: LEFT_PX, to_px: right };
    let upright = Axis { from: -3.2, to: 3.2, from_px: FOOT_PX, to_px: TOP_PX };
    let small = Type::plain(14.0, MUTED);
    for share in SHARES {
        let y = upright.px(normal::quantile(share));
        drawing.line(at(LEFT_PX, y), at(right, y), HAIRLINE, 1.0);
        let text = format!("{} %", tick_text(100.0 * share));
        drawing.text(at(LEFT_PX - 8.0, y + 4.5), text, &small.end());
    }
    drawing.line(at(LEFT_PX, FOOT_PX), at(right, FOOT_PX), MUTED, 1.0);
    let (first, last) = (1000.0 / (fast + air), 1000.0 / (slow - air).max(0.2));
    let mut free_px = LEFT_PX;
    for tick in ticks(first, last, 9) {
        let x = along.px(1000.0 / tick);
        drawing.line(at(x, FOOT_PX), at(x, FOOT_PX + 5.0), MUTED, 1.0);
        // Slow times crowd together on this scale: a label only where there is room.
        if x >= free_px {
            drawing.text(at(x, FOOT_PX + 22.0), tick_text(tick), &small.middle());
            free_px = x + 44.0;
        }
    }
    let middle = at(f64::midpoint(LEFT_PX, right), FOOT_PX + 48.0);
    drawing.text(middle, "milliseconds, on a reciprocal scale", &small.middle());
    drawing.text(at(LEFT_PX - 50.0, TOP_PX - 14.0), "share of presses up to here", &small);
    for (condition, hold) in findings.secondary.holds.iter().enumerate() {
        let colour = colour_of(condition);
        if let Some(law) = hold.later {
            let at_z = |z: f64| law.mu - law.sigma * z;
            let ends = [-2.6, 2.6].map(|z| (at_z(z), z));
            let inside = |promptness: f64| promptness.clamp(slow - air, fast + air);
            let place = |(promptness, _): (f64, f64)| {
                let promptness = inside(promptness);
                at(along.px(promptness), upright.px((law.mu - promptness) / law.sigma))
            };
            drawing.line(place(ends[0]), place(ends[1]), colour.faint(140), 2.0);
        }
        for point in &hold.reciprobit {
            drawing.items.push(Item::Dot {
                at: at(along.px(point.promptness), upright.px(point.probit)),
                radius_px: 2.6,
                fill: Some(colour),
                stroke: None,
            });
        }
    }
    Some(drawing)
}
