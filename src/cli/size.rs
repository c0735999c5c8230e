//! A window's size, as it is typed.

use crate::window::WindowSize;

/// A window's size, px.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    width: u32,
    height: u32,
}

impl Size {
    /// A plain window of this size.
    pub(super) const fn windowed(self) -> WindowSize {
        WindowSize::Windowed { width_px: self.width, height_px: self.height }
    }
}

/// Reads `WIDTHxHEIGHT`.
pub(super) fn size(text: &str) -> Result<Size, String> {
    let wrong =
        || format!("write WIDTHxHEIGHT in pixels, for example 1280x720, instead of `{text}`");
    let (width, height) = text.split_once('x').ok_or_else(wrong)?;
    let number = |text: &str| text.parse::<u32>().ok().ok_or_else(wrong);
    let (width, height) = (number(width)?, number(height)?);
    if !(320..=16_384).contains(&width) || !(240..=16_384).contains(&height) {
        return Err(format!("a window has 320x240 to 16384x16384 pixels, not {text}"));
    }
    Ok(Size { width, height })
}
