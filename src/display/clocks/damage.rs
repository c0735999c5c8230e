//! X11 Damage: when the server copied the picture into the window, bounded from both sides.
//!
//! For drivers that draw by copying (software Vulkan), which send no Present event. The notice
//! comes when the copy is done; `copied` places the stamp. It says when the pixels changed in the
//! server, not when a panel lit them. Under a compositor the screen follows later, and the doubt
//! says so.

use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{ConnectionExt, ReportLevel};

use super::copied::{Copied, placed};
use super::listener::{Heard, Listener};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::Bell;
use crate::display::Gpu;
use crate::display::x11::{self, Fault, Link};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// What is stated of the clock as a whole: a copy of a millisecond, anywhere in it (1/sqrt(12) ms).
/// Each stamp states its own.
const COPY_SD: Span = Span(300_000);

/// Hears DamageNotify for the window.
#[derive(Debug)]
pub(super) struct DamageClock {
    listener: Listener,
    waiting: Option<Armed>,
    presented: Option<Nanos>,
    extras: u32,
    /// A compositor shows the picture a refresh later, anywhere in it.
    composed: Option<Span>,
}

impl DamageClock {
    /// Watches the window on a connection of its own.
    pub(super) fn open(xid: u32, bell: Bell, refresh: Span) -> Result<DamageClock, Fault> {
        let link = Link::open()?;
        link.need("DAMAGE")?;
        let Link { connection, screen } = link;
        connection.damage_query_version(1, 1)?.reply()?;
        let id = connection.generate_id()?;
        connection.damage_create(id, xid, ReportLevel::RAW_RECTANGLES)?.check()?;
        let composed = x11::compositor(&connection, screen.number)?.map(|_| refresh);
        let listener = Listener::start("damage", connection, screen.root, bell, heard)?;
        Ok(DamageClock { listener, waiting: None, presented: None, extras: 0, composed })
    }

    /// Adds what a compositor does to a copy.
    fn seen(&self, copied: Copied) -> Stamp {
        let Copied { t, sd, .. } = copied;
        let source = StampSource::Damage;
        match self.composed {
            None => Stamp { t, source, sd },
            Some(refresh) => {
                let spread = Span::from_ms_f64(refresh.ms() / 12f64.sqrt());
                Stamp { t: t + refresh, source, sd: spread.max(sd) }
            }
        }
    }
}

/// The moment of receipt, and as its number the server's own milliseconds.
fn heard(event: &Event, receipt: Nanos) -> Option<Heard> {
    let Event::DamageNotify(told) = event else { return None };
    let serial = told.timestamp;
    Some(Heard { t: receipt, serial, blank: 0, skipped: false, sd: Span::ZERO })
}

impl PresentationClock for DamageClock {
    fn source(&self) -> StampSource {
        StampSource::Damage
    }

    fn nature(&self) -> Nature {
        Nature::Event
    }

    fn sd(&self) -> Span {
        self.composed
            .map_or(COPY_SD, |refresh| Span::from_ms_f64(refresh.ms() / 12f64.sqrt()).max(COPY_SD))
    }

    fn rings(&self) -> bool {
        true
    }

    fn armed(&mut self, armed: &Armed) {
        while self.listener.take().is_some() {
            self.extras += 1;
        }
        self.waiting = Some(armed.clone());
        self.presented = None;
    }

    fn presented(&mut self, t: Nanos) {
        self.presented = Some(t);
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        while let Some(Heard { t: receipt, serial: server_ms, .. }) = self.listener.take() {
            let ours = self.waiting.as_ref().and_then(|armed| {
                Some((armed.frame, placed(armed.t, self.presented, receipt, server_ms)?))
            });
            let Some((frame, copied)) = ours else {
                self.extras += 1;
                continue;
            };
            self.waiting = None;
            return Some(Fate { frame, stamp: Some(self.seen(copied)) });
        }
        None
    }

    fn extras(&mut self) -> u32 {
        std::mem::take(&mut self.extras)
    }

    fn forget(&mut self) {
        while self.listener.take().is_some() {}
        self.waiting = None;
        self.presented = None;
        self.extras = 0;
    }
}
