//! What the robot did and saw: one row a press, and how closely it had been watching.
//!
//! All times are CLOCK_MONOTONIC, ns. The first changed pixel came after `before_seen_ns` and not
//! after `seen_ns`; the server did the press between `press_before_ns` and `press_after_ns`.

use crate::error::RobotError;
use std::fmt;
use std::fs::File;
use std::path::{Path, PathBuf};
use tautline::units::{Nanos, Span};

/// One press.
#[derive(Debug, serde::Serialize)]
pub(crate) struct Row {
    pub(crate) number: u32,
    pub(crate) task: &'static str,
    pub(crate) spot: &'static str,
    pub(crate) button: u8,
    /// When the last look began that did not see the target.
    pub(crate) before_seen_ns: Nanos,
    /// When the look ended that saw it.
    pub(crate) seen_ns: Nanos,
    /// When the first motion was sent; blank where there was none.
    pub(crate) move_ns: Option<Nanos>,
    /// When the smooth curve behind that motion began, before it had grown to a whole count.
    pub(crate) curve_ns: Option<Nanos>,
    pub(crate) press_before_ns: Nanos,
    pub(crate) press_after_ns: Nanos,
    pub(crate) release_ns: Nanos,
    /// The wait that was drawn, from seen to press.
    pub(crate) wait_ns: Span,
    /// The poll gap at the onset.
    pub(crate) onset_gap_ns: Span,
    /// The gap between the two readings around the press.
    pub(crate) press_gap_ns: Span,
}

/// The file of truth; each row reaches the system as it is written.
pub(crate) struct Truth {
    path: PathBuf,
    writer: csv::Writer<File>,
}

impl Truth {
    pub(crate) fn create(path: &Path) -> Result<Truth, RobotError> {
        let file = File::create(path);
        let file = file.map_err(|source| RobotError::Truth { path: path.to_owned(), source })?;
        Ok(Truth { path: path.to_owned(), writer: csv::Writer::from_writer(file) })
    }

    pub(crate) fn write(&mut self, row: &Row) -> Result<(), RobotError> {
        let written = self.writer.serialize(row).map_err(std::io::Error::from);
        let written = written.and_then(|()| self.writer.flush());
        written.map_err(|source| RobotError::Truth { path: self.path.clone(), source })
    }
}

/// How closely the robot watched the field.
#[derive(Debug, Default)]
pub(crate) struct Watch {
    gaps: Vec<Span>,
    pub(crate) presses: u32,
    pub(crate) enters: u32,
    /// Targets that ask for no answer.
    pub(crate) left_alone: u32,
}

impl Watch {
    /// The time from the start of one look to the end of the next.
    pub(crate) fn gap(&mut self, gap: Span) {
        self.gaps.push(gap);
    }
}

impl fmt::Display for Watch {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let mut gaps = self.gaps.clone();
        gaps.sort();
        let at = |thousandths: usize| {
            gaps.get(gaps.len() * thousandths / 1000).map_or(f64::NAN, |gap| gap.ms())
        };
        let wide = gaps.iter().filter(|gap| gap.ms() > 2.0).count();
        write!(
            f,
            "robot: {} presses, {} left alone, {} Enter; {} looks at the field; gap between looks: median {:.3} ms, \
             p95 {:.3}, p99.9 {:.3}; over 2 ms: {wide}",
            self.presses,
            self.left_alone,
            self.enters,
            gaps.len(),
            at(500),
            at(950),
            at(999)
        )
    }
}
