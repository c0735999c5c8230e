//! The frame of a plot with two axes: ticks, hairlines, what they measure.

use super::draw::{Drawing, Type, at};
use super::ink::{HAIRLINE, MUTED};
use super::{Axis, axis::tick_text, ticks};

/// Where a frame stands and what it spans.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Left and right end of the lower axis, px.
    pub(super) across_px: [f64; 2],
    /// Foot and top of the upright axis, px.
    pub(super) up_px: [f64; 2],
    /// Values at the lower axis's ends.
    pub(super) across: [f64; 2],
    /// Values at the upright axis's ends.
    pub(super) up: [f64; 2],
}

/// A frame that has been drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axes {
    pub(super) along: Axis,
    pub(super) upright: Axis,
}

/// How an axis's ticks are told.
pub(super) type Tell = fn(f64) -> String;

/// Milliseconds and other plain numbers.
pub(super) fn plain(value: f64) -> String {
    tick_text(value)
}

/// A share as per cent.
pub(super) fn percent(value: f64) -> String {
    format!("{} %", tick_text(100.0 * value))
}

impl Frame {
    /// Draws it. `names`: what the lower and the upright axis measure.
    pub(super) fn draw(&self, drawing: &mut Drawing, names: [&str; 2], tell: [Tell; 2]) -> Axes {
        let [left, right] = self.across_px;
        let [foot, top] = self.up_px;
        let along = Axis { from: self.across[0], to: self.across[1], from_px: left, to_px: right };
        let upright = Axis { from: self.up[0], to: self.up[1], from_px: foot, to_px: top };
        let small = Type::plain(14.0, MUTED);
        for tick in ticks(self.up[0].min(self.up[1]), self.up[0].max(self.up[1]), 5) {
            let y = upright.px(tick);
            drawing.line(at(left, y), at(right, y), HAIRLINE, 1.0);
            drawing.text(at(left - 8.0, y + 4.5), (tell[1])(tick), &small.end());
        }
        drawing.line(at(left, foot), at(right, foot), MUTED, 1.0);
        // About a tick each 80 px, so that labels do not touch.
        let wish = if right - left < 320.0 { 3 } else { 6 };
        for tick in
            ticks(self.across[0].min(self.across[1]), self.across[0].max(self.across[1]), wish)
        {
            let x = along.px(tick);
            drawing.line(at(x, foot), at(x, foot + 5.0), MUTED, 1.0);
            drawing.text(at(x, foot + 22.0), (tell[0])(tick), &small.middle());
        }
        drawing.text(at(f64::midpoint(left, right), foot + 46.0), names[0], &small.middle());
        drawing.text(at(left - 50.0, top - 14.0), names[1], &small);
        Axes { along, upright }
    }
}

/// From the least to the most value with a little air; `None` of nothing.
pub(super) fn span(values: impl Iterator<Item = f64> + Clone, least_air: f64) -> Option<[f64; 2]> {
    let low = values.clone().filter(|v| v.is_finite()).reduce(f64::min)?;
    let high = values.filter(|v| v.is_finite()).reduce(f64::max)?;
    let air = (0.08 * (high - low)).max(least_air);
    Some([low - air, high + air])
}
