//! The bell that wakes a waiting thread, and the wait itself.
//!
//! A ring before the wait is not lost: the wait then returns at once. A wait is as fine as the
//! system lets it be: on Windows a parked thread would wake in steps of the system's timer (up to
//! 15.6 ms, common practice, no source), so the wait there is one of an event and of a timer that
//! was asked to be a fine one.

use crate::units::Nanos;

/// Wakes one waiting thread: every producer rings after it has pushed.
#[derive(Debug, Clone)]
pub struct Bell(system::Ringer);

impl Bell {
    /// The bell of the thread that calls this, which is the one that will [`wait`].
    pub fn of_this_thread() -> Bell {
        Bell(system::Ringer::of_this_thread())
    }

    /// The bell of another thread.
    #[cfg(not(windows))]
    pub fn of(thread: &std::thread::Thread) -> Bell {
        Bell(system::Ringer::of(thread))
    }

    /// Wakes the waiting thread. Takes no lock and allocates nothing.
    pub fn ring(&self) {
        self.0.ring();
    }
}

/// Sleeps until `until` or until this thread's bell rings, whichever is first; may wake early.
pub fn wait(until: Nanos) {
    if let Ok(left_ns) = u64::try_from((until - super::now()).0) {
        system::wait(left_ns);
    }
}

#[cfg(not(windows))]
mod system {
    use std::time::Duration;

    #[derive(Debug, Clone)]
    pub(super) struct Ringer(std::thread::Thread);

    impl Ringer {
        pub(super) fn of_this_thread() -> Ringer {
            Ringer(std::thread::current())
        }

        pub(super) fn of(thread: &std::thread::Thread) -> Ringer {
            Ringer(thread.clone())
        }

        pub(super) fn ring(&self) {
            self.0.unpark();
        }
    }

    pub(super) fn wait(left_ns: u64) {
        std::thread::park_timeout(Duration::from_nanos(left_ns));
    }
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "events and fine timers have no safe face in std")]
mod system {
    use std::os::windows::io::{AsRawHandle, FromRawHandle, OwnedHandle};
    use std::ptr;
    use std::sync::Arc;
    use windows_sys::Win32::Foundation::HANDLE;
    use windows_sys::Win32::System::Threading::{
        CREATE_WAITABLE_TIMER_HIGH_RESOLUTION, CreateEventW, CreateWaitableTimerExW, INFINITE,
        SetEvent, SetWaitableTimer, TIMER_ALL_ACCESS, WaitForMultipleObjects,
    };

    thread_local! {
        static OWN: Waiter = Waiter::new();
    }

    /// What a thread waits with.
    struct Waiter {
        event: Arc<OwnedHandle>,
        timer: OwnedHandle,
    }

    #[derive(Debug, Clone)]
    pub(super) struct Ringer(Arc<OwnedHandle>);

    impl Waiter {
        fn new() -> Waiter {
            // SAFETY: no name and no attributes; a failure gives a null handle, refused below.
            let event = unsafe { CreateEventW(ptr::null(), 0, 0, ptr::null()) };
            Waiter { event: Arc::new(owned(event)), timer: timer() }
        }
    }

    /// A fine timer; a plain one before Windows 10 of 2018, which has no fine ones.
    fn timer() -> OwnedHandle {
        let make = |flags| {
            // SAFETY: no name and no attributes; a failure gives a null handle.
            unsafe { CreateWaitableTimerExW(ptr::null(), ptr::null(), flags, TIMER_ALL_ACCESS) }
        };
        let fine = make(CREATE_WAITABLE_TIMER_HIGH_RESOLUTION);
        owned(if fine.is_null() { make(0) } else { fine })
    }

    fn owned(handle: HANDLE) -> OwnedHandle {
        assert!(!handle.is_null(), "a system without room for one handle runs nothing");
        // SAFETY: the handle was just made, is not null and belongs to nobody else.
        unsafe { OwnedHandle::from_raw_handle(handle) }
    }

    impl Ringer {
        pub(super) fn of_this_thread() -> Ringer {
            Ringer(OWN.with(|own| Arc::clone(&own.event)))
        }

        pub(super) fn ring(&self) {
            // SAFETY: the handle is open as long as `self` is. Setting an event cannot fail then.
            unsafe { SetEvent(self.0.as_raw_handle()) };
        }
    }

    pub(super) fn wait(left_ns: u64) {
        OWN.with(|own| {
            let [event, timer] = [own.event.as_raw_handle(), own.timer.as_raw_handle()];
            // In steps of 100 ns; below zero it means from now on.
            let due = -i64::try_from(left_ns.div_ceil(100)).unwrap_or(i64::MAX);
            // SAFETY: `timer` is an open timer, `due` outlives the call, and there is no callback.
            let set = unsafe { SetWaitableTimer(timer, &raw const due, 0, None, ptr::null(), 0) };
            if set == 0 {
                // Without a timer the wait must not last: an early return is allowed.
                std::thread::yield_now();
                return;
            }
            let both = [event, timer];
            // SAFETY: two open handles, as many as is said.
            unsafe { WaitForMultipleObjects(2, both.as_ptr(), 0, INFINITE) };
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::now;
    use crate::units::Span;

    /// Only a broken wait takes this long.
    const FAR: Span = Span::from_s(600);

    #[test]
    fn a_ring_before_the_wait_is_not_lost_and_one_from_another_thread_wakes() {
        let bell = Bell::of_this_thread();
        bell.ring();
        let began = now();
        wait(began + FAR);
        let other = bell.clone();
        let ringing = std::thread::Builder::new().spawn(move || other.ring());
        wait(began + FAR);
        ringing.expect("a thread").join().expect("it only rings");
        assert!(now() - began < FAR);
    }

    #[test]
    fn a_wait_ends_by_itself() {
        let until = now() + Span::from_ms(2);
        while now() < until {
            wait(until);
        }
        // A moment that has passed is not waited for.
        wait(until);
    }
}
