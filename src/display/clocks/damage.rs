//! X11 Damage: when the server copied the picture into the window, stamped by us at receipt.
//!
//! For drivers that draw by copying (software Vulkan), which send no Present event. It says when
//! the pixels changed in the server, not when a panel lit them. Under a compositor the screen
//! follows later, and the doubt says so. A large picture may be copied in parts: the first part
//! is the stamp, the others are counted as the same frame.

use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{ConnectionExt, ReportLevel};

use super::listener::{Heard, Listener};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::Bell;
use crate::display::Gpu;
use crate::display::x11::{self, Fault, Link};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// Receipt by a waiting thread, against the moment the pixels changed.
const RECEIPT_SD: Span = Span(500_000);

/// Hears DamageNotify for the window.
#[derive(Debug)]
pub(super) struct DamageClock {
    listener: Listener,
    waiting: Option<Armed>,
    extras: u32,
    sd: Span,
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
        let composed = x11::compositor(&connection, screen.number)?.is_some();
        let behind = if composed { refresh } else { Span::ZERO };
        let spread = Span::from_ms_f64(refresh.ms() / 12f64.sqrt());
        let sd = if composed { spread.max(RECEIPT_SD) } else { RECEIPT_SD };
        let listener =
            Listener::start("damage", connection, screen.root, bell, move |event, now| {
                let Event::DamageNotify(_) = event else { return None };
                Some(Heard { t: now + behind, serial: 0, skipped: false, sd })
            })?;
        Ok(DamageClock { listener, waiting: None, extras: 0, sd })
    }
}

impl PresentationClock for DamageClock {
    fn source(&self) -> StampSource {
        StampSource::Damage
    }

    fn nature(&self) -> Nature {
        Nature::Event
    }

    fn sd(&self) -> Span {
        self.sd
    }

    fn rings(&self) -> bool {
        true
    }

    fn armed(&mut self, armed: &Armed) {
        while self.listener.take().is_some() {
            self.extras += 1;
        }
        self.waiting = Some(armed.clone());
    }

    fn stamps(&mut self, _: &Gpu, _: Nanos) -> Option<Fate> {
        while let Some(heard) = self.listener.take() {
            let Some(armed) = self.waiting.take_if(|armed| heard.t >= armed.t) else {
                self.extras += 1;
                continue;
            };
            let stamp = Stamp { t: heard.t, source: StampSource::Damage, sd: heard.sd };
            return Some(Fate { frame: armed.frame, stamp: Some(stamp) });
        }
        None
    }

    fn extras(&mut self) -> u32 {
        std::mem::take(&mut self.extras)
    }

    fn forget(&mut self) {
        while self.listener.take().is_some() {}
        self.waiting = None;
        self.extras = 0;
    }
}
