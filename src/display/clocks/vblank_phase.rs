//! X11's vertical blanks as a phase: a frame was seen at the first blank after its drawing was done.
//!
//! For drivers that tell of no frame but give the server the blanks of the screen. Which frame a
//! blank showed it does not know: a frame that missed its blank is told a whole refresh early, so
//! the doubt is that of a refresh. Refused where pictures are made by the processor, where the
//! server's blanks are a timer's, and (in `earn`) where frames are not seen to wait for the refresh.
//!
//! Not yet run on real hardware: software drivers, all there was to try, have to be refused.

use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::present::{CompleteKind, ConnectionExt, EventMask};

use super::drawn::is_drawn;
use super::listener::{Heard, Listener};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::{self, Bell};
use crate::display::Gpu;
use crate::display::earn::{self, FEWEST_FRAMES};
use crate::display::refusal::Refusal;
use crate::display::x11::{self, Fault, Link};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// Our numbers, apart from those that drivers give their presents.
const SERIAL: u32 = 0x8000_0000;
/// Blanks that are looked at before any is believed.
const LOOKED_AT: usize = FEWEST_FRAMES + 10;

/// Takes the first vertical blank after the drawing was done.
#[derive(Debug)]
pub(super) struct VblankPhase {
    listener: Listener,
    xid: u32,
    /// The server's number of the blank last asked for.
    asked: u64,
    waiting: Option<Armed>,
    onset: Onset,
    /// A compositor shows the picture a refresh later.
    behind: Span,
    sd: Span,
}

impl VblankPhase {
    /// Watches the blanks of the screen that the window is on, for about a second.
    pub(super) fn open(
        xid: u32,
        bell: Bell,
        refresh: Span,
        software: bool,
    ) -> Result<VblankPhase, Refusal> {
        if software {
            return Err(Refusal::Software);
        }
        let mut phase = VblankPhase::join(xid, bell, refresh)
            .map_err(|fault| Refusal::NotThere { reason: fault.to_string() })?;
        earn::blanks(&phase.look(refresh), refresh)?;
        Ok(phase)
    }

    fn join(xid: u32, bell: Bell, refresh: Span) -> Result<VblankPhase, Fault> {
        let link = Link::open()?;
        link.need("Present")?;
        let Link { connection, screen } = link;
        connection.present_query_version(1, 2)?.reply()?;
        let id = connection.generate_id()?;
        connection.present_select_input(id, xid, EventMask::COMPLETE_NOTIFY)?.check()?;
        let composed = x11::compositor(&connection, screen.number)?.is_some();
        let listener =
            Listener::start("blanks", connection, screen.root, bell, |event, _| heard(event))?;
        Ok(VblankPhase {
            listener,
            xid,
            asked: 1,
            waiting: None,
            onset: Onset::default(),
            behind: if composed { refresh } else { Span::ZERO },
            sd: Span::from_ms_f64(refresh.ms() / 12f64.sqrt()),
        })
    }

    /// The blanks that come within twice their time.
    fn look(&mut self, refresh: Span) -> Vec<Nanos> {
        let mut blanks: Vec<Nanos> = Vec::with_capacity(LOOKED_AT);
        let limit = clock::now() + Span(refresh.0 * 2 * LOOKED_AT as i64);
        self.ask(self.asked);
        while blanks.len() < LOOKED_AT && clock::now() < limit {
            while let Some(blank) = self.listener.take() {
                // The first answer tells of a blank long past, and then of it again.
                if blanks.last().is_none_or(|&before| blank.t > before) {
                    blanks.push(blank.t);
                }
                self.ask_after(blank.blank);
            }
            clock::wait(limit);
        }
        blanks
    }

    /// Asks for the blank after this one, once: an answer that comes twice asks for nothing more.
    fn ask_after(&mut self, blank: u64) {
        if blank >= self.asked {
            self.asked = blank + 1;
            self.ask(self.asked);
        }
    }

    /// Asks to be told of a blank; of the last one at once, where that one is past.
    fn ask(&self, blank: u64) {
        let connection = self.listener.connection();
        // A broken connection is silent: the screen notices, tells, and falls back.
        let sent = connection.present_notify_msc(self.xid, SERIAL, blank, 0, 0).is_ok();
        let _broken = sent && connection.flush().is_err();
    }
}

