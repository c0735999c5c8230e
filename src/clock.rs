//! The monotonic clock of each system; the only place in the program that asks for the time.
//!
//! CLOCK_MONOTONIC on Unix, QueryPerformanceCounter on Windows, as [`Nanos`]; and the wall clock
//! (UTC) for names of folders and for the manifest, never for a measurement.

mod watch;

pub use watch::{JumpWatch, StallWatch};
mod bell;

pub use bell::{Bell, wait};

use crate::units::{Nanos, Span};

/// Now, on the monotonic clock.
#[cfg(unix)]
#[expect(unsafe_code, reason = "std's Instant does not give the clock's own reading")]
pub fn now() -> Nanos {
    let mut time = libc::timespec { tv_sec: 0, tv_nsec: 0 };
    // SAFETY: `time` is a valid timespec that outlives the call.
    let code = unsafe { libc::clock_gettime(libc::CLOCK_MONOTONIC, &raw mut time) };
    assert_eq!(code, 0, "CLOCK_MONOTONIC exists on every system we run on");
    Nanos(time.tv_sec * 1_000_000_000 + time.tv_nsec)
}

/// Now, on the monotonic clock.
#[cfg(windows)]
#[expect(unsafe_code, reason = "std's Instant does not give the clock's own reading")]
pub fn now() -> Nanos {
    use windows_sys::Win32::System::Performance::QueryPerformanceCounter;
    let mut ticks = 0;
    // SAFETY: a valid pointer to an i64; the call cannot fail since Windows XP.
    unsafe { QueryPerformanceCounter(&raw mut ticks) };
    of_counter(ticks)
}

/// Ticks a second of QueryPerformanceCounter.
#[cfg(windows)]
#[expect(unsafe_code, reason = "std does not tell the counter's rate")]
fn ticks_s() -> i128 {
    use windows_sys::Win32::System::Performance::QueryPerformanceFrequency;
    static RATE: std::sync::OnceLock<i128> = std::sync::OnceLock::new();
    *RATE.get_or_init(|| {
        let mut ticks_s = 0;
        // SAFETY: a valid pointer to an i64; the call cannot fail since Windows XP.
        unsafe { QueryPerformanceFrequency(&raw mut ticks_s) };
        i128::from(ticks_s).max(1)
    })
}

/// How far [`now`] is ahead of the system's clock with this number, read between two of ours.
///
/// The tightest of a few readings. `None` where the system has no such clock. Clocks run at
/// different rates (CLOCK_MONOTONIC is steered, CLOCK_MONOTONIC_RAW is not): ask for each stamp.
#[cfg(target_os = "linux")]
#[expect(unsafe_code, reason = "std does not read the other clocks")]
pub fn ahead_of(number: i32) -> Option<Span> {
    const READINGS: usize = 3;
    if number == libc::CLOCK_MONOTONIC {
        return Some(Span::ZERO);
    }
    let mut tightest: Option<[Span; 2]> = None;
    for _ in 0..READINGS {
        let mut time = libc::timespec { tv_sec: 0, tv_nsec: 0 };
        let before = now();
        // SAFETY: `time` is a valid timespec that outlives the call; a number that names no clock
        // is refused by the call.
        let code = unsafe { libc::clock_gettime(number, &raw mut time) };
        let width = now() - before;
        if code != 0 {
            return None;
        }
        let other = Nanos(time.tv_sec * 1_000_000_000 + time.tv_nsec);
        if tightest.is_none_or(|[narrow, _]| width < narrow) {
            tightest = Some([width, before + Span(width.0 / 2) - other]);
        }
    }
    tightest.map(|[_, ahead]| ahead)
}

/// How far [`now`] is ahead of a clock that goes on while the machine is suspended, which it does not;
/// `None` where the system has no such clock, or where ours goes on too.
#[cfg(target_os = "linux")]
pub fn ahead_of_unsuspended() -> Option<Span> {
    ahead_of(libc::CLOCK_BOOTTIME)
}

/// How far [`now`] is ahead of a clock that goes on while the machine is suspended, which it does not;
/// `None` where the system has no such clock, or where ours goes on too.
#[cfg(not(target_os = "linux"))]
pub fn ahead_of_unsuspended() -> Option<Span> {
    None
}

/// Processor time that the calling thread has used since it started; `None` where it is not asked.
#[cfg(unix)]
#[expect(unsafe_code, reason = "std does not tell a thread's processor time")]
pub fn thread_busy() -> Option<Span> {
    let mut time = libc::timespec { tv_sec: 0, tv_nsec: 0 };
    // SAFETY: `time` is a valid timespec that outlives the call.
    let code = unsafe { libc::clock_gettime(libc::CLOCK_THREAD_CPUTIME_ID, &raw mut time) };
    (code == 0).then_some(Span(time.tv_sec * 1_000_000_000 + time.tv_nsec))
}

/// Processor time that the calling thread has used since it started; `None` where it is not asked.
#[cfg(windows)]
#[expect(unsafe_code, reason = "std does not tell a thread's processor time")]
pub fn thread_busy() -> Option<Span> {
    use windows_sys::Win32::Foundation::FILETIME;
    use windows_sys::Win32::System::Threading::{GetCurrentThread, GetThreadTimes};
    let zero = FILETIME { dwLowDateTime: 0, dwHighDateTime: 0 };
    let [mut made, mut ended, mut in_kernel, mut in_user] = [zero; 4];
    // SAFETY: the handle of the calling thread is always good, and the four times outlive the call.
    let told = unsafe {
        GetThreadTimes(
            GetCurrentThread(),
            &raw mut made,
            &raw mut ended,
            &raw mut in_kernel,
            &raw mut in_user,
        )
    };
    // In steps of 100 ns.
    let ns = |time: FILETIME| {
        (i64::from(time.dwHighDateTime) << 32 | i64::from(time.dwLowDateTime)).saturating_mul(100)
    };
    (told != 0).then(|| Span(ns(in_kernel) + ns(in_user)))
}

/// The moment of a reading of QueryPerformanceCounter.
#[cfg(windows)]
pub fn of_counter(ticks: i64) -> Nanos {
    #[expect(clippy::cast_possible_truncation, reason = "292 years of nanoseconds")]
    Nanos((i128::from(ticks) * 1_000_000_000 / ticks_s()) as i64)
}

/// The wall clock, UTC. For names and notes only.
pub fn utc() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// Local time minus UTC at a moment, s, by the system's time zone.
pub fn local_offset_s(utc: jiff::Timestamp) -> i32 {
    jiff::tz::TimeZone::system().to_offset(utc).seconds()
}
