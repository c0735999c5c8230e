//! The console that Windows makes for a program of the command line.
//!
//! From a terminal the program has the terminal's, and prints there. By a double click it would get
//! one of its own, an empty black window beside the real one: that is let go of, and what would have
//! been printed as an error is shown in a box. Elsewhere there is nothing to do.
//!
//! Newer Windows makes none at all, since the program's manifest asks for that.

/// Whose console it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Console {
    /// The terminal's that the program was started from, or not Windows.
    Terminal,
    /// Nobody reads it: there is none, or it was made for this program alone.
    Nobodys,
}

impl Console {
    /// Looks whose it is. Ask before anything is printed.
    pub(super) fn look() -> Console {
        system::look()
    }

    /// Lets go of a console that nobody reads, before a window is opened.
    pub(super) fn let_go(self) {
        if self == Console::Nobodys {
            system::let_go();
        }
    }

    /// Shows `text` in a box where nobody reads the console; `false`: print it.
    pub(super) fn told_in_a_box(self, text: &str) -> bool {
        self == Console::Nobodys && system::show(text)
    }
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "consoles have no safe face in std")]
mod system {
    use super::Console;
    use std::ptr;
    use windows_sys::Win32::System::Console::{FreeConsole, GetConsoleProcessList};
    use windows_sys::Win32::UI::WindowsAndMessaging::{MB_ICONERROR, MB_OK, MessageBoxW};

    pub(super) fn look() -> Console {
        let mut processes = [0; 2];
        // SAFETY: the list has room for two. 0: no console; 1: this program alone has it; more: a
        // shell has it too.
        let count = unsafe { GetConsoleProcessList(processes.as_mut_ptr(), 2) };
        // Without a console but with a pipe, another program reads what is printed.
        if count > 1 || is_read_by_a_pipe() { Console::Terminal } else { Console::Nobodys }
    }

    fn is_read_by_a_pipe() -> bool {
        use std::io::IsTerminal;
        use std::os::windows::io::AsRawHandle;
        let out = std::io::stdout();
        !out.as_raw_handle().is_null() && !out.is_terminal()
    }

    pub(super) fn let_go() {
        // SAFETY: takes nothing; where there is no console it does nothing.
        unsafe { FreeConsole() };
    }

    pub(super) fn show(text: &str) -> bool {
        let wide = |text: &str| -> Vec<u16> { text.encode_utf16().chain([0]).collect() };
        let (text, title) = (wide(text), wide("Tautline"));
        // SAFETY: both texts end on a zero and outlive the call; no window owns the box.
        let answer = unsafe {
            MessageBoxW(ptr::null_mut(), text.as_ptr(), title.as_ptr(), MB_OK | MB_ICONERROR)
        };
        answer != 0
    }
}

#[cfg(not(windows))]
mod system {
    use super::Console;

    pub(super) fn look() -> Console {
        Console::Terminal
    }

    pub(super) fn let_go() {}

    pub(super) fn show(_: &str) -> bool {
        false
    }
}
