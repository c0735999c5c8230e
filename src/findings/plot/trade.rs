//! Speed against what it costs: a mark a hold, errors and (where the mouse shows it) steadiness
//! beside the typical time.

use super::course::legend;
use super::draw::{Drawing, at};
use super::frame::{Axes, Frame, Tell, percent, plain, span};
use super::ink::{PAPER, colour_of, marker};
use crate::analysis::Interval;
use crate::findings::Findings;

const WIDTH_PX: u32 = 600;
const HEIGHT_PX: u32 = 360;
const FOOT_PX: f64 = 290.0;
const TOP_PX: f64 = 72.0;

/// A panel: what stands upright, of each hold, with an interval where there is one.
struct Panel {
    name: &'static str,
    tell: Tell,
    /// The axis reaches this high at least.
    at_least: f64,
    values: Vec<Option<Interval>>,
}

/// The plot; `None` where nothing beside the times is known.
pub fn draw(findings: &Findings) -> Option<Drawing> {
    let holds = &findings.costs.holds;
    let point = |value: f64| Interval { estimate: value, low: value, high: value };
    let panels: Vec<Panel> = [
        Panel {
            name: "wrong or missing",
            tell: percent,
            at_least: 0.05,
            values: holds.iter().map(|hold| hold.errors).collect(),
        },
        Panel {
            name: "throughput, bits a second",
            tell: plain,
            at_least: 1.0,
            values: holds.iter().map(|hold| hold.throughput.map(point)).collect(),
        },
        Panel {
            name: "small shakes, counts (rms)",
            tell: plain,
            at_least: 1.0,
            values: holds.iter().map(|hold| hold.small_shakes.map(point)).collect(),
        },
        Panel {
            name: "discomfort, of 10",
            tell: plain,
            at_least: 10.0,
            values: holds.iter().map(|hold| hold.discomfort.map(point)).collect(),
        },
    ]
    .into_iter()
    .filter(|panel| panel.values.iter().any(Option::is_some))
    .take(2)
    .collect();
    let times: Vec<f64> = findings.holds.iter().filter_map(|hold| hold.trimmed_mean_ms).collect();
    let across = span(times.iter().copied(), 4.0)?;
    if panels.is_empty() {
        return None;
    }
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, says(&panels));
    legend(&mut drawing, findings, at(64.0, 22.0));
    let count = panels.len() as f64;
    let whole = f64::from(WIDTH_PX) - 20.0 - 64.0;
    let each = (whole - 76.0 * (count - 1.0)) / count;
    for (place, panel) in panels.iter().enumerate() {
        let left = 64.0 + place as f64 * (each + 76.0);
        let ends = panel.values.iter().flatten().flat_map(|i| [i.low, i.high, 0.0]);
        let Some([_, high]) = span(ends.collect::<Vec<_>>().iter().copied(), 0.01) else {
            continue;
        };
        let frame = Frame {
            across_px: [left, left + each],
            up_px: [FOOT_PX, TOP_PX],
            across,
            up: [0.0, high.max(panel.at_least)],
        };
        let axes = frame.draw(&mut drawing, ["typical time, ms", panel.name], [plain, panel.tell]);
        marks(&mut drawing, findings, panel, &axes);
    }
    Some(drawing)
}

fn marks(drawing: &mut Drawing, findings: &Findings, panel: &Panel, axes: &Axes) {
    for (hold, value) in findings.holds.iter().zip(&panel.values) {
        let (Some(time), Some(value)) = (hold.trimmed_mean_ms, value) else { continue };
        let x = axes.along.px(time);
        let colour = colour_of(hold.condition);
        let (low, high) = (axes.upright.px(value.low), axes.upright.px(value.high));
        if (low - high).abs() > 0.5 {
            drawing.line(at(x, low), at(x, high), colour, 2.0);
        }
        let middle = at(x, axes.upright.px(value.estimate));
        marker(drawing, hold.condition, middle, 7.0, colour, Some(PAPER));
    }
}

fn says(panels: &[Panel]) -> String {
    let names: Vec<&str> = panels.iter().map(|panel| panel.name).collect();
    format!("Each hold's typical time against {}.", names.join(" and "))
}
