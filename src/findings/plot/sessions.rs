//! Session after session: each one's own difference, with the limits of the control chart.

use super::draw::{Drawing, Item, Stroke, Type, at};
use super::frame::{Frame, plain, span};
use super::ink::{BAND, INK, MUTED, PAPER, colour_of, marker};
use crate::findings::Findings;
use crate::findings::over_sessions::PairOver;
use crate::words::findings as words;

const WIDTH_PX: u32 = 600;
const PANEL_PX: f64 = 250.0;

/// The plot; `None` of one session.
pub fn draw(findings: &Findings) -> Option<Drawing> {
    let over = findings.over_sessions.as_ref()?;
    let shown: Vec<usize> = findings
        .clearest_first()
        .into_iter()
        .filter(|&i| over.pairs[i].differences.iter().flatten().count() > 0)
        .collect();
    if shown.is_empty() {
        return None;
    }
    let panels = u32::try_from(shown.len()).unwrap_or(1);
    let height = panels * 250 + 40;
    let says = "Each session's own difference, in order of time.".to_owned();
    let mut drawing = Drawing::new(WIDTH_PX, height, says);
    for (place, &pair) in shown.iter().enumerate() {
        let top = PANEL_PX * place as f64;
        panel(&mut drawing, findings, pair, &over.pairs[pair], top);
    }
    Some(drawing)
}

fn panel(drawing: &mut Drawing, findings: &Findings, pair: usize, over: &PairOver, top: f64) {
    let told = &findings.pairs[pair];
    let other = if told.a == 0 { told.b } else { told.a };
    let [a, b] = [told.a, told.b].map(|hold| words::hold(&findings.holds[hold].id));
    let sessions = over.differences.len();
    let limits = over.chart.as_ref().map(|chart| [chart.low, chart.high]);
    let values = over.differences.iter().flatten().map(|own| own.estimate);
    let ends: Vec<f64> = values.chain(limits.into_iter().flatten()).chain([0.0]).collect();
    let Some(up) = span(ends.iter().copied(), 2.0) else { return };
    let frame = Frame {
        across_px: [64.0, f64::from(WIDTH_PX) - 20.0],
        up_px: [top + 220.0, top + 52.0],
        across: [0.5, sessions as f64 + 0.5],
        up,
    };
    drawing.text(at(64.0, top + 20.0), format!("{a} \u{2212} {b}"), &Type::plain(15.0, INK));
    let axes = frame.draw(drawing, ["session", "difference, ms"], [whole, plain]);
    if let Some([low, high]) = limits {
        let (foot, head) = (axes.upright.px(low), axes.upright.px(high));
        drawing.items.push(Item::Slab {
            at: at(axes.along.from_px, head),
            width_px: axes.along.to_px - axes.along.from_px,
            height_px: foot - head,
            fill: BAND.faint(150),
        });
    }
    let zero = axes.upright.px(0.0);
    drawing.line(at(axes.along.from_px, zero), at(axes.along.to_px, zero), MUTED, 1.5);
    let point = |i: usize, ms: f64| at(axes.along.px(i as f64 + 1.0), axes.upright.px(ms));
    let places: Vec<_> = over
        .differences
        .iter()
        .enumerate()
        .filter_map(|(i, own)| Some((i, point(i, own.as_ref()?.estimate))))
        .collect();
    if places.len() > 1 {
        let stroke = Stroke { colour: colour_of(other).faint(150), width_px: 2.0, dash_px: None };
        let points = places.iter().map(|(_, point)| *point).collect();
        drawing.items.push(Item::Line { points, stroke });
    }
    // Many sessions: smaller marks.
    let radius = if sessions > 60 { 3.0 } else { 7.0 };
    for (i, place) in places {
        let out = over.chart.as_ref().is_some_and(|chart| chart.outside.contains(&i));
        let colour = colour_of(other);
        let (fill, edge) = if out { (PAPER, Some(colour)) } else { (colour, Some(PAPER)) };
        marker(drawing, other, place, radius, fill, edge);
    }
}

/// Sessions are whole: a tick between two tells nothing.
fn whole(value: f64) -> String {
    if (value - value.round()).abs() < 1e-9 { plain(value) } else { String::new() }
}
