//! The robot's truth, read back: when each target appeared and when each press was done.
//!
//! A moment that lies between two readings of the clock is taken as their middle.

use std::path::Path;

/// Over this gap between two readings a trial is left out, for every program alike.
const WIDEST_GAP_NS: i64 = 2_000_000;

/// One press, times on CLOCK_MONOTONIC.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seen {
    /// First changed pixel.
    pub(crate) onset_ns: i64,
    /// When the first count of a movement was sent; only where the task has one.
    pub(crate) move_ns: Option<i64>,
    /// When the smooth curve of that movement began, before its first count.
    pub(crate) curve_ns: Option<i64>,
    /// The press.
    pub(crate) press_ns: i64,
    /// Both are known closely enough.
    pub(crate) close: bool,
}

impl Seen {
    /// The reaction time that the robot truly had.
    pub(crate) const fn rt_ns(self) -> i64 {
        self.press_ns - self.onset_ns
    }
}

#[derive(serde::Deserialize)]
struct Row {
    before_seen_ns: i64,
    seen_ns: i64,
    move_ns: Option<i64>,
    curve_ns: Option<i64>,
    press_before_ns: i64,
    press_after_ns: i64,
    onset_gap_ns: i64,
    press_gap_ns: i64,
}

/// All presses of a truth file, in order.
///
/// # Panics
/// When the file cannot be read.
pub(crate) fn read(path: &Path) -> Vec<Seen> {
    let mut reader = csv::Reader::from_path(path).expect("the robot wrote its truth");
    let rows = reader.deserialize::<Row>().map(|row| row.expect("a whole row"));
    rows.map(|row| Seen {
        onset_ns: row.before_seen_ns.midpoint(row.seen_ns),
        move_ns: row.move_ns,
        curve_ns: row.curve_ns,
        press_ns: row.press_before_ns.midpoint(row.press_after_ns),
        close: row.onset_gap_ns.max(row.press_gap_ns) <= WIDEST_GAP_NS,
    })
    .collect()
}
