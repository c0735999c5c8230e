//! The mice that Windows lists for raw input, with the name that each tells of itself.
//!
//! Opens a device without any right to read it, for its name alone. The path is where it is
//! plugged in; it is kept in memory only.

use super::choice::Reason;
use super::devices::Identity;
use super::raw_records::model_of;
use std::fs::OpenOptions;
use std::io;
use std::os::windows::fs::OpenOptionsExt;
use std::os::windows::io::AsRawHandle;
use std::ptr;
use windows_sys::Win32::Devices::HumanInterfaceDevice::HidD_GetProductString;
use windows_sys::Win32::Foundation::HANDLE;
use windows_sys::Win32::UI::Input::{
    GetRawInputDeviceInfoW, GetRawInputDeviceList, RAWINPUTDEVICELIST, RIDI_DEVICENAME,
    RIM_TYPEMOUSE,
};

/// The longest name that is asked for, UTF-16 units (USB allows 126).
const NAME_UNITS: usize = 128;

/// A mouse in the system's list.
#[derive(Debug)]
pub(super) struct RawDevice {
    /// The number that its records carry.
    pub(super) handle: u64,
    /// Who it is.
    pub(super) identity: Identity,
}

/// All mice, by the place they are plugged in.
pub(super) fn mice() -> Result<Vec<RawDevice>, Reason> {
    let all = list().map_err(|source| Reason::NotRegistered { source })?;
    let mut mice: Vec<RawDevice> = all
        .iter()
        .filter(|device| device.dwType == RIM_TYPEMOUSE)
        // A device that tells no path has gone while the list was read.
        .filter_map(|device| Some(mouse(device.hDevice, path_of(device.hDevice)?)))
        .collect();
    mice.sort_by(|a, b| a.identity.place.cmp(&b.identity.place));
    Ok(mice)
}

fn mouse(handle: HANDLE, path: String) -> RawDevice {
    let model = model_of(&path);
    let name = product(&path).unwrap_or_else(|| match &model {
        Some(model) => format!("Mouse {model}"),
        None => "Mouse without a name".to_owned(),
    });
    let identity = Identity {
        model: model.unwrap_or_else(|| in_small_letters(&name)),
        name,
        serial: None,
        place: path,
    };
    RawDevice { handle: handle.expose_provenance() as u64, identity }
}

/// The system's list; it is asked again where it grew meanwhile.
#[expect(unsafe_code, reason = "raw input has no safe face in std")]
fn list() -> io::Result<Vec<RAWINPUTDEVICELIST>> {
    const TRIES: usize = 5;
    let size = u32::try_from(size_of::<RAWINPUTDEVICELIST>()).expect("a few bytes");
    for _ in 0..TRIES {
        let mut count = 0;
        // SAFETY: without a list only the count is written.
        if unsafe { GetRawInputDeviceList(ptr::null_mut(), &raw mut count, size) } == u32::MAX {
            return Err(io::Error::last_os_error());
        }
        let none = RAWINPUTDEVICELIST { hDevice: ptr::null_mut(), dwType: u32::MAX };
        let mut list = vec![none; count as usize];
        // SAFETY: the list has room for `count` entries of the size that is told.
        let found = unsafe { GetRawInputDeviceList(list.as_mut_ptr(), &raw mut count, size) };
        if found != u32::MAX {
            list.truncate(found as usize);
            return Ok(list);
        }
    }
    Err(io::Error::last_os_error())
}

#[expect(unsafe_code, reason = "raw input has no safe face in std")]
fn path_of(device: HANDLE) -> Option<String> {
    let mut units = 0;
    // SAFETY: without a buffer only the length, in UTF-16 units, is written.
    unsafe { GetRawInputDeviceInfoW(device, RIDI_DEVICENAME, ptr::null_mut(), &raw mut units) };
    let mut path = vec![0_u16; units as usize];
    let buffer = path.as_mut_ptr().cast();
    // SAFETY: the buffer has room for as many units as were asked for.
    let told = unsafe { GetRawInputDeviceInfoW(device, RIDI_DEVICENAME, buffer, &raw mut units) };
    (told != u32::MAX && !path.is_empty()).then(|| text_of(&path))
}

/// The product name that the device itself tells, where it is a HID device that tells one.
#[expect(unsafe_code, reason = "HID has no safe face in std")]
fn product(path: &str) -> Option<String> {
    // The system holds mice for itself: only opening without any right is granted.
    let file = OpenOptions::new().access_mode(0).open(path).ok()?;
    let mut name = [0_u16; NAME_UNITS];
    let bytes = u32::try_from(size_of_val(&name)).expect("256 bytes");
    // SAFETY: the handle is open, and the buffer has the size that is told.
    let told =
        unsafe { HidD_GetProductString(file.as_raw_handle(), name.as_mut_ptr().cast(), bytes) };
    let name = text_of(&name).trim().to_owned();
    (told && !name.is_empty()).then_some(name)
}

/// Up to the first zero.
fn text_of(units: &[u16]) -> String {
    let end = units.iter().position(|&unit| unit == 0).unwrap_or(units.len());
    String::from_utf16_lossy(&units[..end])
}

/// A name as an ident: small letters and digits, all else one hyphen.
fn in_small_letters(name: &str) -> String {
    let parts = name.split(|letter: char| !letter.is_ascii_alphanumeric());
    let parts: Vec<String> =
        parts.filter(|part| !part.is_empty()).map(str::to_ascii_lowercase).collect();
    parts.join("-")
}
