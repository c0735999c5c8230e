//! The estimate: no clock tells, so the stamp is worked out from the moment the drawing was done.
//!
//! Drawing done is a lower bound. With a hardware screen the light follows at the next refresh,
//! anywhere within one frame interval: half a refresh is added, and the doubt is the longest
//! interval/sqrt(12), which one slow frame of the trial run widens but does not shift. A
//! software driver copies its picture at once: nothing is added, the same doubt is stated. It is
//! asked again and again, since the graphics library rings no bell.

use super::drawn::is_drawn;
use super::{Armed, Fate, Nature, PresentationClock};
use crate::display::Gpu;
use crate::units::{Nanos, Span, Stamp, StampSource};

/// Stamps a frame by the end of its drawing.
#[derive(Debug)]
pub(in crate::display) struct Estimate {
    waiting: Option<Armed>,
    refresh: Span,
    longest: Span,
    software: bool,
}

impl Estimate {
    /// `refresh`: from one frame to the next; `longest`: the longest such interval that was seen, or
    /// the refresh until one was.
    pub(in crate::display) fn new(refresh: Span, longest: Span, software: bool) -> Estimate {
        Estimate { waiting: None, refresh, longest, software }
    }

    /// What is added to the end of the drawing.
    pub(in crate::display) fn added(&self) -> Span {
        if self.software { Span::ZERO } else { Span(self.refresh.0 / 2) }
    }
}

impl PresentationClock for Estimate {
    fn source(&self) -> StampSource {
        StampSource::Estimate
    }

    fn nature(&self) -> Nature {
        Nature::Estimate
    }

    fn sd(&self) -> Span {
        Span::from_ms_f64(self.longest.ms() / 12f64.sqrt())
    }

    fn rings(&self) -> bool {
        false
    }

    fn armed(&mut self, armed: &Armed) {
        self.waiting = Some(armed.clone());
    }

    fn stamps(&mut self, gpu: &Gpu, now: Nanos) -> Option<Fate> {
        let waiting = self.waiting.take()?;
        if !is_drawn(gpu, &waiting) {
            self.waiting = Some(waiting);
            return None;
        }
        // `now` may have been read before the frame was handed over.
        let done = now.max(waiting.t);
        let stamp = Stamp { t: done + self.added(), source: self.source(), sd: self.sd() };
        Some(Fate { frame: waiting.frame, stamp: Some(stamp) })
    }

    fn extras(&mut self) -> u32 {
        0
    }

    fn forget(&mut self) {
        self.waiting = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slow_frame_widens_the_doubt_and_shifts_nothing() {
        let [refresh, slow] = [Span(16_666_666), Span(90_697_300)];
        let estimate = Estimate::new(refresh, slow, false);
        assert_eq!(estimate.added(), Span(8_333_333));
        // 90.6973 ms / sqrt(12)
        assert_eq!(estimate.sd(), Span::from_ms_f64(26.182_055_28));
        assert_eq!(Estimate::new(refresh, slow, true).added(), Span::ZERO);
    }
}
