//! Whether wine stands in for Windows, which the record says and the stamps of raw input take into account.
//!
//! Source: `wine_get_version`, which wine's own `ntdll.dll` exports so that a program can know; Windows has no such function.

use std::ffi::{CStr, c_char};
use windows_sys::Win32::System::LibraryLoader::{GetModuleHandleA, GetProcAddress};

/// A function as the system hands it out, whatever it takes.
type Unknown = unsafe extern "system" fn() -> isize;
/// As wine declares it.
type Version = unsafe extern "C" fn() -> *const c_char;

/// The version of wine, for example `10.0`; nothing on Windows itself.
#[expect(unsafe_code, reason = "a library's own functions have no safe face in std")]
pub fn wine_version() -> Option<String> {
    // SAFETY: the name ends on a zero; the library is part of every process and never unloaded.
    let ntdll = unsafe { GetModuleHandleA(c"ntdll.dll".as_ptr().cast()) };
    if ntdll.is_null() {
        return None;
    }
    // SAFETY: the library is loaded and the name ends on a zero.
    let found = unsafe { GetProcAddress(ntdll, c"wine_get_version".as_ptr().cast()) }?;
    // SAFETY: wine declares it as `const char *wine_get_version(void)`, and nobody else exports this name.
    let version = unsafe { std::mem::transmute::<Unknown, Version>(found) };
    // SAFETY: it takes nothing and gives a constant text of wine's that ends on a zero.
    let text = unsafe { CStr::from_ptr(version()) };
    Some(text.to_string_lossy().into_owned())
}
