//! Wayland's wp_presentation: the compositor's own word on when a frame was shown, or that it
//! never was.
//!
//! It is asked on the presenting thread just before the present call, so it belongs to the very
//! commit that the driver makes inside that call. Answers are heard on a thread and a queue of our
//! own, and carried over from the compositor's clock to ours at each stamp. How far a stamp can be
//! off follows from what the compositor says of it: a mere guess states a whole refresh's spread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;

use wayland_client::globals::{GlobalListContents, registry_queue_init};
use wayland_client::protocol::wl_registry::{self, WlRegistry};
use wayland_client::protocol::wl_surface::WlSurface;
use wayland_client::{Connection, Dispatch, EventQueue, QueueHandle, WEnum};
use wayland_protocols::wp::presentation_time::client::wp_presentation::{self, WpPresentation};
use wayland_protocols::wp::presentation_time::client::wp_presentation_feedback::{
    self, Kind, WpPresentationFeedback,
};

use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::{self, Bell};
use crate::display::report::ShownAs;
use crate::display::wayland::{Fault, Link, Readable, readable};
use crate::display::{Gpu, WaylandHandles};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// Far more than one frame can cause.
const RING: usize = 64;
/// The thread looks whether it should end at least so often.
const LOOK: Span = Span(20_000_000);
/// At a vertical blank, stamped and reported by the hardware.
const HARDWARE_SD: Span = Span(50_000);
/// At a vertical blank that the hardware reported, stamped by a program.
const PROGRAM_SD: Span = Span(500_000);
/// The PCI number of the maker whose kernel driver stamps flips in software, whatever it says.
const STAMPS_IN_SOFTWARE: u32 = 0x10de;

/// What became of one frame, as the compositor told it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Told {
    /// Our number of the frame.
    number: u64,
    /// When it was shown and how far that can be off; `None`: never.
    shown: Option<Shown>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Shown {
    t: Nanos,
    sd: Span,
    /// The compositor says that it was at a vertical blank.
    at_blank: bool,
    /// The compositor says that our very picture was scanned out.
    as_it_is: bool,
}

/// Hears the feedback of the window's frames.
#[derive(Debug)]
pub(super) struct WaylandFeedback {
    ring: rtrb::Consumer<Told>,
    surface: WlSurface,
    presentation: WpPresentation,
    queue: QueueHandle<Ears>,
    waiting: Option<Armed>,
    waiting_number: u64,
    number: u64,
    extras: u32,
    sd: Span,
    /// Some frame was shown off the vertical blank, by the compositor's own word.
    off_blank: bool,
    shown_as: ShownAs,
    quit: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl WaylandFeedback {
    /// Joins the window library's connection. `refresh`: the one asked; `vendor`: the card maker's
    /// PCI number.
    pub(super) fn open(
        window: WaylandHandles,
        bell: Bell,
        refresh: Span,
        vendor: u32,
    ) -> Result<WaylandFeedback, Fault> {
        let Link { connection, surface } = Link::of(window)?;
        let (globals, mut events) = registry_queue_init::<Ears>(&connection)?;
        let queue = events.handle();
        let presentation: WpPresentation = globals
            .bind(&queue, 1..=2, ())
            .map_err(|source| Fault::NotOffered { name: "wp_presentation", source })?;
        let (push, ring) = rtrb::RingBuffer::new(RING);
        let least = if vendor == STAMPS_IN_SOFTWARE { PROGRAM_SD } else { HARDWARE_SD };
        let mut ears = Ears { push, bell, clock: None, refresh, least };
        events.roundtrip(&mut ears)?;
        let number = ears.clock.ok_or(Fault::NoClock)?;
        ears.ahead().ok_or(Fault::ForeignClock { number })?;
        let quit = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&quit);
        let thread = std::thread::Builder::new()
            .name("feedback".to_owned())
            .spawn(move || listen(events, ears, &told))
            .map_err(|source| Fault::NoThread { source })?;
        Ok(WaylandFeedback {
            ring,
            surface,
            presentation,
            queue,
            waiting: None,
            waiting_number: 0,
            number: 0,
            extras: 0,
            sd: least,
            off_blank: false,
            shown_as: ShownAs::default(),
            quit,
            thread: Some(thread),
        })
    }
}

