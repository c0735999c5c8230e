//! How pictures queue for the screen.

use serde::Serialize;

/// How pictures queue for the screen. A wish: what the driver does is judged apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PresentMode {
    /// Each picture waits its turn and its refresh.
    Fifo,
    /// The newest picture waits for the refresh.
    Mailbox,
    /// At once, torn if need be.
    Immediate,
}

impl PresentMode {
    /// The library's name for it.
    pub(super) const fn wgpu(self) -> wgpu::PresentMode {
        match self {
            PresentMode::Fifo => wgpu::PresentMode::Fifo,
            PresentMode::Mailbox => wgpu::PresentMode::Mailbox,
            PresentMode::Immediate => wgpu::PresentMode::Immediate,
        }
    }
}
