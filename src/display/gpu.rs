//! The graphics device and the stage: the window's surface as a value that moves between threads.
//!
//! During blocks the stimulus thread owns the stage; at a border it lends it to the main thread
//! for the untimed screens. Whoever takes it over configures it first. It knows nothing of scenes
//! or stamps. Invariant: one owner at a time, and no picture of the old configuration is alive
//! when it is configured anew.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};

use raw_window_handle::{HasDisplayHandle, HasWindowHandle, RawDisplayHandle, RawWindowHandle};
use serde::Serialize;

use super::DisplayError;
use super::mode::PresentMode;
use super::pages;
use super::report::Images;

/// The format of every picture: not sRGB, so that greys are written as they are encoded.
pub(super) const FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Bgra8Unorm;

/// What the driver said out of turn.
#[derive(Debug, Default)]
pub struct Faults {
    lost: AtomicBool,
    errors: AtomicU32,
}

impl Faults {
    /// Whether the device was lost.
    pub fn lost(&self) -> bool {
        self.lost.load(Ordering::Acquire)
    }

    /// How many errors no call reported.
    pub fn errors(&self) -> u32 {
        self.errors.load(Ordering::Relaxed)
    }
}

/// The graphics device that both the stimuli and the untimed screens draw with.
#[derive(Debug)]
pub struct Gpu {
    /// Where surfaces are made.
    pub instance: wgpu::Instance,
    /// The card, or its stand-in.
    pub adapter: wgpu::Adapter,
    /// The opened device.
    pub device: wgpu::Device,
    /// Its one queue.
    pub queue: wgpu::Queue,
    /// The format of every picture.
    pub format: wgpu::TextureFormat,
    /// What the driver said out of turn.
    pub faults: Arc<Faults>,
    /// The instance can number its presents.
    pub numbered: bool,
}

impl Gpu {
    /// A device without a window, for pictures that are read back.
    ///
    /// # Errors
    /// [`DisplayError::NoAdapter`], [`DisplayError::NoDevice`].
    pub fn offscreen() -> Result<Gpu, DisplayError> {
        let instance = instance(wgpu::Backends::VULKAN | wgpu::Backends::DX12);
        let adapter = adapter(&instance, None)?;
        Gpu::with(instance, adapter, false)
    }

    /// The same adapter opened again, after its device was lost.
    ///
    /// # Errors
    /// [`DisplayError::NoDevice`] while the driver does not answer.
    pub fn reopened(&self) -> Result<Gpu, DisplayError> {
        Gpu::with(self.instance.clone(), self.adapter.clone(), self.numbered)
    }

    /// Whether pictures are made by the processor.
    pub fn is_software(&self) -> bool {
        self.adapter.get_info().device_type == wgpu::DeviceType::Cpu
    }

    fn with(
        instance: wgpu::Instance,
        adapter: wgpu::Adapter,
        numbered: bool,
    ) -> Result<Gpu, DisplayError> {
        let limits = wgpu::Limits::downlevel_defaults().using_resolution(adapter.limits());
        let asked = wgpu::DeviceDescriptor {
            label: Some("tautline"),
            required_limits: limits,
            ..Default::default()
        };
        let opened = if numbered { with_numbers(&adapter, &asked) } else { None };
        let (device, queue) = match opened {
            Some(opened) => opened,
            None => pollster::block_on(adapter.request_device(&asked))
                .map_err(|source| DisplayError::NoDevice { source })?,
        };
        let faults = Arc::new(Faults::default());
        let told = Arc::clone(&faults);
        device.set_device_lost_callback(move |_, _| told.lost.store(true, Ordering::Release));
        let told = Arc::clone(&faults);
        // Without a handler the library would end the program in the middle of a session.
        device.on_uncaptured_error(Arc::new(move |_| {
            told.errors.fetch_add(1, Ordering::Relaxed);
        }));
        Ok(Gpu { instance, adapter, device, queue, format: FORMAT, faults, numbered })
    }
}

/// The device with numbered presents, where the driver opens one.
#[cfg(target_os = "linux")]
fn with_numbers(
    adapter: &wgpu::Adapter,
    asked: &wgpu::DeviceDescriptor<'_>,
) -> Option<(wgpu::Device, wgpu::Queue)> {
    super::vulkan::device(adapter, asked)
}

#[cfg(not(target_os = "linux"))]
fn with_numbers(
    _: &wgpu::Adapter,
    _: &wgpu::DeviceDescriptor<'_>,
) -> Option<(wgpu::Device, wgpu::Queue)> {
    None
}

fn instance(backends: wgpu::Backends) -> wgpu::Instance {
    let mut asked = wgpu::InstanceDescriptor::new_without_display_handle();
    asked.backends = backends;
    // Validation costs time a frame, and one check keeps DX12 from starting under wine.
    asked.flags = wgpu::InstanceFlags::empty();
    // The library waits for the swapchain's own word before it gives the next picture; with one
    // frame to queue at most, that is one frame in flight.
    asked.backend_options.dx12.latency_waitable_object =
        wgpu::Dx12UseFrameLatencyWaitableObject::Wait;
    wgpu::Instance::new(asked)
}