/// Hears the queue until told to end. A broken connection ends it too: the clock is then silent,
/// which the screen notices, tells and answers by falling back.
fn listen(mut events: EventQueue<Ears>, mut ears: Ears, quit: &AtomicBool) {
    while !quit.load(Ordering::Acquire) {
        if events.dispatch_pending(&mut ears).is_err() {
            return;
        }
        // `None`: something came meanwhile and waits to be dispatched.
        let Some(reading) = events.prepare_read() else { continue };
        match readable(reading.connection_fd(), LOOK) {
            // Another thread may have read it first: then there is nothing, which is no fault.
            Readable::Yes => match reading.read() {
                Ok(_) => {}
                Err(wayland_client::backend::WaylandError::Io(error))
                    if error.kind() == std::io::ErrorKind::WouldBlock => {}
                Err(_) => return,
            },
            Readable::NotYet => drop(reading),
            Readable::Never => return,
        }
    }
}

/// What the queue's events are told to.
#[derive(Debug)]
struct Ears {
    push: rtrb::Producer<Told>,
    bell: Bell,
    /// The number of the compositor's clock.
    clock: Option<u32>,
    refresh: Span,
    least: Span,
}

impl Ears {
    fn ahead(&self) -> Option<Span> {
        clock::ahead_of(i32::try_from(self.clock?).ok()?)
    }

    fn tell(&mut self, told: Told) {
        // A full ring loses the newest: that frame then counts as not told of.
        if self.push.push(told).is_ok() {
            self.bell.ring();
        }
    }
}

/// How far a stamp can be off. `refresh`: the longest time between two blanks; `least`: what no
/// stamp of this system is better than.
///
/// Without the word of the hardware that the frame was shown, or off the vertical blank, the
/// moment lies anywhere in a refresh.
fn doubt(kind: Kind, refresh: Span, least: Span) -> Span {
    let sd = if !kind.contains(Kind::Vsync | Kind::HwCompletion) {
        Span::from_ms_f64(refresh.ms() / 12f64.sqrt())
    } else if kind.contains(Kind::HwClock) {
        HARDWARE_SD
    } else {
        PROGRAM_SD
    };
    sd.max(least)
}

/// The compositor's time in ns; it comes as two halves of the seconds and the rest.
fn nanos(sec_hi: u32, sec_lo: u32, nsec: u32) -> Option<Nanos> {
    let seconds = i64::try_from(u64::from(sec_hi) << 32 | u64::from(sec_lo)).ok()?;
    Some(Nanos(seconds.checked_mul(1_000_000_000)?.checked_add(i64::from(nsec))?))
}

impl Dispatch<WpPresentation, ()> for Ears {
    fn event(
        ears: &mut Ears,
        _: &WpPresentation,
        event: wp_presentation::Event,
        (): &(),
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        if let wp_presentation::Event::ClockId { clk_id } = event {
            ears.clock = Some(clk_id);
        }
    }
}

impl Dispatch<WpPresentationFeedback, u64> for Ears {
    fn event(
        ears: &mut Ears,
        _: &WpPresentationFeedback,
        event: wp_presentation_feedback::Event,
        &number: &u64,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        use wp_presentation_feedback::Event;
        match event {
            Event::Presented { tv_sec_hi, tv_sec_lo, tv_nsec, refresh, flags, .. } => {
                let (Some(theirs), Some(ahead)) =
                    (nanos(tv_sec_hi, tv_sec_lo, tv_nsec), ears.ahead())
                else {
                    return;
                };
                let kind = match flags {
                    WEnum::Value(kind) => kind,
                    WEnum::Unknown(bits) => Kind::from_bits_truncate(bits),
                };
                // 0: the compositor does not know it, or it varies.
                let refresh = if refresh == 0 { ears.refresh } else { Span(refresh.into()) };
                let sd = doubt(kind, refresh, ears.least);
                let at_blank = kind.contains(Kind::Vsync);
                let as_it_is = kind.contains(Kind::ZeroCopy);
                let shown = Shown { t: theirs + ahead, sd, at_blank, as_it_is };
                ears.tell(Told { number, shown: Some(shown) });
            }
            Event::Discarded => ears.tell(Told { number, shown: None }),
            // Which output: nothing here depends on it.
            _ => {}
        }
    }
}

