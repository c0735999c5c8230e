//! The graphics device and the surface of the window.

use crate::words::{Tell, Told};
use std::sync::Arc;
use winit::window::Window;

/// Why the display cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum DisplayError {
    /// No device.
    #[error("no graphics device can draw to the window: {detail}")]
    NoDevice {
        /// The library's own words.
        detail: String,
    },
}

impl Tell for DisplayError {
    fn tell(&self) -> Told {
        Told {
            what: self.to_string(),
            place: None,
            mend: "install a Vulkan driver (Debian: mesa-vulkan-drivers)".to_owned(),
        }
    }
}

/// The graphics device.
#[derive(Debug)]
pub struct Gpu {
    /// Instance.
    pub instance: wgpu::Instance,
    /// Adapter.
    pub adapter: wgpu::Adapter,
    /// Device.
    pub device: wgpu::Device,
    /// Queue.
    pub queue: wgpu::Queue,
    /// Format of the surface.
    pub format: wgpu::TextureFormat,
}

/// The surface with its device.
#[derive(Debug)]
pub struct Stage {
    /// The surface.
    pub surface: wgpu::Surface<'static>,
    /// Its device.
    pub gpu: Arc<Gpu>,
    /// How it is configured.
    pub config: wgpu::SurfaceConfiguration,
}

impl Stage {
    /// Opens the stage of `window`.
    ///
    /// # Errors
    /// No device.
    pub fn open(window: Arc<Window>) -> Result<Stage, DisplayError> {
        let told = |detail: String| DisplayError::NoDevice { detail };
        let size = window.inner_size();
        let mut descriptor = wgpu::InstanceDescriptor::new_without_display_handle();
        descriptor.backends = wgpu::Backends::VULKAN | wgpu::Backends::DX12;
        let instance = wgpu::Instance::new(descriptor);
        let surface = instance.create_surface(window).map_err(|e| told(e.to_string()))?;
        let adapter = pollster::block_on(instance.request_adapter(&wgpu::RequestAdapterOptions {
            compatible_surface: Some(&surface),
            ..Default::default()
        }))
        .map_err(|e| told(e.to_string()))?;
        let (device, queue) =
            pollster::block_on(adapter.request_device(&wgpu::DeviceDescriptor::default()))
                .map_err(|e| told(e.to_string()))?;
        let format = wgpu::TextureFormat::Bgra8Unorm;
        let config = surface
            .get_default_config(&adapter, size.width.max(1), size.height.max(1))
            .ok_or_else(|| told("unsupported".to_owned()))?;
        let config = wgpu::SurfaceConfiguration { format, ..config };
        let gpu = Arc::new(Gpu { instance, adapter, device, queue, format });
        Ok(Stage { surface, gpu, config })
    }
}
