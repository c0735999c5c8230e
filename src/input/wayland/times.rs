//! What the times in a compositor's events are worth, and which of them are believed.
//!
//! Pure: no connection, no clock. The protocol leaves the base of its times open; in practice it is
//! the kernel's own stamp on CLOCK_MONOTONIC. Invariant: a time that does not lie just before its
//! receipt is not believed, so what is believed is never older than [`BELIEVED`].

use crate::input::WINDOW_SD;
use crate::input::decode::EVDEV_SD;
use crate::units::{Nanos, Span, Stamp, StampSource};

/// A time further before its receipt than this is not on our clock (or of no use).
pub(crate) const BELIEVED: Span = Span::from_ms(50);

const MS: i64 = 1_000_000;

/// The moment `t`, if it can be one of our clock's, heard at `now`.
fn believed(t: Option<Nanos>, now: Nanos) -> Option<Nanos> {
    t.filter(|&t| t <= now && now - t < BELIEVED)
}

fn stamp(t: Nanos, sd: Span) -> Stamp {
    Stamp { t, source: StampSource::WaylandPointer, sd }
}

/// Of an event whose time tells nothing: our clock at its receipt. A compositor may pass events on
/// once a frame, so it is as coarse as the window's own events.
pub(crate) fn at_receipt(now: Nanos) -> Stamp {
    stamp(now, WINDOW_SD)
}

/// Of relative motion, which tells whole µs in two halves.
pub(crate) fn of_motion(utime_hi: u32, utime_lo: u32, now: Nanos) -> Stamp {
    let us = i64::try_from(u64::from(utime_hi) << 32 | u64::from(utime_lo)).ok();
    let t = us.and_then(|us| us.checked_mul(1_000)).map(Nanos);
    believed(t, now).map_or(at_receipt(now), |t| stamp(t, EVDEV_SD))
}

/// What `zwp_input_timestamps_v1` tells before an event: seconds in two halves, and ns.
pub(crate) fn fine(sec_hi: u32, sec_lo: u32, nsec: u32, now: Nanos) -> Option<Stamp> {
    let s = i64::try_from(u64::from(sec_hi) << 32 | u64::from(sec_lo)).ok();
    let ns = s.and_then(|s| s.checked_mul(1_000_000_000)?.checked_add(i64::from(nsec)));
    believed(ns.map(Nanos), now).map(|t| stamp(t, EVDEV_SD))
}

/// Of a button, which tells whole ms in 32 bits: the middle of what is left of that millisecond
/// after `newest`, the stamp of the event before it.
///
/// The sd is that of an even spread over that width (width / √12), and the kernel's own.
pub(crate) fn of_button(time_ms: u32, newest: Nanos, now: Nanos) -> Stamp {
    let now_ms = u32::try_from(now.0.div_euclid(MS) & i64::from(u32::MAX)).expect("masked");
    let ago_ms = i64::from(now_ms.wrapping_sub(time_ms));
    let from = Nanos((now.0.div_euclid(MS) - ago_ms) * MS);
    let Some(from) = believed(Some(from), now) else { return at_receipt(now) };
    let to = (from + Span::from_ms(1)).min(now);
    let from = from.max(newest).min(to);
    let width = to - from;
    let spread_ms = width.ms() / 12_f64.sqrt();
    stamp(from + Span(width.0 / 2), Span::from_ms_f64(spread_ms.hypot(EVDEV_SD.ms())))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 50 days after the start of the clock: the ms of a button have gone round once.
    const NOW: Nanos = Nanos(50 * 86_400 * 1_000_000_000 + 7_300_000);

    fn low_ms(t: Nanos) -> u32 {
        u32::try_from((t.0 / MS) & i64::from(u32::MAX)).expect("masked")
    }

    fn halves(number: i64) -> (u32, u32) {
        let number = u64::try_from(number).expect("positive");
        let low = u32::try_from(number & u64::from(u32::MAX)).expect("masked");
        (u32::try_from(number >> 32).expect("small"), low)
    }

    #[test]
    fn motion_tells_microseconds_of_our_clock() {
        let (hi, lo) = halves((NOW.0 - 400_000) / 1_000);
        let told = of_motion(hi, lo, NOW);
        assert_eq!((told.t, told.sd), (NOW - Span(400_000), EVDEV_SD));
    }

    #[test]
    fn a_time_of_another_clock_is_not_believed() {
        // Ahead of us, 50 ms behind us, from the start of the clock, of the year 1970 in µs.
        for us in [NOW.0 / 1_000 + 1, (NOW.0 - 50 * MS) / 1_000, 12, 1_795_608_991_000_000] {
            let (hi, lo) = halves(us);
            assert_eq!(of_motion(hi, lo, NOW), at_receipt(NOW), "{us}");
        }
        assert_eq!(of_motion(u32::MAX, u32::MAX, NOW), at_receipt(NOW));
        assert_eq!(of_button(low_ms(NOW) + 1, Nanos(0), NOW), at_receipt(NOW));
        assert_eq!(of_button(low_ms(NOW) - 51, Nanos(0), NOW), at_receipt(NOW));
        assert_eq!(fine(u32::MAX, 0, 0, NOW), None);
    }

    #[test]
    fn a_button_lies_in_the_middle_of_its_millisecond() {
        let told = of_button(low_ms(NOW) - 3, Nanos(0), NOW);
        assert_eq!(told.t, Nanos(NOW.0 - 3 * MS + 200_000));
        // 1 ms / sqrt(12) = 0.2887 ms, and the kernel's 0.05 ms: 0.293 ms.
        assert!((told.sd.ms() - 0.293).abs() < 0.001, "{:?}", told.sd);
    }

    #[test]
    fn a_button_after_a_motion_lies_after_it_and_before_its_receipt() {
        // The millisecond of the receipt, of which 0.3 ms have passed; a motion at 0.1 ms.
        let told = of_button(low_ms(NOW), NOW - Span(200_000), NOW);
        assert_eq!(told.t, NOW - Span(100_000));
        // Should the motion be stamped later than the button's whole millisecond, it follows it.
        let told = of_button(low_ms(NOW) - 2, NOW - Span(100_000), NOW);
        assert_eq!(told.t, Nanos(NOW.0 - MS - 300_000));
    }

    #[test]
    fn finer_times_come_in_seconds_and_nanoseconds() {
        let (hi, lo) = halves((NOW.0 - 123) / 1_000_000_000);
        let nsec = u32::try_from((NOW.0 - 123) % 1_000_000_000).expect("below a second");
        let told = fine(hi, lo, nsec, NOW).expect("it is on our clock");
        assert_eq!((told.t, told.sd), (NOW - Span(123), EVDEV_SD));
    }
}
