//! Raised priority for an input thread, and whether it was granted.
//!
//! Knows no source. What was refused is kept as refused, never passed over.

use std::fmt;

/// Whether the input thread goes before others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Priority {
    /// First in, first out, with this number (1 to 99).
    Fifo(u8),
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
            Priority::Refused { why } => write!(f, "refused: {why}"),
            Priority::NotAttempted => write!(f, "not attempted"),
        }
    }
}

/// Above the stimulus thread, below the kernel's own interrupt threads (50).
#[cfg(target_os = "linux")]
const INPUT_FIFO: u8 = 30;

/// Raises the calling thread.
#[cfg(target_os = "linux")]
#[expect(unsafe_code, reason = "prctl has no safe face in std")]
pub(crate) fn raise() -> Priority {
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
    match granted {
        Ok(()) => Priority::Fifo(INPUT_FIFO),
        Err(thread_priority::Error::OS(code)) => {
            Priority::Refused { why: std::io::Error::from_raw_os_error(code).to_string() }
        }
        Err(other) => Priority::Refused { why: format!("{other:?}") },
    }
}
