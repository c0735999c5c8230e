//! The displays of a Windows desktop by their current modes: place, size, refresh.
//!
//! Windows tells no line counts and no turn of the scan here, and its millimetres are often made
//! up, so neither is given. Tried under wine 10 with one display (place and size were right, no
//! refresh was told); not yet run on this system itself.

use windows_sys::Win32::Graphics::Gdi::{
    DEVMODEW, DISPLAY_DEVICE_ATTACHED_TO_DESKTOP, DISPLAY_DEVICE_PRIMARY_DEVICE, DISPLAY_DEVICEW,
    ENUM_CURRENT_SETTINGS, EnumDisplayDevicesW, EnumDisplaySettingsW,
};

use super::SizePx;
use super::survey::Output;

/// 0 and 1 say "the hardware's default", which is no refresh.
const LEAST_HZ: u32 = 2;
/// More displays than a desktop has: the listing ends by itself before.
const MOST_DISPLAYS: u32 = 64;

/// All displays that are part of the desktop.
pub(super) fn outputs() -> Vec<Output> {
    (0..MOST_DISPLAYS)
        .map_while(device)
        .filter(|device| device.StateFlags & DISPLAY_DEVICE_ATTACHED_TO_DESKTOP != 0)
        .filter_map(|device| {
            let Mode { x_px, y_px, size, hz } = mode(&device)?;
            Some(Output {
                id: text(&device.DeviceName),
                x_px,
                y_px,
                size,
                rate_hz: (hz >= LEAST_HZ).then_some(f64::from(hz)),
                px_per_mm: None,
                active_share: None,
                scan_from: None,
                primary: device.StateFlags & DISPLAY_DEVICE_PRIMARY_DEVICE != 0,
            })
        })
        .collect()
}

#[expect(unsafe_code, reason = "the system fills a struct of ours")]
fn device(number: u32) -> Option<DISPLAY_DEVICEW> {
    let mut device = DISPLAY_DEVICEW { cb: size_of_u32::<DISPLAY_DEVICEW>(), ..Default::default() };
    // SAFETY: no name asks for the displays of the desktop; `device` tells its own size and outlives
    // the call.
    let found = unsafe { EnumDisplayDevicesW(std::ptr::null(), number, &raw mut device, 0) };
    (found != 0).then_some(device)
}

struct Mode {
    x_px: i32,
    y_px: i32,
    size: SizePx,
    hz: u32,
}

#[expect(unsafe_code, reason = "the system fills a struct of ours, one part of which is a union")]
fn mode(device: &DISPLAY_DEVICEW) -> Option<Mode> {
    #[expect(clippy::cast_possible_truncation, reason = "some 220 bytes")]
    let mut told = DEVMODEW { dmSize: size_of::<DEVMODEW>() as u16, ..Default::default() };
    let name = device.DeviceName.as_ptr();
    // SAFETY: the name ends with a zero, as the system wrote it; `told` tells its own size and
    // outlives the call.
    let found = unsafe { EnumDisplaySettingsW(name, ENUM_CURRENT_SETTINGS, &raw mut told) };
    if found == 0 {
        return None;
    }
    // SAFETY: of a display the system fills this part of the union; both parts are whole numbers.
    let place = unsafe { told.Anonymous1.Anonymous2.dmPosition };
    let size = SizePx { width: told.dmPelsWidth, height: told.dmPelsHeight };
    Some(Mode { x_px: place.x, y_px: place.y, size, hz: told.dmDisplayFrequency })
}

#[expect(clippy::cast_possible_truncation, reason = "structs here are of a few hundred bytes")]
fn size_of_u32<T>() -> u32 {
    size_of::<T>() as u32
}

/// Up to the first zero.
fn text(wide: &[u16]) -> String {
    let end = wide.iter().position(|&unit| unit == 0).unwrap_or(wide.len());
    String::from_utf16_lossy(&wide[..end])
}