fn adapter(
    instance: &wgpu::Instance,
    surface: Option<&wgpu::Surface<'static>>,
) -> Result<wgpu::Adapter, DisplayError> {
    let asked = wgpu::RequestAdapterOptions {
        power_preference: wgpu::PowerPreference::HighPerformance,
        compatible_surface: surface,
        ..Default::default()
    };
    pollster::block_on(instance.request_adapter(&asked))
        .map_err(|source| DisplayError::NoAdapter { source })
}

/// Which windowing system the window lives in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WindowSystem {
    /// X11, native or by Xwayland.
    X11,
    /// Wayland.
    Wayland,
    /// Windows.
    Windows,
    /// Another one: only the estimate tells the time there.
    Other,
}

/// The window's size in physical pixels, told by the main thread and read by the stimulus thread.
#[derive(Debug, Default)]
pub struct WindowSize(AtomicU64);

impl WindowSize {
    /// Tells a new size.
    pub fn tell(&self, size: SizePx) {
        self.0.store(u64::from(size.width) << 32 | u64::from(size.height), Ordering::Release);
    }

    /// The size last told.
    pub fn read(&self) -> SizePx {
        let both = self.0.load(Ordering::Acquire);
        #[expect(clippy::cast_possible_truncation, reason = "two halves of one word")]
        SizePx { width: (both >> 32) as u32, height: both as u32 }
    }
}

/// A size in physical pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct SizePx {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

/// Where the window library keeps its Wayland connection and the window's surface.
///
/// Addresses, as numbers, so that they may go to the stimulus thread. They hold until the event
/// loop ends, which is after that thread has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaylandHandles {
    /// Address of the `wl_display`.
    pub display: usize,
    /// Address of the window's `wl_surface`.
    pub surface: usize,
}

/// What the presentation clocks need to know of the window.
#[derive(Debug, Clone)]
pub struct WindowHandles {
    /// The windowing system.
    pub system: WindowSystem,
    /// The X11 window's number.
    pub xid: Option<u32>,
    /// The Wayland window's surface and its connection.
    pub wayland: Option<WaylandHandles>,
    /// Its size; the main thread tells it at each change.
    pub size: Arc<WindowSize>,
    /// The DX12 window's swapchain.
    #[cfg(windows)]
    pub(super) swap_chain: Arc<super::dxgi::SwapChain>,
}

impl WindowHandles {
    fn of(
        window: &(impl HasWindowHandle + HasDisplayHandle),
    ) -> Result<WindowHandles, DisplayError> {
        let raw = window.window_handle().map_err(|source| DisplayError::NoHandle { source })?;
        let display =
            window.display_handle().map_err(|source| DisplayError::NoHandle { source })?;
        let (system, xid) = match raw.as_raw() {
            // Its width is that of C's `long`.
            #[cfg(target_os = "linux")]
            RawWindowHandle::Xlib(handle) => (WindowSystem::X11, u32::try_from(handle.window).ok()),
            RawWindowHandle::Xcb(handle) => (WindowSystem::X11, Some(handle.window.get())),
            RawWindowHandle::Wayland(_) => (WindowSystem::Wayland, None),
            RawWindowHandle::Win32(_) => (WindowSystem::Windows, None),
            _ => (WindowSystem::Other, None),
        };
        let wayland = match (display.as_raw(), raw.as_raw()) {
            (RawDisplayHandle::Wayland(display), RawWindowHandle::Wayland(window)) => {
                Some(WaylandHandles {
                    display: display.display.as_ptr().expose_provenance(),
                    surface: window.surface.as_ptr().expose_provenance(),
                })
            }
            _ => None,
        };
        Ok(WindowHandles {
            system,
            xid,
            wayland,
            size: Arc::default(),
            #[cfg(windows)]
            swap_chain: Arc::default(),
        })
    }

    /// Whether the window can be seen at all, as far as the system tells: a hidden window still
    /// takes pictures. Asks the server, so only when something is wrong.
    pub(super) fn viewable(&self) -> bool {
        #[cfg(target_os = "linux")]
        if let Some(xid) = self.xid {
            // A server that does not answer shows nothing either.
            return super::x11::viewable(xid).unwrap_or(false);
        }
        true
    }
}

/// The window's surface with its device and configuration.
#[derive(Debug)]
pub struct Stage {
    /// Before the window inside it goes, so must the surface: it is owned by it.
    pub surface: wgpu::Surface<'static>,
    /// The device.
    pub gpu: Arc<Gpu>,
    /// What was last configured.
    pub config: wgpu::SurfaceConfiguration,
    /// What the clocks need to know.
    pub window: WindowHandles,
    /// The mode that was granted.
    pub granted: PresentMode,
}

