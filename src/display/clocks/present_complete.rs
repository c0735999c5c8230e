//! X11 Present: the server's own word on when a picture was shown, heard on a connection of ours.
//!
//! Mesa numbers the presents of a swapchain from 1, so the k-th frame after `forget` has serial k.
//! `ust` is microseconds on CLOCK_MONOTONIC. Under a compositor the picture only reached the
//! redirected window: the screen follows a refresh or more later, and the doubt says so.

use x11rb::protocol::Event;
use x11rb::protocol::present::{CompleteKind, CompleteMode, ConnectionExt, EventMask};

use super::listener::{Heard, Listener};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::Bell;
use crate::display::Gpu;
use crate::display::report::ShownAs;
use crate::display::x11::{Fault, Link};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// A flip is scanned out as it is.
const FLIP_SD: Span = Span(50_000);
/// A copy races the beam.
const COPY_SD: Span = Span(1_000_000);

/// Hears CompleteNotify for the window.
#[derive(Debug)]
pub(super) struct PresentComplete {
    listener: Listener,
    waiting: Option<(Armed, u32)>,
    presents: u32,
    extras: u32,
    /// Of a picture that is copied, under a compositor or not.
    copy_sd: Span,
    shown_as: ShownAs,
}

impl PresentComplete {
    /// Selects the window's completions on a connection of its own.
    pub(super) fn open(xid: u32, bell: Bell, refresh: Span) -> Result<PresentComplete, Fault> {
        let link = Link::open()?;
        link.need("Present")?;
        let Link { connection, screen } = link;
        connection.present_query_version(1, 2)?.reply()?;
        let id = x11rb::connection::Connection::generate_id(&connection)?;
        connection.present_select_input(id, xid, EventMask::COMPLETE_NOTIFY)?.check()?;
        let composed = crate::display::x11::compositor(&connection, screen.number)?.is_some();
        let behind = if composed { refresh } else { Span::ZERO };
        let spread = Span::from_ms_f64(refresh.ms() / 12f64.sqrt());
        let listener =
            Listener::start("present", connection, screen.root, bell, move |event, _| {
                heard(event, behind, spread)
            })?;
        let copy_sd = if composed { spread } else { COPY_SD };
        let shown_as = ShownAs::default();
        Ok(PresentComplete { listener, waiting: None, presents: 0, extras: 0, copy_sd, shown_as })
    }
}

fn heard(event: &Event, behind: Span, spread: Span) -> Option<Heard> {
    let Event::PresentCompleteNotify(told) = event else { return None };
    if told.kind != CompleteKind::PIXMAP {
        return None;
    }
    let ns = i64::try_from(told.ust).ok()?.checked_mul(1000)?;
    let skipped = told.mode == CompleteMode::SKIP;
    let (t, sd) = match told.mode {
        CompleteMode::FLIP => (Nanos(ns), FLIP_SD),
        _ if behind > Span::ZERO => (Nanos(ns) + behind, spread),
        _ => (Nanos(ns), COPY_SD),
    };
    Some(Heard { t, serial: told.serial, blank: told.msc, skipped, sd })
}

impl PresentationClock for PresentComplete {
    fn source(&self) -> StampSource {
        StampSource::PresentComplete
    }

    fn nature(&self) -> Nature {
        Nature::Lattice
    }

    fn sd(&self) -> Span {
        // Before anything was told, and once anything was copied, the worse of the two.
        match self.shown_as {
            ShownAs { copies: 0, flips: 1.., .. } => FLIP_SD,
            ShownAs { .. } => self.copy_sd,
        }
    }

    fn rings(&self) -> bool {
        true
    }

    fn armed(&mut self, armed: &Armed) {
        while self.listener.take().is_some() {
            self.extras += 1;
        }
        self.presents += 1;
        self.waiting = Some((armed.clone(), self.presents));
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        while let Some(heard) = self.listener.take() {
            let Some((armed, serial)) = &self.waiting else {
                self.extras += 1;
                continue;
            };
            if heard.serial != *serial {
                // Of an earlier swapchain, or another driver's numbers: neither is believed.
                self.extras += 1;
                continue;
            }
            let source = StampSource::PresentComplete;
            let stamp = (!heard.skipped).then_some(Stamp { t: heard.t, source, sd: heard.sd });
            let frame = armed.frame;
            match stamp {
                None => self.shown_as.skips += 1,
                Some(Stamp { sd: FLIP_SD, .. }) => self.shown_as.flips += 1,
                Some(_) => self.shown_as.copies += 1,
            }
            self.waiting = None;
            return Some(Fate { frame, stamp });
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
        while self.listener.take().is_some() {}
        self.waiting = None;
        self.presents = 0;
        self.extras = 0;
    }
}

#[cfg(test)]
mod tests {
    use x11rb::protocol::present::CompleteNotifyEvent;

    use super::*;

    const REFRESH: Span = Span(16_000_000);
    const SPREAD: Span = Span(4_600_000);

    fn event(kind: CompleteKind, mode: CompleteMode) -> Event {
        Event::PresentCompleteNotify(CompleteNotifyEvent {
            response_type: 35,
            extension: 0,
            sequence: 0,
            length: 2,
            event_type: 1,
            kind,
            mode,
            event: 1,
            window: 2,
            serial: 7,
            ust: 5_000_123,
            msc: 300,
        })
    }

    #[test]
    fn a_flip_is_exact_and_a_skip_was_never_shown() {
        let flip = heard(&event(CompleteKind::PIXMAP, CompleteMode::FLIP), Span::ZERO, SPREAD);
        let expected = Heard {
            t: Nanos(5_000_123_000),
            serial: 7,
            blank: 300,
            skipped: false,
            sd: Span(50_000),
        };
        assert_eq!(flip, Some(expected));
        let skip = heard(&event(CompleteKind::PIXMAP, CompleteMode::SKIP), Span::ZERO, SPREAD);
        assert!(skip.is_some_and(|heard| heard.skipped));
    }

    #[test]
    fn under_a_compositor_a_copy_is_a_refresh_behind_and_doubtful() {
        let copy = event(CompleteKind::PIXMAP, CompleteMode::COPY);
        let bare = heard(&copy, Span::ZERO, SPREAD).expect("heard");
        assert_eq!((bare.t, bare.sd), (Nanos(5_000_123_000), COPY_SD));
        let composed = heard(&copy, REFRESH, SPREAD).expect("heard");
        assert_eq!((composed.t, composed.sd), (Nanos(5_016_123_000), SPREAD));
    }

    #[test]
    fn a_mere_vertical_blank_is_no_frame() {
        let blank = event(CompleteKind::NOTIFY_MSC, CompleteMode::COPY);
        assert_eq!(heard(&blank, Span::ZERO, SPREAD), None);
    }
}