impl Dispatch<WlRegistry, GlobalListContents> for Ears {
    fn event(
        _: &mut Ears,
        _: &WlRegistry,
        _: wl_registry::Event,
        _: &GlobalListContents,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        // What comes and goes later is the window library's business.
    }
}

impl PresentationClock for WaylandFeedback {
    fn source(&self) -> StampSource {
        StampSource::WaylandFeedback
    }

    fn nature(&self) -> Nature {
        // Inside another window or without an output there is no refresh to be on: there the
        // compositor itself does not claim the blank, and its word is judged frame by frame.
        if self.off_blank { Nature::Event } else { Nature::Lattice }
    }

    fn sd(&self) -> Span {
        self.sd
    }

    fn rings(&self) -> bool {
        true
    }

    fn armed(&mut self, armed: &Armed) {
        while self.ring.pop().is_ok() {
            self.extras += 1;
        }
        self.number += 1;
        // Sent no later than the commit that follows on this thread: both wait in one line.
        self.presentation.feedback(&self.surface, &self.queue, self.number);
        self.waiting = Some(armed.clone());
        self.waiting_number = self.number;
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        while let Ok(told) = self.ring.pop() {
            let ours = told.number == self.waiting_number;
            let Some(armed) = self.waiting.take_if(|_| ours) else {
                self.extras += 1;
                continue;
            };
            self.shown_as.skips += u32::from(told.shown.is_none());
            let stamp = told.shown.map(|Shown { t, sd, at_blank, as_it_is }| {
                self.shown_as.flips += u32::from(as_it_is);
                self.shown_as.copies += u32::from(!as_it_is);
                self.sd = self.sd.max(sd);
                self.off_blank |= !at_blank;
                Stamp { t, source: StampSource::WaylandFeedback, sd }
            });
            return Some(Fate { frame: armed.frame, stamp });
        }
        None
    }

    fn extras(&mut self) -> u32 {
        std::mem::take(&mut self.extras)
    }

    fn shown_as(&self) -> Option<ShownAs> {
        Some(self.shown_as)
    }

    fn forget(&mut self) {
        while self.ring.pop().is_ok() {}
        // What is still to come has an older number than the next frame's.
        self.waiting = None;
        self.extras = 0;
    }
}

impl Drop for WaylandFeedback {
    fn drop(&mut self) {
        self.quit.store(true, Ordering::Release);
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to end.
            drop(thread.join());
        }
        self.presentation.destroy();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const REFRESH: Span = Span(12_000_000);

    #[test]
    fn the_doubt_follows_what_the_compositor_says_of_the_stamp() {
        let all = Kind::Vsync | Kind::HwClock | Kind::HwCompletion;
        assert_eq!(doubt(all, REFRESH, HARDWARE_SD), Span(50_000));
        assert_eq!(doubt(all | Kind::ZeroCopy, REFRESH, HARDWARE_SD), Span(50_000));
        assert_eq!(doubt(all - Kind::HwClock, REFRESH, HARDWARE_SD), Span(500_000));
        // 12 ms / sqrt(12) = 3.464 ms.
        for guess in [all - Kind::HwCompletion, all - Kind::Vsync, Kind::empty()] {
            assert!((doubt(guess, REFRESH, HARDWARE_SD).ms() - 3.464).abs() < 0.001, "{guess:?}");
        }
    }

    #[test]
    fn a_driver_that_stamps_in_software_is_never_trusted_more_than_that() {
        let all = Kind::Vsync | Kind::HwClock | Kind::HwCompletion;
        assert_eq!(doubt(all, REFRESH, PROGRAM_SD), Span(500_000));
    }

    #[test]
    fn seconds_come_in_two_halves() {
        assert_eq!(nanos(0, 5, 7), Some(Nanos(5_000_000_007)));
        assert_eq!(nanos(1, 0, 0), Some(Nanos((1 << 32) * 1_000_000_000)));
        assert_eq!(nanos(u32::MAX, 0, 0), None);
    }
}
