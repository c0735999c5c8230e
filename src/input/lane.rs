//! The way from a source to the session: a ring, a watermark, a bell.
//!
//! [`LaneIn`] is the source's end, [`LaneOut`] the session's. Invariants: the source's end never waits,
//! locks or allocates; stamps in one lane never decrease; a watermark is moved only after everything
//! older lies in the ring; nothing a hand did without the window's focus gets in.

use super::{InputEvent, Priority};
use crate::clock::Bell;
use crate::units::{Nanos, Span};
use std::sync::atomic::{AtomicBool, AtomicI64, AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

/// Room for two seconds of a mouse that reports 8,000 times a second.
const CAPACITY: usize = 16_384;

/// Without the focus no stamp is late enough.
const UNFOCUSED: i64 = i64::MAX;

#[derive(Debug)]
struct Shared {
    watermark_ns: AtomicI64,
    focused_since_ns: AtomicI64,
    lost_count: AtomicU64,
    busy_ns: AtomicI64,
    shared_wake_ups: AtomicU64,
    most_at_once: AtomicU64,
    stop: AtomicBool,
    priority: OnceLock<Priority>,
    ended: OnceLock<String>,
}

/// The source's end.
#[derive(Debug)]
pub(crate) struct LaneIn {
    ring: rtrb::Producer<InputEvent>,
    bell: Bell,
    shared: Arc<Shared>,
    newest: Nanos,
    lost: Option<Lost>,
    pushed: bool,
}

#[derive(Debug, Clone, Copy)]
struct Lost {
    count: u32,
    since: Nanos,
}

/// The session's end.
#[derive(Debug)]
pub(crate) struct LaneOut {
    pub(crate) ring: rtrb::Consumer<InputEvent>,
    shared: Arc<Shared>,
}

/// A lane whose watermark stands at `now`, without the focus.
pub(crate) fn lane(bell: Bell, now: Nanos) -> (LaneIn, LaneOut) {
    let (producer, consumer) = rtrb::RingBuffer::new(CAPACITY);
    let shared = Arc::new(Shared {
        watermark_ns: AtomicI64::new(now.0),
        focused_since_ns: AtomicI64::new(UNFOCUSED),
        lost_count: AtomicU64::new(0),
        busy_ns: AtomicI64::new(0),
        shared_wake_ups: AtomicU64::new(0),
        most_at_once: AtomicU64::new(0),
        stop: AtomicBool::new(false),
        priority: OnceLock::new(),
        ended: OnceLock::new(),
    });
    let source_end = LaneIn {
        ring: producer,
        bell,
        shared: Arc::clone(&shared),
        newest: Nanos(i64::MIN),
        lost: None,
        pushed: false,
    };
    (source_end, LaneOut { ring: consumer, shared })
}

impl LaneIn {
    /// Takes an event, unless a hand did it without the focus; a full ring is counted.
    pub(crate) fn offer(&mut self, event: InputEvent) {
        let of_the_hand =
            !matches!(event, InputEvent::Unplugged { .. } | InputEvent::Replugged { .. });
        if of_the_hand && event.t().0 < self.shared.focused_since_ns.load(Ordering::Relaxed) {
            return;
        }
        let t = self.newest.max(event.t());
        self.newest = t;
        if let Some(Lost { count, since }) = self.lost
            && self.ring.push(InputEvent::Gap { lost: count, t: since }).is_ok()
        {
            self.lost = None;
        }
        if self.lost.is_none() && self.ring.push(event.at(t)).is_ok() {
            self.pushed = true;
            return;
        }
        let lost = self.lost.get_or_insert(Lost { count: 0, since: t });
        lost.count = lost.count.saturating_add(1);
        self.shared.lost_count.fetch_add(1, Ordering::Relaxed);
    }

    /// Nothing older than `watermark` will be offered any more; rings if something was.
    pub(crate) fn settle(&mut self, watermark: Nanos) {
        if let Some(Lost { count, since }) = self.lost
            && self.ring.push(InputEvent::Gap { lost: count, t: since }).is_ok()
        {
            self.lost = None;
            self.pushed = true;
        }
        self.shared.watermark_ns.fetch_max(watermark.0, Ordering::Release);
        if std::mem::take(&mut self.pushed) {
            self.bell.ring();
        }
    }

    /// Whether the session has let go of this lane.
    #[cfg_attr(
        not(any(target_os = "linux", windows)),
        expect(dead_code, reason = "for sources with a thread")
    )]
    pub(crate) fn is_stopped(&self) -> bool {
        self.shared.stop.load(Ordering::Relaxed) || self.ring.is_abandoned()
    }

    /// Keeps what the system granted this thread; the first word counts.
    pub(crate) fn set_priority(&self, priority: Priority) {
        self.shared.priority.get_or_init(|| priority);
    }

    /// Keeps how much processor time this thread has used.
    #[cfg_attr(
        not(any(target_os = "linux", windows)),
        expect(dead_code, reason = "for sources with a thread")
    )]
    pub(crate) fn set_busy(&self, busy: Span) {
        self.shared.busy_ns.store(busy.0, Ordering::Relaxed);
    }

    /// Counts that so many reports were read at one wake-up, and so have one stamp.
    #[cfg_attr(not(windows), expect(dead_code, reason = "for reports that carry no time"))]
    pub(crate) fn note_wake_up(&self, reports: u32) {
        if reports > 1 {
            self.shared.shared_wake_ups.fetch_add(1, Ordering::Relaxed);
            self.shared.most_at_once.fetch_max(u64::from(reports), Ordering::Relaxed);
        }
    }

    /// The source can go on no longer.
    #[cfg_attr(
        not(any(target_os = "linux", windows)),
        expect(dead_code, reason = "for sources with a thread")
    )]
    pub(crate) fn end(&self, why: String) {
        self.shared.ended.get_or_init(|| why);
        self.bell.ring();
    }
}

