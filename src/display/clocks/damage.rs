//! X11 Damage: when the server copied the picture into the window, stamped by us at receipt.
//!
//! For drivers that draw by copying (software Vulkan), which send no Present event. It says when
//! the pixels changed in the server, not when a panel lit them. Under a compositor the screen
//! follows later, and the doubt says so. The event also carries the server's own time in whole
//! milliseconds: where our thread woke late, the stamp is held to the end of that millisecond.

use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{ConnectionExt, ReportLevel};

use super::listener::{Heard, Listener};
use super::{Armed, Fate, Nature, PresentationClock};
use crate::clock::Bell;
use crate::display::Gpu;
use crate::display::x11::{self, Fault, Link};
use crate::units::{Nanos, Span, Stamp, StampSource};

/// A late wake-up is held to one millisecond of the server: 1/sqrt(12) ms. Receipt in time was
/// measured at 0.1 ms against the pixels themselves (software Vulkan under Xvfb).
const RECEIPT_SD: Span = Span(300_000);

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
                let Event::DamageNotify(told) = event else { return None };
                let t = held(now, told.timestamp) + behind;
                Some(Heard { t, serial: 0, blank: 0, skipped: false, sd })
            })?;
        Ok(DamageClock { listener, waiting: None, extras: 0, sd })
    }
}

/// The receipt, but no later than the end of the millisecond in which the server says it copied.
///
/// Servers count milliseconds of CLOCK_MONOTONIC in 32 bits. A time that lies ahead of ours, or
/// long behind, is another clock's (a server elsewhere): then the receipt stands.
fn held(receipt: Nanos, server_ms: u32) -> Nanos {
    const ONE_MS: i64 = 1_000_000;
    const LONGEST_BEHIND_MS: u32 = 1_000;
    let receipt_ms = receipt.0.div_euclid(ONE_MS);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "as they count")]
    let behind_ms = (receipt_ms as u32).wrapping_sub(server_ms);
    if behind_ms > LONGEST_BEHIND_MS {
        return receipt;
    }
    receipt.min(Nanos((receipt_ms - i64::from(behind_ms) + 1) * ONE_MS))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_late_wake_up_is_held_to_the_servers_millisecond() {
        assert_eq!(held(Nanos(5_000_400_000), 5_000), Nanos(5_000_400_000));
        assert_eq!(held(Nanos(5_021_300_000), 5_000), Nanos(5_001_000_000));
    }

    #[test]
    fn the_servers_count_wraps_after_49_days() {
        let wrap_ms = i64::from(u32::MAX) + 1;
        let receipt = Nanos((wrap_ms + 20) * 1_000_000);
        assert_eq!(held(receipt, u32::MAX), Nanos(wrap_ms * 1_000_000));
    }

    #[test]
    fn another_machines_clock_is_not_used() {
        for server_ms in [5_030, 3_000, u32::MAX] {
            assert_eq!(held(Nanos(5_021_300_000), server_ms), Nanos(5_021_300_000));
        }
    }
}
