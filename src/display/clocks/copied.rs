//! When a picture was copied into a window: the middle of the time in which it can have been.
//!
//! Pure. A software driver sends the whole picture to the server; the server copies it once the
//! last byte is there, and its notice bears the millisecond at which the copy was done. A pixel of
//! the picture therefore changed
//!
//! - after our present call came back, which is when the picture had been sent; where that lies
//!   beyond the end (a thread that was held up) or says nothing, after the server's millisecond had
//!   begun: a copy may have begun before that, so this bound is the worse one;
//! - before our receipt of the notice, and before the server's clock went on.
//!
//! A driver that sends from a thread of its own comes back long before: then the width and the
//! doubt are as large as that leaves open.
//!
//! Which row of the picture is copied when is not known, so the stamp is the middle and its doubt
//! that of a moment anywhere between: width/sqrt(12).

use crate::units::{Nanos, Span};

const ONE_MS: i64 = 1_000_000;
/// The server counts whole milliseconds, by a clock that may itself go in steps of up to one.
///
/// # Source
/// X.Org server, `GetTimeInMillis` in os/utils.c: CLOCK_MONOTONIC_COARSE where its steps are 1 ms
/// or less, else CLOCK_MONOTONIC.
const SERVER_STEP: Span = Span(2 * ONE_MS);
/// From the copy to the stamp at receipt, where the thread is woken at once: 0.05 ms was measured.
const WAKE_UP: Span = Span(50_000);
/// A server's time that lies further behind the receipt is another machine's.
const LONGEST_BEHIND_MS: u32 = 1_000;

/// Where a copy is placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Copied {
    /// The middle.
    pub(super) t: Nanos,
    /// Standard deviation of a moment anywhere in it, with the wake-up's own.
    pub(super) sd: Span,
}

/// Places a copy. `armed`: before the present call; `presented`: after it, once it is back;
/// `receipt`: of the notice; `server_ms`: the time it bears, which wraps after 49 days.
///
/// `None`: the notice is of something older than the picture.
pub(super) fn placed(
    armed: Nanos,
    presented: Option<Nanos>,
    receipt: Nanos,
    server_ms: u32,
) -> Option<Copied> {
    let begun = server_time(receipt, server_ms);
    let until = begun.map_or(receipt, |begun| receipt.min(begun + SERVER_STEP));
    if until < armed {
        return None;
    }
    let sent = presented.filter(|&t| (armed..=until).contains(&t));
    let from = sent.unwrap_or_else(|| begun.unwrap_or(armed).max(armed));
    let width = until - from;
    let variance = width.ms() * width.ms() / 12.0 + WAKE_UP.ms() * WAKE_UP.ms();
    Some(Copied { t: from + Span(width.0 / 2), sd: Span::from_ms_f64(variance.sqrt()) })
}

