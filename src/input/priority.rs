//! Raised priority for the threads that time things, and whether it was granted.
//!
//! Knows no source. What was refused is kept as refused, never passed over. Invariant: no thread that
//! such a thread starts later (a driver's, say) is raised with it.

use std::fmt;

/// Which thread is raised: input goes before the stimulus, since a report that waits is lost, while a
/// picture only waits for its refresh. Both below the kernel's own interrupt threads (50).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rank {
    /// A thread that hears a mouse.
    Input,
    /// The thread that shows and decides.
    Stimulus,
}

impl Rank {
    /// The real-time number that is asked for (1 to 99).
    pub const fn fifo(self) -> u8 {
        match self {
            Rank::Input => 30,
            Rank::Stimulus => 20,
        }
    }

    /// The nice value that is asked for where real time is refused (-20 to 19; low goes first).
    pub const fn nice(self) -> i8 {
        match self {
            Rank::Input => -12,
            Rank::Stimulus => -10,
        }
    }
}

/// Whether a thread goes before others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Priority {
    /// Real time: first in, first out, with this number (1 to 99).
    Fifo(u8),
    /// Windows' multimedia class scheduler, as this kind of work.
    Multimedia(&'static str),
    /// Windows' own highest for an ordinary program ("time critical").
    TimeCritical,
    /// Real time was refused; a larger share of the processor was granted.
    Nice {
        /// The nice value.
        value: i8,
        /// Why not real time, as the system says it.
        why: String,
    },
    /// The system said no to both.
    Refused {
        /// Why not real time, as the system says it.
        why: String,
    },
    /// Not asked for: the events come from the window's own loop, or another thread would starve.
    NotAttempted,
}

impl fmt::Display for Priority {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Priority::Fifo(number) => write!(f, "fifo {number}"),
            Priority::Nice { value, why } => write!(f, "nice {value} (fifo refused: {why})"),
            Priority::Multimedia(work) => write!(f, "multimedia class, {work}"),
            Priority::TimeCritical => write!(f, "time critical"),
            Priority::Refused { why } => write!(f, "refused: {why}"),
            Priority::NotAttempted => write!(f, "not attempted"),
        }
    }
}

/// What was granted to a thread, for as long as this is kept on it.
#[derive(Debug)]
pub struct Raised {
    /// For the record.
    pub granted: Priority,
    /// Held, never read: the place is lost with it.
    #[cfg(windows)]
    _class: Option<of_windows::Class>,
}

/// Raises the calling thread: real time, else a larger share.
///
/// Asks the kernel alone, which grants it to root, with CAP_SYS_NICE, or within RLIMIT_RTPRIO and
/// RLIMIT_NICE (`/etc/security/limits.conf`).
#[cfg(target_os = "linux")]
#[expect(unsafe_code, reason = "prctl has no safe face in std")]
pub fn raise(rank: Rank) -> Raised {
    // Without real-time priority the kernel may let a timed wait sleep 50 us longer than asked. A
    // refusal costs no more than that, and no wait of ours decides a stamp.
    // SAFETY: PR_SET_TIMERSLACK takes one number and touches no memory of ours.
    unsafe { libc::prctl(libc::PR_SET_TIMERSLACK, 1_u64) };
    let Err(refused) = linux::set_policy(libc::SCHED_FIFO, rank.fifo()) else {
        return Raised { granted: Priority::Fifo(rank.fifo()) };
    };
    let why = refused.to_string();
    let granted =
        match linux::set_policy(libc::SCHED_OTHER, 0).and_then(|()| linux::set_nice(rank.nice())) {
            Ok(()) => Priority::Nice { value: rank.nice(), why },
            Err(_) => Priority::Refused { why },
        };
    Raised { granted }
}

/// Raises the calling thread: by the multimedia class scheduler, else by its own number.
#[cfg(windows)]
pub fn raise(_rank: Rank) -> Raised {
    if let Some(class) = of_windows::Class::join() {
        return Raised { granted: Priority::Multimedia(of_windows::WORK), _class: Some(class) };
    }
    let granted = match of_windows::time_critical() {
        Ok(()) => Priority::TimeCritical,
        Err(error) => Priority::Refused { why: error.to_string() },
    };
    Raised { granted, _class: None }
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "thread priorities have no safe face in std")]
mod of_windows {
    use std::io;
    use windows_sys::Win32::Foundation::HANDLE;
    use windows_sys::Win32::System::Threading::{
        AvRevertMmThreadCharacteristics, AvSetMmThreadCharacteristicsW, GetCurrentThread,
        SetThreadPriority, THREAD_PRIORITY_TIME_CRITICAL,
    };

