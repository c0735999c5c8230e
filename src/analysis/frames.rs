//! Frames and reports as units of time: what a count of frames is in milliseconds, and the doubt
//! that comes from seeing only whole ones.
//!
//! Knows intervals only. An error spread evenly over one interval T has sd T / sqrt 12.

/// Milliseconds of `frames` frames (fractions allowed) at `rate_hz` a second.
pub fn ms(frames: f64, rate_hz: f64) -> f64 {
    1000.0 * frames / rate_hz
}

/// sd of one end seen only at whole intervals: T / sqrt 12, in the unit of the interval.
pub fn one_end_sd(interval: f64) -> f64 {
    interval / 12.0_f64.sqrt()
}

/// sd of a span whose two ends are seen only at whole intervals, each of its own:
/// sqrt((T1^2 + T2^2) / 12); for one and the same interval T / sqrt 6.
pub fn both_ends_sd(one: f64, other: f64) -> f64 {
    ((one * one + other * other) / 12.0).sqrt()
}
