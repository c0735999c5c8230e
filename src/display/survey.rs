//! The outputs as the program sees them: for the list of devices, for choosing one, and for
//! millimetres.
//!
//! On X11 by RandR, on a connection of its own; on Windows by the system's list; elsewhere by what the window library tells. Sizes
//! that cannot be true (zero, or an aspect ratio posing as millimetres) are left out.

use serde::Serialize;
use winit::monitor::MonitorHandle;

use super::SizePx;
use super::scanout::ScanFrom;

/// Density below which a size is not believed: a wall, or a projector's invented size.
const LEAST_PX_PER_MM: f64 = 1.0;
/// Density above which it is not: no panel is so fine (635 px an inch).
const MOST_PX_PER_MM: f64 = 25.0;
/// Pixels are square: the two densities agree within this share.
const SQUARE_SHARE: f64 = 0.12;

/// One output.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Output {
    /// The system's name for it; what is typed to choose it.
    pub id: String,
    /// Left edge on the desktop, px.
    pub x_px: i32,
    /// Top edge on the desktop, px.
    pub y_px: i32,
    /// Its size, px.
    pub size: SizePx,
    /// Refresh, frames a second; blank where the system does not tell.
    pub rate_hz: Option<f64>,
    /// Pixels a millimetre; blank where the size is not told or not to be believed.
    pub px_per_mm: Option<f64>,
    /// Lit lines as a share of all lines of a refresh, from the mode.
    pub active_share: Option<f64>,
    /// The edge of the desktop that the panel scans first, where the mode and the turn tell.
    pub scan_from: Option<ScanFrom>,
    /// The system's first choice.
    pub primary: bool,
}

/// Density from a told size, or `None` when it is not to be believed.
///
/// `size`: px; `width_mm`, `height_mm`: as told.
pub fn px_per_mm(size: SizePx, width_mm: u32, height_mm: u32) -> Option<f64> {
    if width_mm == 0 || height_mm == 0 {
        return None;
    }
    let across = f64::from(size.width) / f64::from(width_mm);
    let down = f64::from(size.height) / f64::from(height_mm);
    let believable = (LEAST_PX_PER_MM..=MOST_PX_PER_MM).contains(&across)
        && (across / down - 1.0).abs() <= SQUARE_SHARE
        && !is_aspect(width_mm, height_mm);
    believable.then_some((across + down) / 2.0)
}

/// Some displays tell 16 x 9 or 16 x 10 cm (and a few mm) in place of their size.
fn is_aspect(width_mm: u32, height_mm: u32) -> bool {
    [(160, 90), (160, 100), (16, 9), (16, 10), (1600, 900), (1600, 1000)]
        .contains(&(width_mm, height_mm))
}

/// The outputs that the window library tells of. The fallback, and all there is off X11.
pub fn of_monitors(monitors: impl Iterator<Item = MonitorHandle>) -> Vec<Output> {
    monitors
        .enumerate()
        .map(|(index, monitor)| {
            let size = SizePx { width: monitor.size().width, height: monitor.size().height };
            Output {
                id: monitor.name().unwrap_or_else(|| format!("output-{index}")),
                x_px: monitor.position().x,
                y_px: monitor.position().y,
                size,
                rate_hz: monitor.refresh_rate_millihertz().map(|mhz| f64::from(mhz) / 1e3),
                px_per_mm: None,
                active_share: None,
                scan_from: None,
                primary: index == 0,
            }
        })
        .collect()
}

/// The outputs of the X11 server, by RandR, or of the Windows desktop; empty where there is no such
/// server or it does not tell.
pub fn outputs() -> Vec<Output> {
    #[cfg(target_os = "linux")]
    {
        // Not being told is an answer of its own: the caller falls back to the window library.
        randr::outputs().unwrap_or_default()
    }
    #[cfg(windows)]
    {
        super::survey_windows::outputs()
    }
    #[cfg(not(any(target_os = "linux", windows)))]
    Vec::new()
}

/// The output that holds the point, desktop px.
pub fn at(outputs: &[Output], x_px: i32, y_px: i32) -> Option<&Output> {
    outputs.iter().find(|output| {
        let inside = |start: i32, extent: u32, at: i32| {
            let from = i64::from(at) - i64::from(start);
            (0..i64::from(extent)).contains(&from)
        };
        inside(output.x_px, output.size.width, x_px)
            && inside(output.y_px, output.size.height, y_px)
    })
}

#[cfg(target_os = "linux")]
mod randr {
    use x11rb::protocol::randr::{self, ConnectionExt, ModeFlag, ModeInfo, Rotation};

    use super::super::x11::{Fault, Link};
    use super::{Output, ScanFrom, SizePx, px_per_mm};

