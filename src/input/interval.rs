//! How often a mouse reports, from its own motion.
//!
//! Knows no device and no clock: moments and steps come in. Invariant: only intervals between two
//! reports that both carry two counts or more enter, since a slow hand leaves reports out, and then
//! the distance between two of them says nothing about the mouse.

use crate::units::{Nanos, Span};

/// Intervals that are kept; the oldest gives way.
const KEPT: usize = 256;
/// Fewer than this say nothing (common practice, no source).
pub const FEWEST_INTERVALS: usize = 32;
/// A longer one is a pause of the hand: the slowest mice report each 10 ms (common practice, no source).
const LONGEST: Span = Span::from_ms(20);
/// A report with fewer counts may have been preceded by an empty one.
const BRISK_COUNTS: u32 = 2;

/// The median interval between the reports of one mouse in brisk motion.
#[derive(Debug, Clone)]
pub struct ReportInterval {
    spans: [i64; KEPT],
    filled: usize,
    next: usize,
    last: Option<Nanos>,
}

impl Default for ReportInterval {
    fn default() -> Self {
        ReportInterval { spans: [0; KEPT], filled: 0, next: 0, last: None }
    }
}

impl ReportInterval {
    /// A report at `t` that moved `counts` counts (the larger of the two axes). Allocates nothing.
    pub fn moved(&mut self, t: Nanos, counts: u32) {
        if counts < BRISK_COUNTS {
            self.last = None;
            return;
        }
        if let Some(last) = self.last.replace(t) {
            let span = t - last;
            if span > Span::ZERO && span <= LONGEST {
                self.spans[self.next] = span.0;
                self.next = (self.next + 1) % KEPT;
                self.filled = KEPT.min(self.filled + 1);
            }
        }
    }

    /// The median interval, once [`FEWEST_INTERVALS`] have been seen. Allocates nothing.
    pub fn median(&self) -> Option<Span> {
        if self.filled < FEWEST_INTERVALS {
            return None;
        }
        let mut spans = self.spans;
        let (_, median, _) = spans[..self.filled].select_nth_unstable(self.filled / 2);
        Some(Span(*median))
    }
}