fn heard(event: &Event) -> Option<Heard> {
    let Event::PresentCompleteNotify(told) = event else { return None };
    if told.kind != CompleteKind::NOTIFY_MSC || told.serial != SERIAL {
        return None;
    }
    let t = Nanos(i64::try_from(told.ust).ok()?.checked_mul(1000)?);
    Some(Heard { t, serial: told.serial, blank: told.msc, skipped: false, sd: Span::ZERO })
}

/// Which blank a frame was first seen at. Pure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Onset {
    /// When its drawing was known to be done.
    done: Option<Nanos>,
}

impl Onset {
    /// Whether the frame was first seen at this blank, heard in the order of time.
    fn is(self, blank: Nanos) -> bool {
        self.done.is_some_and(|done| blank > done)
    }
}

impl PresentationClock for VblankPhase {
    fn source(&self) -> StampSource {
        StampSource::VblankPhase
    }

    fn nature(&self) -> Nature {
        Nature::Phase
    }

    fn sd(&self) -> Span {
        self.sd
    }

    fn rings(&self) -> bool {
        // Blanks do, but the end of the drawing has to be asked for.
        false
    }

    fn armed(&mut self, armed: &Armed) {
        while self.listener.take().is_some() {}
        self.onset = Onset::default();
        self.waiting = Some(armed.clone());
        self.ask(self.asked);
    }

    fn stamps(&mut self, gpu: &Gpu, now: Nanos) -> Option<Fate> {
        let armed = self.waiting.as_ref()?;
        if self.onset.done.is_none() && is_drawn(gpu, armed) {
            // `now` may have been read before the frame was handed over.
            self.onset.done = Some(now.max(armed.t));
        }
        let frame = armed.frame;
        while let Some(blank) = self.listener.take() {
            if self.onset.is(blank.t) {
                self.waiting = None;
                let t = blank.t + self.behind;
                let stamp = Stamp { t, source: StampSource::VblankPhase, sd: self.sd };
                return Some(Fate { frame, stamp: Some(stamp) });
            }
            self.ask_after(blank.blank);
        }
        None
    }

    fn extras(&mut self) -> u32 {
        0
    }

    fn forget(&mut self) {
        while self.listener.take().is_some() {}
        self.waiting = None;
        self.onset = Onset::default();
    }
}

#[cfg(test)]
mod tests {
    use x11rb::protocol::present::{CompleteMode, CompleteNotifyEvent};

    use super::*;

    #[test]
    fn a_frame_is_seen_at_the_first_blank_after_its_drawing_was_done() {
        let blanks = [8, 16, 24, 32].map(|ms| Nanos(ms * 1_000_000));
        let seen_at = |done: Option<i64>| {
            let onset = Onset { done: done.map(|us| Nanos(us * 1_000)) };
            blanks.into_iter().position(|blank| onset.is(blank))
        };
        assert_eq!(seen_at(Some(15_900)), Some(1));
        assert_eq!(seen_at(Some(16_000)), Some(2));
        assert_eq!(seen_at(Some(40_000)), None);
        assert_eq!(seen_at(None), None);
    }

    #[test]
    fn only_our_own_blanks_are_heard() {
        let event = |kind, serial| {
            Event::PresentCompleteNotify(CompleteNotifyEvent {
                response_type: 35,
                extension: 0,
                sequence: 0,
                length: 2,
                event_type: 1,
                kind,
                mode: CompleteMode::COPY,
                event: 1,
                window: 2,
                serial,
                ust: 5_000_123,
                msc: 300,
            })
        };
        let ours = heard(&event(CompleteKind::NOTIFY_MSC, SERIAL)).expect("heard");
        assert_eq!((ours.t, ours.blank), (Nanos(5_000_123_000), 300));
        assert_eq!(heard(&event(CompleteKind::PIXMAP, SERIAL)), None);
        assert_eq!(heard(&event(CompleteKind::NOTIFY_MSC, 7)), None);
    }
}