    pub(super) fn outputs() -> Result<Vec<Output>, Fault> {
        let link = Link::open()?;
        link.need("RANDR")?;
        let connection = &link.connection;
        connection.randr_query_version(1, 5)?.reply()?;
        let resources = connection.randr_get_screen_resources_current(link.screen.root)?.reply()?;
        let primary = connection.randr_get_output_primary(link.screen.root)?.reply()?.output;
        let mut found = Vec::new();
        for &number in &resources.outputs {
            let time = resources.config_timestamp;
            let output = connection.randr_get_output_info(number, time)?.reply()?;
            if output.connection == randr::Connection::DISCONNECTED || output.crtc == x11rb::NONE {
                continue;
            }
            let crtc = connection.randr_get_crtc_info(output.crtc, time)?.reply()?;
            let mode = resources.modes.iter().find(|mode| mode.id == crtc.mode);
            let size = SizePx { width: u32::from(crtc.width), height: u32::from(crtc.height) };
            let turned = u16::from(crtc.rotation) & 0b1010 != 0;
            let [width_mm, height_mm] = if turned {
                [output.mm_height, output.mm_width]
            } else {
                [output.mm_width, output.mm_height]
            };
            found.push(Output {
                id: String::from_utf8_lossy(&output.name).into_owned(),
                x_px: i32::from(crtc.x),
                y_px: i32::from(crtc.y),
                size,
                rate_hz: mode.and_then(rate_hz),
                px_per_mm: px_per_mm(size, width_mm, height_mm),
                active_share: mode.and_then(active_share),
                scan_from: mode.and_then(|mode| scan_from(mode, crtc.rotation, size)),
                primary: number == primary,
            });
        }
        Ok(found)
    }

    /// dot clock / (all columns x all lines), with the two flags that change the count of lines.
    fn rate_hz(mode: &ModeInfo) -> Option<f64> {
        let mut lines = f64::from(mode.vtotal);
        if mode.mode_flags.contains(ModeFlag::DOUBLE_SCAN) {
            lines *= 2.0;
        }
        if mode.mode_flags.contains(ModeFlag::INTERLACE) {
            lines /= 2.0;
        }
        let all = f64::from(mode.htotal) * lines;
        let rate = f64::from(mode.dot_clock) / all;
        // An invented mode has no clock, or no totals.
        (rate.is_finite() && (10.0..2000.0).contains(&rate)).then_some(rate)
    }

    /// Which edge comes first. RandR turns the desktop anticlockwise on the panel; what it mirrors
    /// or scales is left unknown.
    ///
    /// # Source
    /// X Resize, Rotate and Reflect Extension, version 1.5, "Rotation" of a CRTC.
    pub(super) fn scan_from(mode: &ModeInfo, rotation: Rotation, size: SizePx) -> Option<ScanFrom> {
        let upright = [u32::from(mode.width), u32::from(mode.height)];
        let (from, expected) = match rotation {
            Rotation::ROTATE0 => (ScanFrom::Top, upright),
            Rotation::ROTATE90 => (ScanFrom::Right, [upright[1], upright[0]]),
            Rotation::ROTATE180 => (ScanFrom::Bottom, upright),
            Rotation::ROTATE270 => (ScanFrom::Left, [upright[1], upright[0]]),
            _ => return None,
        };
        let plain = [ModeFlag::INTERLACE, ModeFlag::DOUBLE_SCAN]
            .into_iter()
            .all(|flag| !mode.mode_flags.contains(flag));
        (plain && [size.width, size.height] == expected).then_some(from)
    }

    fn active_share(mode: &ModeInfo) -> Option<f64> {
        (mode.vtotal > mode.height && mode.height > 0)
            .then(|| f64::from(mode.height) / f64::from(mode.vtotal))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FULL_HD: SizePx = SizePx { width: 1920, height: 1080 };

    #[test]
    fn a_true_size_gives_its_density() {
        // A 24.5 inch panel tells 543 x 302 mm.
        assert!((px_per_mm(FULL_HD, 543, 302).unwrap() - 3.556).abs() < 0.01);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_edge_scanned_first_follows_the_turn_and_is_unknown_where_anything_else_is_done() {
        use x11rb::protocol::randr::{ModeFlag, ModeInfo, Rotation};
        let mode = ModeInfo { width: 1920, height: 1080, ..ModeInfo::default() };
        let tall = SizePx { width: 1080, height: 1920 };
        for (rotation, size, from) in [
            (Rotation::ROTATE0, FULL_HD, Some(ScanFrom::Top)),
            (Rotation::ROTATE180, FULL_HD, Some(ScanFrom::Bottom)),
            // Turned left: the desktop's right edge lies along the panel's first row.
            (Rotation::ROTATE90, tall, Some(ScanFrom::Right)),
            (Rotation::ROTATE270, tall, Some(ScanFrom::Left)),
            (Rotation::ROTATE0, tall, None),
            (Rotation::ROTATE0 | Rotation::REFLECT_X, FULL_HD, None),
        ] {
            assert_eq!(randr::scan_from(&mode, rotation, size), from, "{rotation:?}");
        }
        let interlaced = ModeInfo { mode_flags: ModeFlag::INTERLACE, ..mode };
        assert_eq!(randr::scan_from(&interlaced, Rotation::ROTATE0, FULL_HD), None);
    }

    #[test]
    fn sizes_that_cannot_be_true_are_left_out() {
        for (width_mm, height_mm) in
            [(0, 0), (160, 90), (16, 9), (543, 0), (543, 543), (5000, 2800)]
        {
            assert_eq!(px_per_mm(FULL_HD, width_mm, height_mm), None, "{width_mm}x{height_mm}");
        }
    }
}