/// The beginning of the server's millisecond on our clock.
///
/// Servers count milliseconds of CLOCK_MONOTONIC in 32 bits. A time that lies ahead of ours, or
/// long behind, is another clock's (a server elsewhere): then it says nothing.
fn server_time(receipt: Nanos, server_ms: u32) -> Option<Nanos> {
    let receipt_ms = receipt.0.div_euclid(ONE_MS);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "as they count")]
    let behind_ms = (receipt_ms as u32).wrapping_sub(server_ms);
    (behind_ms <= LONGEST_BEHIND_MS).then(|| Nanos((receipt_ms - i64::from(behind_ms)) * ONE_MS))
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn us(us: i64) -> Nanos {
        Nanos(us * 1_000)
    }

    #[test]
    fn a_copy_lies_between_the_end_of_the_call_and_the_receipt() {
        let copied = placed(us(5_000_000), Some(us(5_003_100)), us(5_003_700), 5_003).unwrap();
        assert_eq!(copied.t, us(5_003_400));
        // 0.6 / sqrt(12) = 0.1732 with 0.05 beside it.
        assert!((copied.sd.ms() - 0.180_3).abs() < 0.000_5, "{copied:?}");
    }

    #[test]
    fn without_the_end_of_the_call_the_servers_millisecond_is_the_bound() {
        for presented in [None, Some(us(5_003_900))] {
            let copied = placed(us(5_000_000), presented, us(5_003_700), 5_003).unwrap();
            assert_eq!(copied.t, us(5_003_350), "{presented:?}");
        }
    }

    #[test]
    fn a_late_receipt_is_held_by_the_servers_clock() {
        let copied = placed(us(5_000_000), Some(us(5_003_100)), us(5_024_300), 5_003).unwrap();
        assert_eq!(copied.t, us(5_004_050));
        assert!(copied.sd.ms() < 0.6, "{copied:?}");
    }

    #[test]
    fn a_notice_of_something_older_than_the_picture_is_not_of_it() {
        assert_eq!(placed(us(5_010_000), None, us(5_009_000), 5_009), None);
        // Heard late: the server had done it 8 ms before.
        assert_eq!(placed(us(5_010_000), None, us(5_012_000), 5_002), None);
    }

    #[test]
    fn the_servers_count_wraps_after_49_days() {
        let wrap_ms = i64::from(u32::MAX) + 1;
        let receipt = Nanos((wrap_ms + 20) * ONE_MS);
        assert_eq!(server_time(receipt, u32::MAX), Some(Nanos((wrap_ms - 1) * ONE_MS)));
    }

    #[test]
    fn another_machines_clock_is_not_used() {
        for server_ms in [5_030, 3_000, u32::MAX] {
            assert_eq!(server_time(us(5_021_300), server_ms), None, "{server_ms}");
            let copied = placed(us(5_020_000), None, us(5_021_300), server_ms).unwrap();
            assert_eq!(copied.t, us(5_020_650));
        }
    }

    /// Numbers between 0 and 1 that repeat in no short time: a linear congruence, Knuth's MMIX.
    struct Shares(u64);

    impl Shares {
        fn next(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 53) as f64
        }
    }

    /// 4,000 copies of a known truth: the moment at which a pixel anywhere in the picture was
    /// copied. Errors in ms, and how far each is in the doubts stated.
    fn stream(tick: Span, late_share: f64, thread_of_its_own: bool) -> Vec<(f64, f64)> {
        let mut shares = Shares(7);
        let mut errors = Vec::new();
        for frame in 0..4_000 {
            let armed = Nanos(60_000_000_000 + frame * 16_666_667);
            let sent = armed + Span::from_ms_f64(1.5 + 2.0 * shares.next());
            let came_back = if thread_of_its_own {
                armed + Span(20_000)
            } else {
                sent + Span::from_ms_f64(0.05 * shares.next())
            };
            let copy_ms = 0.4 + 0.3 * shares.next();
            let done = sent + Span::from_ms_f64(copy_ms);
            let truth = sent + Span::from_ms_f64(copy_ms * shares.next());
            // The server's clock shows its last tick.
            let shown = Nanos(done.0.div_euclid(tick.0) * tick.0);
            let server_ms = u32::try_from(shown.0 / ONE_MS).unwrap();
            let late = shares.next() < late_share;
            let wake_ms = if late { 20.0 * shares.next() } else { -0.05 * shares.next().ln() };
            let receipt = done + Span::from_ms_f64(wake_ms);
            let copied = placed(armed, Some(came_back), receipt, server_ms).expect("of this frame");
            let error = (copied.t - truth).ms();
            errors.push((error, error / copied.sd.ms()));
        }
        errors
    }

    fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
        values.clone().sum::<f64>() / values.count() as f64
    }

    #[test]
    fn the_stamps_are_without_bias_and_their_doubt_is_true() {
        let fine = Span(1_000);
        for (tick, late_share, own_thread, most_bias_ms) in [
            (fine, 0.0, false, 0.05),
            (fine, 0.01, false, 0.05),
            (Span(ONE_MS), 0.01, false, 0.05),
            // The whole way from the call to the copy is left open: half of 1.5 to 3.5 ms.
            (fine, 0.01, true, 1.3),
        ] {
            let errors = stream(tick, late_share, own_thread);
            let bias_ms = mean(errors.iter().map(|error| error.0));
            let of = (tick, late_share, own_thread, bias_ms);
            assert!(bias_ms.abs() < most_bias_ms, "{of:?}");
            let in_doubts = mean(errors.iter().map(|error| error.1 * error.1)).sqrt();
            assert!((0.5..1.5).contains(&in_doubts), "{of:?}: {in_doubts} stated sd");
            let largest = errors.iter().map(|error| error.0.abs()).fold(0.0, f64::max);
            assert!(largest < 2.5, "{of:?}: {largest} ms");
            let largest = errors.iter().map(|error| error.1.abs()).fold(0.0, f64::max);
            assert!(largest < 4.0, "{of:?}: {largest} stated sd");
        }
    }
}
