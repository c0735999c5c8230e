//! DXGI frame statistics (Windows, DX12): the refresh at which each present reached the screen.
//!
//! `dxgi_frames` works the moment out; this asks. It rings no bell and is asked again and again.
//! Exact where the window's own pictures are scanned out; where the desktop is composed of several,
//! the screen follows later and the doubt says so.
//!
//! Tried under wine, where the statistics are refused; not yet run on this system itself.

use std::sync::Arc;

use super::dxgi_frames::{Frames, Onset};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::display::dxgi::{Refused, SwapChain};
use crate::display::report::Composition;
use crate::display::{Gpu, Stage};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// The window's own pictures are scanned out: the moment of the vertical blank, by an interrupt.
/// Not yet measured.
const DIRECT_SD: Span = Span(100_000);

/// Asks the window's swapchain.
#[derive(Debug)]
pub(super) struct DxgiStatistics {
    chain: Arc<SwapChain>,
    frames: Frames,
    waiting: Option<Waiting>,
    composed_sd: Span,
    sd: Span,
}

#[derive(Debug, Clone, Copy)]
struct Waiting {
    frame: u64,
    /// Its number at the swapchain was asked for.
    counted: bool,
}

impl DxgiStatistics {
    /// Asks once, to see whether anything is told at all.
    pub(super) fn open(stage: &Stage, refresh: Span) -> Result<DxgiStatistics, Refused> {
        let chain = Arc::clone(&stage.window.swap_chain);
        chain.last_present()?;
        chain.statistics()?;
        let composed_sd = Span::from_ms_f64(refresh.ms() / 12f64.sqrt()).max(DIRECT_SD);
        let frames = Frames::new(refresh);
        Ok(DxgiStatistics { chain, frames, waiting: None, composed_sd, sd: composed_sd })
    }
}

impl PresentationClock for DxgiStatistics {
    fn source(&self) -> StampSource {
        StampSource::DxgiStatistics
    }

    fn nature(&self) -> Nature {
        Nature::Lattice
    }

    fn sd(&self) -> Span {
        self.sd
    }

    fn rings(&self) -> bool {
        false
    }

    fn armed(&mut self, armed: &Armed) {
        self.waiting = Some(Waiting { frame: armed.frame, counted: false });
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        let waiting = self.waiting.as_mut()?;
        if !waiting.counted {
            // One frame is in flight, so this is its number; it was presented on this thread.
            self.frames.presented(self.chain.last_present().ok()?);
            waiting.counted = true;
        }
        let frame = waiting.frame;
        // What is refused now and then is asked again; a clock that falls silent is given up.
        let stamp = match self.frames.take(self.chain.statistics().ok()?) {
            Onset::Waiting => return None,
            Onset::Unknown => None,
            Onset::Shown(t) => {
                self.sd = match self.chain.composition() {
                    Composition::Direct | Composition::Overlay => DIRECT_SD,
                    Composition::Composed | Composition::Failed | Composition::NotTold => {
                        self.composed_sd
                    }
                };
                Some(Stamp { t, source: StampSource::DxgiStatistics, sd: self.sd })
            }
        };
        self.waiting = None;
        Some(Fate { frame, stamp })
    }

    fn extras(&mut self) -> u32 {
        self.frames.passed_over()
    }

    fn forget(&mut self) {
        self.frames.forget();
        self.waiting = None;
    }
}
