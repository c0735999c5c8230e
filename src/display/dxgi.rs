//! The swapchain that the graphics library made for a DX12 window, for asking what became of a frame.
//!
//! Only asks: it presents nothing and changes nothing. Invariant: it lets go of the swapchain before
//! the surface is configured anew, since a window takes no second swapchain while the first lives.
//!
//! Tried under wine, where the statistics are refused; not yet run on this system itself.

use std::sync::{Mutex, MutexGuard, PoisonError};

use windows::Win32::Graphics::Dxgi::{
    DXGI_ERROR_FRAME_STATISTICS_DISJOINT, DXGI_FRAME_PRESENTATION_MODE_COMPOSED,
    DXGI_FRAME_PRESENTATION_MODE_NONE, DXGI_FRAME_PRESENTATION_MODE_OVERLAY, DXGI_FRAME_STATISTICS,
    DXGI_FRAME_STATISTICS_MEDIA, IDXGISwapChain3, IDXGISwapChainMedia,
};
use windows::core::Interface;

use super::clocks::{Answer, Statistics};
use super::report::Composition;
use crate::clock;

/// The window's swapchain, while there is one.
#[derive(Debug, Default)]
pub(super) struct SwapChain(Mutex<Option<IDXGISwapChain3>>);

/// Why the statistics were not told.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum Refused {
    /// The window is not drawn by DX12.
    #[error("the window is not drawn by DX12")]
    NoSwapChain,
    /// Windows said no.
    #[error("Windows tells no frame statistics: {0}")]
    System(String),
}

impl SwapChain {
    fn lock(&self) -> MutexGuard<'_, Option<IDXGISwapChain3>> {
        // Taken by one thread at a time, whoever holds the surface; nothing is left half done.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Before the surface is configured anew.
    pub(super) fn let_go(&self) {
        *self.lock() = None;
    }

    /// After the surface was configured.
    #[expect(unsafe_code, reason = "the library's own swapchain has no safe face")]
    pub(super) fn take_up(&self, surface: &wgpu::Surface<'static>) {
        // SAFETY: the swapchain is only asked, never presented to, resized or released.
        let hal = unsafe { surface.as_hal::<wgpu::hal::api::Dx12>() };
        *self.lock() = hal.and_then(|surface| surface.swap_chain());
    }

    /// The number of the last present, straight after it.
    #[expect(unsafe_code, reason = "DXGI has no safe face")]
    pub(super) fn last_present(&self) -> Result<u32, Refused> {
        let held = self.lock();
        let chain = held.as_ref().ok_or(Refused::NoSwapChain)?;
        // SAFETY: the swapchain is alive while it is held.
        unsafe { chain.GetLastPresentCount() }.map_err(|error| Refused::System(error.message()))
    }

    /// What became of the presents.
    #[expect(unsafe_code, reason = "DXGI has no safe face")]
    pub(super) fn statistics(&self) -> Result<Answer, Refused> {
        let held = self.lock();
        let chain = held.as_ref().ok_or(Refused::NoSwapChain)?;
        let mut told = DXGI_FRAME_STATISTICS::default();
        // SAFETY: the swapchain is alive while it is held, and `told` outlives the call.
        match unsafe { chain.GetFrameStatistics(&raw mut told) } {
            Ok(()) => Ok(Answer::Told(Statistics {
                present: told.PresentCount,
                shown_at: told.PresentRefreshCount,
                sampled_at: told.SyncRefreshCount,
                t: clock::of_counter(told.SyncQPCTime),
            })),
            Err(error) if error.code() == DXGI_ERROR_FRAME_STATISTICS_DISJOINT => {
                Ok(Answer::Disjoint)
            }
            Err(error) => Err(Refused::System(error.message())),
        }
    }

    /// How the last picture got to the screen.
    #[expect(unsafe_code, reason = "DXGI has no safe face")]
    pub(super) fn composition(&self) -> Composition {
        let held = self.lock();
        let Some(media) = held.as_ref().and_then(|chain| chain.cast::<IDXGISwapChainMedia>().ok())
        else {
            return Composition::NotTold;
        };
        let mut told = DXGI_FRAME_STATISTICS_MEDIA::default();
        // SAFETY: the swapchain is alive while it is held, and `told` outlives the call.
        match unsafe { media.GetFrameStatisticsMedia(&raw mut told) } {
            Ok(()) => match told.CompositionMode {
                DXGI_FRAME_PRESENTATION_MODE_COMPOSED => Composition::Composed,
                DXGI_FRAME_PRESENTATION_MODE_OVERLAY => Composition::Overlay,
                DXGI_FRAME_PRESENTATION_MODE_NONE => Composition::Direct,
                _ => Composition::Failed,
            },
            Err(_) => Composition::NotTold,
        }
    }
}
