//! Plans side by side: the chance of a clear answer against minutes, a line for each number of
//! trials, a mark for each number of cycles.
//!
//! It stands here, with the other plots, because the draw list does; it knows a grid and no findings.

use super::draw::{Drawing, Type, at};
use super::ink::{HAIRLINE, INK, MUTED, PAPER, colour_of, marker};
use super::{Axis, axis::tick_text, ticks};
use crate::plan::{Grid, Planned};
use crate::words::plan::plot as words;

const WIDTH_PX: u32 = 760;
const HEIGHT_PX: u32 = 470;
const LEFT_PX: f64 = 64.0;
const RIGHT_PX: f64 = 590.0;
const TOP_PX: f64 = 54.0;
const FOOT_PX: f64 = 390.0;

/// The plot. `wish`: the share of clear answers wished for, 0 to 1.
pub fn draw(grid: &Grid, wish: Option<f64>) -> Drawing {
    let planned: Vec<(usize, usize, &Planned)> = grid
        .cells
        .iter()
        .filter_map(|cell| Some((cell.cycles, cell.trials, cell.plan.as_ref().ok()?)))
        .collect();
    let says = words::says(grid.difference_ms, planned.len());
    let mut drawing = Drawing::new(WIDTH_PX, HEIGHT_PX, says);
    drawing.paper = Some(PAPER);
    let title = words::title(grid.difference_ms);
    drawing.text(at(LEFT_PX, 28.0), title, &Type::plain(18.0, INK).strong());
    let longest = planned.iter().map(|(_, _, plan)| plan.takes.elapsed).fold(10.0, f64::max);
    let along = Axis { from: 0.0, to: longest * 1.06, from_px: LEFT_PX, to_px: RIGHT_PX };
    let up = Axis { from: 0.0, to: 100.0, from_px: FOOT_PX, to_px: TOP_PX };
    scales(&mut drawing, &along, &up);
    if let Some(wish) = wish {
        let y = up.px(wish * 100.0);
        drawing.dashed(at(LEFT_PX, y), at(RIGHT_PX, y), MUTED, 1.5);
        drawing.text(at(LEFT_PX + 6.0, y - 6.0), words::wish(wish), &Type::plain(13.0, MUTED));
    }
    let mut trials: Vec<usize> = planned.iter().map(|(_, trials, _)| *trials).collect();
    trials.sort_unstable();
    trials.dedup();
    for (line, &trials) in trials.iter().enumerate() {
        let points: Vec<_> = planned
            .iter()
            .filter(|(_, of, _)| *of == trials)
            .map(|(cycles, _, plan)| {
                let clear = plan.outlook.clear_share * 100.0;
                (*cycles, at(along.px(plan.takes.elapsed), up.px(clear)))
            })
            .collect();
        for pair in points.windows(2) {
            drawing.line(pair[0].1, pair[1].1, colour_of(line), 1.5);
        }
        for (cycles, point) in &points {
            marker(&mut drawing, line, *point, 5.0, colour_of(line), Some(PAPER));
            let label = Type::plain(12.0, MUTED).middle();
            drawing.text(at(point.x, point.y - 9.0), cycles.to_string(), &label);
        }
        let y = TOP_PX + 24.0 * line as f64 + 6.0;
        marker(&mut drawing, line, at(RIGHT_PX + 20.0, y - 4.0), 5.0, colour_of(line), None);
        drawing.text(at(RIGHT_PX + 32.0, y), words::trials(trials), &Type::plain(14.0, INK));
    }
    drawing.text(at(LEFT_PX, FOOT_PX + 68.0), words::KEY, &Type::plain(13.0, MUTED));
    drawing
}

fn scales(drawing: &mut Drawing, along: &Axis, up: &Axis) {
    for tick in ticks(up.from, up.to, 5) {
        let y = up.px(tick);
        drawing.line(at(LEFT_PX, y), at(RIGHT_PX, y), HAIRLINE, 1.0);
        drawing.text(at(LEFT_PX - 8.0, y + 5.0), tick_text(tick), &Type::plain(13.0, MUTED).end());
    }
    for tick in ticks(along.from, along.to, 8) {
        let x = along.px(tick);
        drawing.line(at(x, FOOT_PX), at(x, FOOT_PX + 5.0), MUTED, 1.0);
        let under = at(x, FOOT_PX + 22.0);
        drawing.text(under, tick_text(tick), &Type::plain(13.0, MUTED).middle());
    }
    let middle = f64::midpoint(LEFT_PX, RIGHT_PX);
    drawing.text(at(middle, FOOT_PX + 44.0), words::MINUTES, &Type::plain(14.0, MUTED).middle());
    drawing.text(at(LEFT_PX, TOP_PX - 8.0), words::CLEAR, &Type::plain(13.0, MUTED));
}
