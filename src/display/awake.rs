//! Keeps the display on and the system awake while a session's screen lives.
//!
//! A player who watches for a shape touches nothing for seconds, and a rest takes minutes: long
//! enough for a system that saves power.

/// A wish to stay awake, until it is dropped. Keep it on the thread that made it.
#[derive(Debug)]
pub(super) struct Awake {
    granted: Option<bool>,
}

impl Awake {
    /// Asks for it, where the system takes such a wish from a program.
    pub(super) fn keep() -> Awake {
        Awake { granted: system::keep() }
    }

    /// Whether it was granted; `None`: not asked for on this system.
    pub(super) fn granted(&self) -> Option<bool> {
        self.granted
    }
}

impl Drop for Awake {
    fn drop(&mut self) {
        if self.granted == Some(true) {
            system::let_go();
        }
    }
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "power settings have no safe face in std")]
mod system {
    use windows_sys::Win32::System::Power::{
        ES_CONTINUOUS, ES_DISPLAY_REQUIRED, ES_SYSTEM_REQUIRED, SetThreadExecutionState,
    };

    pub(super) fn keep() -> Option<bool> {
        // SAFETY: takes flags only. It answers with the state before, 0 for a refusal.
        let before = unsafe {
            SetThreadExecutionState(ES_CONTINUOUS | ES_SYSTEM_REQUIRED | ES_DISPLAY_REQUIRED)
        };
        Some(before != 0)
    }

    pub(super) fn let_go() {
        // SAFETY: takes flags only.
        unsafe { SetThreadExecutionState(ES_CONTINUOUS) };
    }
}

#[cfg(not(windows))]
mod system {
    pub(super) fn keep() -> Option<bool> {
        None
    }

    pub(super) fn let_go() {}
}
