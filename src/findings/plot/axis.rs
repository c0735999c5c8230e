//! From values to pixels, and where the ticks stand.
//!
//! An axis is linear and knows no unit.

/// A linear axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Value at `from_px`.
    pub from: f64,
    /// Value at `to_px`.
    pub to: f64,
    /// Where the first value lies.
    pub from_px: f64,
    /// Where the last value lies.
    pub to_px: f64,
}

impl Axis {
    /// The pixel of a value.
    pub fn px(&self, value: f64) -> f64 {
        let span = self.to - self.from;
        let share = if span.abs() > 0.0 { (value - self.from) / span } else { 0.5 };
        self.from_px + share * (self.to_px - self.from_px)
    }

    /// Whether a value lies on it.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.from.min(self.to) && value <= self.from.max(self.to)
    }
}

/// Round values from `low` to `high`: steps of 1, 2 or 5 times a power of ten, about `wish` of them.
pub fn ticks(low: f64, high: f64, wish: usize) -> Vec<f64> {
    let span = high - low;
    if !(span.is_finite() && span > 0.0) {
        return vec![low];
    }
    let raw = span / wish.max(1) as f64;
    let power = 10_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= raw * 0.999)
        .unwrap_or(10.0 * power);
    let first = (low / step).ceil();
    let places = (0..200).map(|i| (first + f64::from(i)) * step);
    places.take_while(|value| *value <= high + step * 1e-9).collect()
}

/// A tick's text: no needless decimals, a true minus sign.
pub(super) fn tick_text(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    let text = if (rounded - rounded.round()).abs() < 1e-9 {
        format!("{:.0}", rounded.abs())
    } else {
        format!("{:.1}", rounded.abs())
    };
    if rounded < 0.0 { format!("\u{2212}{text}") } else { text }
}
