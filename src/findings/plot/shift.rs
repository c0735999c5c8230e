//! The shift function: how far apart two holds are among the quick presses and among the slow.
//!
//! A line a pair, from the fastest tenth to the slowest; bars where there are enough blocks.

use super::draw::{Drawing, Item, Stroke, Type, at};
use super::frame::{Frame, percent, plain, span};
use super::ink::{INK, MUTED, PAPER, colour_of, marker};
use super::letters::width;
use crate::findings::Findings;
use crate::words::findings as words;

const WIDTH_PX: u32 = 600;
const HEIGHT_PX: u32 = 380;

/// The plot; `None` where no pair has a shift function.
pub fn draw(findings: &Findings) -> Option<Drawing> {
    let pairs: Vec<usize> = (0..findings.secondary.pairs.len())
        .filter(|&i| !findings.secondary.pairs[i].shift.is_empty())
        .collect();
    let deciles = || pairs.iter().flat_map(|&i| &findings.secondary.pairs[i].shift);
    let ends: Vec<f64> = deciles()
        .flat_map(|d| {
            let interval = d.interval.map_or([d.difference_ms; 2], |i| [i.low, i.high]);
            [d.difference_ms, interval[0], interval[1], 0.0]
        })
        .collect();
    let up = span(ends.iter().copied(), 2.0)?;
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, says(findings, &pairs));
    let mut legend = 64.0;
    for &pair in &pairs {
        let told = &findings.pairs[pair];
        let [a, b] = [told.a, told.b].map(|hold| words::hold(&findings.holds[hold].id));
        let other = if told.a == 0 { told.b } else { told.a };
        marker(&mut drawing, other, at(legend, 17.0), 6.0, colour_of(other), None);
        let name = format!("{a} \u{2212} {b}");
        drawing.text(at(legend + 14.0, 22.0), name.clone(), &Type::plain(15.0, INK));
        legend += 14.0 + 1.15 * width(&name, 15.0) + 26.0;
    }
    let frame = Frame {
        across_px: [64.0, f64::from(WIDTH_PX) - 20.0],
        up_px: [310.0, 62.0],
        across: [0.05, 0.95],
        up,
    };
    let names = ["share of presses that are quicker", "difference, ms"];
    let axes = frame.draw(&mut drawing, names, [percent, plain]);
    let zero = axes.upright.px(0.0);
    drawing.line(at(axes.along.from_px, zero), at(axes.along.to_px, zero), MUTED, 1.5);
    for (place, &pair) in pairs.iter().enumerate() {
        let told = &findings.pairs[pair];
        let other = if told.a == 0 { told.b } else { told.a };
        let colour = colour_of(other);
        // Bars of several pairs would hide each other.
        let aside = 5.0 * (place as f64 - (pairs.len() - 1) as f64 / 2.0);
        let shift = &findings.secondary.pairs[pair].shift;
        let point = |share: f64, ms: f64| at(axes.along.px(share) + aside, axes.upright.px(ms));
        let points = shift.iter().map(|d| point(d.share, d.difference_ms)).collect();
        let stroke = Stroke { colour: colour.faint(170), width_px: 2.0, dash_px: None };
        drawing.items.push(Item::Line { points, stroke });
        for decile in shift {
            if let Some(interval) = decile.interval {
                let (low, high) =
                    (point(decile.share, interval.low), point(decile.share, interval.high));
                drawing.line(low, high, colour, 2.0);
            }
            let middle = point(decile.share, decile.difference_ms);
            marker(&mut drawing, other, middle, 6.0, colour, Some(PAPER));
        }
    }
    Some(drawing)
}

fn says(findings: &Findings, pairs: &[usize]) -> String {
    let of_pair = |&pair: &usize| {
        let told = &findings.pairs[pair];
        let [a, b] = [told.a, told.b].map(|hold| words::hold(&findings.holds[hold].id));
        let shift = &findings.secondary.pairs[pair].shift;
        let at = |place: usize| shift.get(place).map_or(0.0, |d| d.difference_ms);
        format!(
            "{a} minus {b}: {:.1} ms in the fastest tenth, {:.1} in the middle, {:.1} in the slowest tenth",
            at(0),
            at(4),
            at(8)
        )
    };
    let all: Vec<String> = pairs.iter().map(of_pair).collect();
    format!("Differences from the quick presses to the slow. {}.", all.join("; "))
}