impl LaneOut {
    /// Nothing older than this will be pushed any more. Read it before looking into the ring.
    pub(crate) fn watermark(&self) -> Nanos {
        Nanos(self.shared.watermark_ns.load(Ordering::Acquire))
    }

    /// From `since` on the window has the focus; `None`: it has not.
    pub(crate) fn set_focused(&self, since: Option<Nanos>) {
        let ns = since.map_or(UNFOCUSED, |since| since.0);
        self.shared.focused_since_ns.store(ns, Ordering::Relaxed);
    }

    /// Events that found the ring full.
    pub(crate) fn lost_count(&self) -> u64 {
        self.shared.lost_count.load(Ordering::Relaxed)
    }

    /// Processor time the source's thread has used, as of at most some 100 ms ago; zero where there
    /// is no such thread or the system does not tell.
    pub(crate) fn busy(&self) -> Span {
        Span(self.shared.busy_ns.load(Ordering::Relaxed))
    }

    /// Wake-ups at which more than one report was read, and the most reports read at one.
    pub(crate) fn shared_wake_ups(&self) -> [u64; 2] {
        [&self.shared.shared_wake_ups, &self.shared.most_at_once]
            .map(|count| count.load(Ordering::Relaxed))
    }

    /// What the system granted the source's thread; `None` before it has started.
    pub(crate) fn priority(&self) -> Option<Priority> {
        self.shared.priority.get().cloned()
    }

    /// Why the source ended, if it did.
    pub(crate) fn ended(&self) -> Option<&str> {
        self.shared.ended.get().map(String::as_str)
    }
}

impl Drop for LaneOut {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Button, DeviceId, Stamp, StampSource};

    fn press(t_ns: i64) -> InputEvent {
        let stamp = Stamp { t: Nanos(t_ns), source: StampSource::Window, sd: Span::ZERO };
        InputEvent::Press { device: DeviceId(0), button: Button::Left, stamp }
    }

    fn focused_lane() -> (LaneIn, LaneOut) {
        let (source, session) = lane(Bell::of_this_thread(), Nanos(0));
        session.set_focused(Some(Nanos(10)));
        (source, session)
    }

    #[test]
    fn a_full_ring_is_told_as_a_gap_in_its_place() {
        let (mut source, mut session) = focused_lane();
        let capacity = i64::try_from(CAPACITY).expect("small");
        for t_ns in 100..100 + capacity + 3 {
            source.offer(press(t_ns));
        }
        assert_eq!(session.lost_count(), 3);
        // No room yet for the gap and what follows it: the fourth is lost too.
        assert_eq!(session.ring.pop(), Ok(press(100)));
        source.offer(press(1_000_000));
        assert_eq!(session.lost_count(), 4);
        for t_ns in 101..100 + capacity {
            assert_eq!(session.ring.pop(), Ok(press(t_ns)));
        }
        let gap = InputEvent::Gap { lost: 3, t: Nanos(100 + capacity) };
        assert_eq!(session.ring.pop(), Ok(gap));
        source.settle(Nanos(1_000_001));
        assert_eq!(session.ring.pop(), Ok(InputEvent::Gap { lost: 1, t: Nanos(1_000_000) }));
        source.offer(press(1_000_002));
        assert_eq!(session.ring.pop(), Ok(press(1_000_002)));
    }

    #[test]
    fn without_the_focus_the_hand_is_not_heard_but_an_unplug_is() {
        let (mut source, mut session) = focused_lane();
        let gone = |t_ns| InputEvent::Unplugged { device: DeviceId(0), t: Nanos(t_ns) };
        // Stamped before the focus came, read after.
        source.offer(press(9));
        source.offer(press(10));
        session.set_focused(None);
        source.offer(press(11));
        source.offer(gone(12));
        assert_eq!(session.ring.pop(), Ok(press(10)));
        assert_eq!(session.ring.pop(), Ok(gone(12)));
        assert!(session.ring.pop().is_err());
    }

    #[test]
    fn stamps_and_watermarks_never_go_back() {
        let (mut source, mut session) = focused_lane();
        source.offer(press(20));
        source.offer(press(19));
        assert_eq!(session.ring.pop(), Ok(press(20)));
        assert_eq!(session.ring.pop(), Ok(press(20)));
        source.settle(Nanos(25));
        source.settle(Nanos(24));
        assert_eq!(session.watermark(), Nanos(25));
    }

    #[test]
    fn a_session_that_lets_go_stops_its_source() {
        let (source, session) = focused_lane();
        assert!(!source.is_stopped());
        drop(session);
        assert!(source.is_stopped());
    }
}
