//! Raised priority for an input thread, and whether it was granted.
//!
//! Knows no source. What was refused is kept as refused, never passed over.

use std::fmt;

/// Whether the input thread goes before others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Priority {
    /// First in, first out, with this number (1 to 99).
    Fifo(u8),
    /// Windows' multimedia class scheduler, as this kind of work.
    Multimedia(&'static str),
    /// Windows' own highest for an ordinary program ("time critical").
    TimeCritical,
    /// The system said no.
    Refused {
        /// As the system says it.
        why: String,
    },
    /// Not asked for: the events come from the window's own loop.
    NotAttempted,
}

impl fmt::Display for Priority {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Priority::Fifo(number) => write!(f, "fifo {number}"),
            Priority::Multimedia(work) => write!(f, "multimedia class, {work}"),
            Priority::TimeCritical => write!(f, "time critical"),
            Priority::Refused { why } => write!(f, "refused: {why}"),
            Priority::NotAttempted => write!(f, "not attempted"),
        }
    }
}

/// What was granted to a thread, for as long as this is kept on it.
#[cfg(any(target_os = "linux", windows))]
#[derive(Debug)]
pub(crate) struct Raised {
    /// For the record.
    pub(crate) granted: Priority,
    /// Held, never read: the place is lost with it.
    #[cfg(windows)]
    _class: Option<of_windows::Class>,
}

/// Above the stimulus thread, below the kernel's own interrupt threads (50).
#[cfg(target_os = "linux")]
const INPUT_FIFO: u8 = 30;

/// Raises the calling thread.
#[cfg(target_os = "linux")]
#[expect(unsafe_code, reason = "prctl has no safe face in std")]
pub(crate) fn raise() -> Raised {
    use thread_priority::{
        RealtimeThreadSchedulePolicy, ThreadPriority, ThreadPriorityValue, ThreadSchedulePolicy,
        set_thread_priority_and_policy, thread_native_id,
    };
    // Without real-time priority the kernel may let a timed wait sleep 50 us longer than asked. A
    // refusal costs no more than that, and no wait of ours decides a stamp.
    // SAFETY: PR_SET_TIMERSLACK takes one number and touches no memory of ours.
    unsafe { libc::prctl(libc::PR_SET_TIMERSLACK, 1_u64) };
    let number = ThreadPriorityValue::try_from(INPUT_FIFO).expect("30 is below 100");
    let granted = set_thread_priority_and_policy(
        thread_native_id(),
        ThreadPriority::Crossplatform(number),
        ThreadSchedulePolicy::Realtime(RealtimeThreadSchedulePolicy::Fifo),
    );
    let granted = match granted {
        Ok(()) => Priority::Fifo(INPUT_FIFO),
        Err(thread_priority::Error::OS(code)) => {
            Priority::Refused { why: std::io::Error::from_raw_os_error(code).to_string() }
        }
        Err(other) => Priority::Refused { why: format!("{other:?}") },
    };
    Raised { granted }
}

/// Raises the calling thread: by the multimedia class scheduler, else by its own number.
#[cfg(windows)]
pub(crate) fn raise() -> Raised {
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