impl Stage {
    /// Opens device and surface for `window`, which the surface keeps alive. On the thread of the
    /// event loop.
    ///
    /// `size`: the window's, physical px.
    ///
    /// # Errors
    /// [`DisplayError`] when no driver can draw to this window.
    pub fn open<W>(window: Arc<W>, size: SizePx) -> Result<Stage, DisplayError>
    where
        W: HasWindowHandle + HasDisplayHandle + Send + Sync + 'static,
    {
        let handles = WindowHandles::of(&*window)?;
        handles.size.tell(size);
        // DX12 first on Windows: only it tells when a frame was seen.
        let order: &[wgpu::Backends] = if cfg!(windows) {
            &[wgpu::Backends::DX12, wgpu::Backends::VULKAN]
        } else if cfg!(target_os = "macos") {
            &[wgpu::Backends::METAL]
        } else {
            &[wgpu::Backends::VULKAN]
        };
        let mut refusal = None;
        for backends in order {
            let instance = instance(*backends);
            let surface = instance
                .create_surface(Arc::clone(&window))
                .map_err(|source| DisplayError::NoSurface { source })?;
            // An adapter that does not open is none.
            let opened = adapter(&instance, Some(&surface)).and_then(|adapter| {
                #[cfg(target_os = "linux")]
                if super::vulkan::offers_present_wait(&adapter)
                    && let Some(stage) = Stage::with_numbers(&window, &handles, size)
                {
                    return Ok(stage);
                }
                Stage::with(instance, adapter, surface, handles.clone(), size, false)
            });
            match opened {
                Ok(stage) => return Ok(stage),
                Err(error) => refusal = refusal.or(Some(error)),
            }
        }
        Err(refusal.expect("the order names at least one backend"))
    }

    /// With presents that bear numbers; where anything of that fails, the plain way is left.
    #[cfg(target_os = "linux")]
    fn with_numbers<W>(window: &Arc<W>, handles: &WindowHandles, size: SizePx) -> Option<Stage>
    where
        W: HasWindowHandle + HasDisplayHandle + Send + Sync + 'static,
    {
        let instance = super::vulkan::instance()?;
        let surface = instance.create_surface(Arc::clone(window)).ok()?;
        let adapter = adapter(&instance, Some(&surface)).ok()?;
        Stage::with(instance, adapter, surface, handles.clone(), size, true).ok()
    }

    fn with(
        instance: wgpu::Instance,
        adapter: wgpu::Adapter,
        surface: wgpu::Surface<'static>,
        window: WindowHandles,
        size: SizePx,
        numbered: bool,
    ) -> Result<Stage, DisplayError> {
        let offered = surface.get_capabilities(&adapter);
        if !offered.formats.contains(&FORMAT) {
            return Err(DisplayError::NoFormat);
        }
        let gpu = Arc::new(Gpu::with(instance, adapter, numbered)?);
        // Only there is another way to draw.
        if cfg!(windows) {
            pages::can_be_built(&gpu.device, FORMAT)
                .map_err(|detail| DisplayError::NoPages { detail })?;
        }
        let config = wgpu::SurfaceConfiguration {
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
            format: FORMAT,
            color_space: wgpu::SurfaceColorSpace::Auto,
            width: size.width.max(1),
            height: size.height.max(1),
            present_mode: wgpu::PresentMode::Fifo,
            // A wish; drivers keep three or more images. One frame in flight is our own doing.
            desired_maximum_frame_latency: 1,
            alpha_mode: wgpu::CompositeAlphaMode::Auto,
            view_formats: Vec::new(),
        };
        let mut stage = Stage { surface, gpu, config, window, granted: PresentMode::Fifo };
        stage.configure(size, PresentMode::Fifo);
        Ok(stage)
    }

    /// Makes the surface anew for `size` in `mode`, or in Fifo where the driver lacks it. Waits for
    /// the device to be idle: between blocks, and never while a picture is held.
    pub fn configure(&mut self, size: SizePx, mode: PresentMode) {
        let offered = self.surface.get_capabilities(&self.gpu.adapter);
        let has = offered.present_modes.contains(&mode.wgpu());
        self.granted = if has { mode } else { PresentMode::Fifo };
        self.config.present_mode = self.granted.wgpu();
        self.config.width = size.width.max(1);
        self.config.height = size.height.max(1);
        #[cfg(windows)]
        self.window.swap_chain.let_go();
        self.surface.configure(&self.gpu.device, &self.config);
        #[cfg(windows)]
        self.window.swap_chain.take_up(&self.surface);
    }

    /// Whether the driver offers a mode.
    pub(super) fn offers(&self, mode: PresentMode) -> bool {
        self.surface.get_capabilities(&self.gpu.adapter).present_modes.contains(&mode.wgpu())
    }

    /// The images of the swapchain: those of the wish for a short line, and what the driver made.
    pub(super) fn images(&self) -> Option<Images> {
        #[cfg(target_os = "linux")]
        {
            // One is shown while the others wait.
            let asked = self.config.desired_maximum_frame_latency + 1;
            super::vulkan::images(&self.surface, &self.gpu.device, asked)
        }
        #[cfg(not(target_os = "linux"))]
        None
    }

    /// The configured size, physical px.
    pub fn size(&self) -> SizePx {
        SizePx { width: self.config.width, height: self.config.height }
    }
}
