//! A presentation clock without this program's screen: for a bench whose own client presents, so
//! that the clock's stamps can be held against what that client's robot sees.

use super::clocks::{self, Armed, Fate, PresentationClock};
use super::earn::{self, Earned, Sighting};
use super::refusal::Refusal;
use super::{Gpu, ShownAs};
use crate::clock::Bell;
use crate::units::{Nanos, Span, Stamp};

/// One clock and what it told.
pub struct LoneClock {
    clock: Box<dyn PresentationClock>,
    run: Vec<Sighting>,
    refresh: Span,
}

impl LoneClock {
    /// X11 Present for the window `xid` of any client of the server that DISPLAY names; rings the
    /// calling thread's bell. The window's presents have to be numbered from 1.
    ///
    /// # Errors
    /// [`Refusal::NotThere`] where the server has no such thing.
    pub fn present_complete(xid: u32, refresh: Span) -> Result<LoneClock, Refusal> {
        let bell = Bell::of_this_thread();
        let clock = clocks::present_complete(xid, bell, refresh)
            .map_err(|fault| Refusal::NotThere { reason: fault.to_string() })?;
        Ok(LoneClock { clock, run: Vec::new(), refresh })
    }

    /// Before a picture is presented. `frame`: its number; `submission`: its drawing.
    pub fn armed(&mut self, frame: u64, t: Nanos, submission: wgpu::SubmissionIndex) {
        let extras = self.clock.extras();
        if let Some(last) = self.run.last_mut() {
            last.extras += extras;
        }
        self.clock.armed(&Armed { frame, t, submission });
        self.run.push(Sighting { submit: t, stamp: None, extras: 0 });
    }

    /// What became of the picture, once that is known: its stamp, or nothing if it was passed over.
    pub fn fate(&mut self, gpu: &Gpu, now: Nanos) -> Option<Option<Stamp>> {
        let Fate { stamp, .. } = self.clock.stamps(gpu, now)?;
        if let Some(last) = self.run.last_mut() {
            last.stamp = stamp.map(|stamp| stamp.t);
        }
        Some(stamp)
    }

    /// Whether the program would believe the clock after what it told so far.
    ///
    /// # Errors
    /// Why not.
    pub fn earned(&self) -> Result<Earned, Refusal> {
        earn::lattice(&self.run, self.refresh, self.clock.sd())
    }

    /// How the pictures came to the screen.
    pub fn shown_as(&self) -> Option<ShownAs> {
        self.clock.shown_as()
    }
}
