//! The plain loop's file: one row a click.
//!
//! Its stamps are `Instant`s, as they came; one pair of readings at the start gives them the zero
//! of CLOCK_MONOTONIC, so that they can be laid beside the robot's truth.

use std::fs::File;
use std::path::Path;
use std::time::Instant;
use tautline::clock;
use tautline::units::Nanos;

#[derive(serde::Serialize)]
struct Row {
    trial: u32,
    /// Blank: the click came before the stimulus.
    shown_ns: Option<i64>,
    press_ns: i64,
}

/// The open file and the pair of readings.
pub(crate) struct LoopLog {
    writer: csv::Writer<File>,
    zero: Instant,
    zero_ns: Nanos,
}

impl LoopLog {
    #[expect(clippy::disallowed_methods, reason = "the plain loop's own clock")]
    pub(crate) fn create(path: &Path) -> LoopLog {
        let writer = csv::Writer::from_path(path).expect("the file can be written");
        LoopLog { writer, zero: Instant::now(), zero_ns: clock::now() }
    }

    pub(crate) fn write(&mut self, trial: u32, shown: Option<Instant>, press: Instant) {
        let row = Row {
            trial,
            shown_ns: shown.map(|shown| self.on_clock(shown)),
            press_ns: self.on_clock(press),
        };
        self.writer.serialize(row).expect("the file can be written");
        self.writer.flush().expect("the file can be written");
    }

    fn on_clock(&self, instant: Instant) -> i64 {
        let since = instant.saturating_duration_since(self.zero).as_nanos();
        self.zero_ns.0 + i64::try_from(since).expect("292 years of nanoseconds")
    }
}