    /// The scheduler's kind of work with the highest priority of those that every system has.
    pub(super) const WORK: &str = "Pro Audio";

    /// The calling thread's place in the multimedia class scheduler; left when dropped.
    #[derive(Debug)]
    pub(super) struct Class(HANDLE);

    impl Class {
        /// `None` where the scheduler's service does not run or refuses.
        pub(super) fn join() -> Option<Class> {
            let work: Vec<u16> = WORK.encode_utf16().chain([0]).collect();
            let mut task = 0;
            // SAFETY: the name ends on a zero, and both pointers outlive the call.
            let class = unsafe { AvSetMmThreadCharacteristicsW(work.as_ptr(), &raw mut task) };
            (!class.is_null()).then_some(Class(class))
        }
    }

    impl Drop for Class {
        fn drop(&mut self) {
            // SAFETY: the handle is the scheduler's own and is given back once.
            unsafe { AvRevertMmThreadCharacteristics(self.0) };
        }
    }

    pub(super) fn time_critical() -> io::Result<()> {
        // SAFETY: the handle of the calling thread is always good.
        let set = unsafe { SetThreadPriority(GetCurrentThread(), THREAD_PRIORITY_TIME_CRITICAL) };
        if set == 0 { Err(io::Error::last_os_error()) } else { Ok(()) }
    }
}

/// No other system's way is built.
#[cfg(not(any(target_os = "linux", windows)))]
pub fn raise(_rank: Rank) -> Raised {
    Raised { granted: Priority::NotAttempted }
}

#[cfg(target_os = "linux")]
mod linux {
    use std::io;

    /// linux/sched.h: what the thread starts later is not raised with it.
    pub(super) const RESET_ON_FORK: libc::c_int = 0x4000_0000;

    /// Sets the calling thread's policy.
    #[expect(unsafe_code, reason = "the scheduler has no safe face in std")]
    pub(super) fn set_policy(policy: libc::c_int, number: u8) -> io::Result<()> {
        // SAFETY: a struct of plain numbers, of which some systems have more than one.
        let mut wish: libc::sched_param = unsafe { std::mem::zeroed() };
        wish.sched_priority = number.into();
        // SAFETY: 0 is the calling thread; the struct outlives the call, which only reads it.
        let code = unsafe { libc::sched_setscheduler(0, policy | RESET_ON_FORK, &raw const wish) };
        if code == 0 { Ok(()) } else { Err(io::Error::last_os_error()) }
    }

    /// Sets the calling thread's nice value: on Linux it is the thread's, not the process's.
    #[expect(unsafe_code, reason = "the scheduler has no safe face in std")]
    pub(super) fn set_nice(value: i8) -> io::Result<()> {
        // SAFETY: takes numbers only; 0 is the calling thread.
        let code = unsafe { libc::setpriority(libc::PRIO_PROCESS, 0, value.into()) };
        if code == 0 { Ok(()) } else { Err(io::Error::last_os_error()) }
    }
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[expect(unsafe_code, reason = "the scheduler has no safe face in std")]
    fn policy() -> libc::c_int {
        // SAFETY: takes a number; 0 is the calling thread.
        unsafe { libc::sched_getscheduler(0) }
    }

    fn on_a_thread<R: Send + 'static>(ask: impl FnOnce() -> R + Send + 'static) -> R {
        let named = std::thread::Builder::new().name("asks".to_owned());
        named.spawn(ask).expect("a thread").join().expect("it asks only")
    }

    /// Granted here or not: what is said is what the kernel holds, and it ends with the thread.
    #[test]
    fn what_is_said_of_a_thread_is_what_the_kernel_says_and_its_children_go_free() {
        for rank in [Rank::Input, Rank::Stimulus] {
            let (said, own, child) = on_a_thread(move || {
                let said = raise(rank).granted;
                let child = on_a_thread(policy);
                (said, policy(), child)
            });
            let expected = match said {
                Priority::Fifo(number) => {
                    assert_eq!(number, rank.fifo());
                    libc::SCHED_FIFO | linux::RESET_ON_FORK
                }
                Priority::Nice { .. } => libc::SCHED_OTHER | linux::RESET_ON_FORK,
                Priority::Refused { ref why } => {
                    assert!(!why.is_empty());
                    own
                }
                other => panic!("Linux is asked: {other}"),
            };
            assert_eq!(own, expected, "{said}");
            assert_eq!(child, libc::SCHED_OTHER, "{said}");
        }
    }
}
