//! What can go wrong in opening the screen, and what to do about it.
//!
//! Losses during a block are not errors: they are told as events and recorded with the trial.

use crate::words::{Tell, Told};

/// Why there is no screen.
#[derive(Debug, thiserror::Error)]
pub enum DisplayError {
    /// The window gave no handle.
    #[error("the window gives no handle")]
    NoHandle {
        /// What the window library said.
        source: raw_window_handle::HandleError,
    },
    /// No surface could be made for the window.
    #[error("no drawing surface for this window")]
    NoSurface {
        /// What the graphics library said.
        source: wgpu::CreateSurfaceError,
    },
    /// No driver can draw to it.
    #[error("no graphics driver can draw to this window")]
    NoAdapter {
        /// What the graphics library said.
        source: wgpu::RequestAdapterError,
    },
    /// The driver did not open its device.
    #[error("the graphics driver did not open its device")]
    NoDevice {
        /// What the graphics library said.
        source: wgpu::RequestDeviceError,
    },
    /// The driver draws scenes, but not the pages around them.
    #[error("the graphics driver cannot draw the program's pages: {detail}")]
    NoPages {
        /// As the driver says it.
        detail: String,
    },
    /// The driver lacks the plain 8-bit format.
    #[error("the graphics driver does not offer 8-bit BGRA pictures")]
    NoFormat,
    /// The built-in font could not be read.
    #[error("the built-in font is damaged")]
    NoFont {
        /// What the font library said.
        source: ab_glyph::InvalidFont,
    },
    /// The surface gave no picture at the start.
    #[error("the window took no picture within {waited_ms} ms")]
    NoPicture {
        /// How long it was tried, ms.
        waited_ms: u32,
    },
}

impl Tell for DisplayError {
    fn tell(&self) -> Told {
        let mend = match self {
            DisplayError::NoHandle { .. } => {
                "start it inside a desktop session (X11, Wayland or Windows)"
            }
            // Also what a machine without any Vulkan driver answers.
            DisplayError::NoSurface { .. } => {
                "start it inside a desktop session (X11, Wayland or Windows), with a Vulkan driver \
                 (on Debian: mesa-vulkan-drivers) or, on Windows, a current graphics driver"
            }
            DisplayError::NoAdapter { .. } => {
                "install a Vulkan driver (on Debian: mesa-vulkan-drivers), on Windows a current \
                 graphics driver"
            }
            DisplayError::NoDevice { .. }
            | DisplayError::NoPages { .. }
            | DisplayError::NoFormat => {
                "update the graphics driver, or choose another adapter in the system's settings"
            }
            DisplayError::NoFont { .. } => "install the program anew: its own files are damaged",
            DisplayError::NoPicture { .. } => {
                "bring the window to the front, unlock the screen, and start again"
            }
        };
        Told {
            what: self.to_string(),
            place: Some("the display".to_owned()),
            mend: mend.to_owned(),
        }
    }
}
