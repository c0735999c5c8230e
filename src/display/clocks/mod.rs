//! The presentation clocks: each tells, after a frame was handed over, when it was seen.
//!
//! A clock says what it heard and how far it can be off; whether it is believed is decided in
//! `earn`, by a trial run at the start of the session. Invariant: one frame is armed at a time,
//! and a clock names a fate for the armed frame at most once.

#[cfg(any(target_os = "linux", test))]
mod copied;
#[cfg(target_os = "linux")]
mod damage;
mod drawn;
#[cfg(any(windows, test))]
mod dxgi_frames;
#[cfg(windows)]
mod dxgi_statistics;
mod estimate;
#[cfg(target_os = "linux")]
mod listener;
#[cfg(target_os = "linux")]
mod present_complete;
#[cfg(target_os = "linux")]
mod present_wait;
#[cfg(target_os = "linux")]
mod vblank_phase;
#[cfg(target_os = "linux")]
mod wayland_feedback;

use super::refusal::Refusal;
use super::report::{RefusedClock, ShownAs};
use super::{Gpu, Stage};
use crate::clock::Bell;
use crate::units::{Nanos, Span, Stamp, StampSource};

#[cfg(windows)]
pub(super) use dxgi_frames::{Answer, Statistics};
pub(super) use estimate::Estimate;

/// How a clock proves itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Nature {
    /// Its stamps are whole refreshes apart.
    #[cfg_attr(
        not(any(target_os = "linux", windows)),
        expect(dead_code, reason = "no lattice clock there")
    )]
    Lattice,
    /// Its stamps are a thread's wakings after each frame: whole refreshes apart, whatever the
    /// display does.
    #[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "no such clock there yet"))]
    Waking,
    /// Its stamps are vertical blanks that no frame is tied to.
    #[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "no phase clock there yet"))]
    Phase,
    /// One stamp a frame, whenever it was copied.
    #[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "no event clock there yet"))]
    Event,
    /// Worked out; always there.
    Estimate,
}

/// A frame that is about to be presented.
#[derive(Debug, Clone)]
pub(super) struct Armed {
    /// Its number.
    pub(super) frame: u64,
    /// Before the present call.
    pub(super) t: Nanos,
    /// Tells when its drawing is done.
    pub(super) submission: wgpu::SubmissionIndex,
}

/// What became of a frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fate {
    /// Its number.
    pub(super) frame: u64,
    /// When it was seen; `None`: never.
    pub(super) stamp: Option<Stamp>,
}

/// One way to learn when a frame was seen.
pub(super) trait PresentationClock: Send {
    /// Its name in the files.
    fn source(&self) -> StampSource;
    /// How it proves itself.
    fn nature(&self) -> Nature;
    /// The standard deviation it states.
    fn sd(&self) -> Span;
    /// Whether it rings the bell; otherwise it has to be asked again and again.
    fn rings(&self) -> bool;
    /// Before the present call.
    fn armed(&mut self, armed: &Armed);
    /// After the present call, which came back at `t`.
    fn presented(&mut self, _t: Nanos) {}
    /// The fate of the armed frame, once.
    fn stamps(&mut self, gpu: &Gpu, now: Nanos) -> Option<Fate>;
    /// Events beyond one a frame since the last call.
    fn extras(&mut self) -> u32;
    /// How pictures came to the screen so far, where it tells.
    fn shown_as(&self) -> Option<ShownAs> {
        None
    }
    /// The surface was configured anew: numbers start over and what was heard before is void.
    fn forget(&mut self);
}

/// The clocks that this window can have, best first, and those that it cannot.
pub(super) struct Candidates {
    /// Best first; the last is the estimate.
    pub(super) clocks: Vec<Box<dyn PresentationClock>>,
    /// What is not there, and why.
    pub(super) refused: Vec<RefusedClock>,
}

/// Opens every clock that this window can have. `refresh`: the one asked.
pub(super) fn candidates(stage: &Stage, bell: &Bell, refresh: Span) -> Candidates {
    let mut found = Candidates { clocks: Vec::new(), refused: Vec::new() };
    let not_here: &[StampSource] =
        if cfg!(windows) { &[StampSource::PresentWait] } else { &[StampSource::DxgiStatistics] };
    for &source in not_here {
        found.refused.push(RefusedClock { source, why: Refusal::NotAttempted });
    }
    system(stage, bell, refresh, &mut found);
    found.clocks.push(Box::new(Estimate::new(refresh, refresh, stage.gpu.is_software())));
    found
}

/// X11 Present for any client's window.
#[cfg(target_os = "linux")]
pub(super) fn present_complete(
    xid: u32,
    bell: Bell,
    refresh: Span,
) -> Result<Box<dyn PresentationClock>, super::x11::Fault> {
    Ok(Box::new(present_complete::PresentComplete::open(xid, bell, refresh)?))
}

#[cfg(target_os = "linux")]
fn system(stage: &Stage, bell: &Bell, refresh: Span, found: &mut Candidates) {
    use super::{wayland, x11::Fault};
    let refuse = |source, fault: &dyn std::fmt::Display| RefusedClock {
        source,
        why: Refusal::NotThere { reason: fault.to_string() },
    };
    let vendor = stage.gpu.adapter.get_info().vendor;
    let feedback = stage.window.wayland.ok_or(wayland::Fault::NoWindow).and_then(|window| {
        wayland_feedback::WaylandFeedback::open(window, bell.clone(), refresh, vendor)
    });
    match feedback {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(fault) => found.refused.push(refuse(StampSource::WaylandFeedback, &fault)),
    }
    let complete = match stage.window.xid {
        Some(xid) => present_complete::PresentComplete::open(xid, bell.clone(), refresh),
        None => Err(Fault::NoWindow),
    };
    match complete {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(fault) => found.refused.push(refuse(StampSource::PresentComplete, &fault)),
    }
    match present_wait::PresentWait::open(&stage.gpu, bell.clone()) {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(why) => found.refused.push(RefusedClock { source: StampSource::PresentWait, why }),
    }
    let Some(xid) = stage.window.xid else {
        for source in [StampSource::VblankPhase, StampSource::Damage] {
            found.refused.push(refuse(source, &Fault::NoWindow));
        }
        return;
    };
    let software = stage.gpu.is_software();
    match vblank_phase::VblankPhase::open(xid, bell.clone(), refresh, software) {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(why) => found.refused.push(RefusedClock { source: StampSource::VblankPhase, why }),
    }
    match damage::DamageClock::open(xid, bell.clone(), refresh) {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(fault) => found.refused.push(refuse(StampSource::Damage, &fault)),
    }
}

#[cfg(windows)]
fn system(stage: &Stage, _: &Bell, refresh: Span, found: &mut Candidates) {
    match dxgi_statistics::DxgiStatistics::open(stage, refresh) {
        Ok(clock) => found.clocks.push(Box::new(clock)),
        Err(refused) => found.refused.push(RefusedClock {
            source: StampSource::DxgiStatistics,
            why: Refusal::NotThere { reason: refused.to_string() },
        }),
    }
}

#[cfg(not(any(target_os = "linux", windows)))]
fn system(_: &Stage, _: &Bell, _: Span, found: &mut Candidates) {
    for source in [
        StampSource::WaylandFeedback,
        StampSource::PresentComplete,
        StampSource::PresentWait,
        StampSource::Damage,
    ] {
        found.refused.push(RefusedClock { source, why: Refusal::NotAttempted });
    }
}
