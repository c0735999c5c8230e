//! A grey field and one lozenge on it, drawn as in any first wgpu program.

use std::sync::Arc;
use tautline::scene::{FIELD_GREY, TARGET_RGB};
use wgpu::CurrentSurfaceTexture::{Suboptimal, Success};
use winit::dpi::PhysicalSize;
use winit::window::Window;

/// Contrast of the target: that of the protocol which the program plays beside it.
const CONTRAST_SHARE: f64 = 0.6;
/// Corner to corner, px: 20 mm at 96 px an inch.
const SIZE_PX: f64 = 75.6;

/// A surface and what draws on it.
pub(crate) struct Picture {
    surface: wgpu::Surface<'static>,
    config: wgpu::SurfaceConfiguration,
    device: wgpu::Device,
    queue: wgpu::Queue,
    pipeline: wgpu::RenderPipeline,
}

impl Picture {
    pub(crate) fn new(window: Arc<Window>) -> Picture {
        let size = window.inner_size();
        let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle());
        let surface = instance.create_surface(window).expect("the window can be drawn on");
        let options = wgpu::RequestAdapterOptions {
            compatible_surface: Some(&surface),
            ..wgpu::RequestAdapterOptions::default()
        };
        let adapter = pollster::block_on(instance.request_adapter(&options)).expect("an adapter");
        let device = adapter.request_device(&wgpu::DeviceDescriptor::default());
        let (device, queue) = pollster::block_on(device).expect("a device");
        let mut config = surface
            .get_default_config(&adapter, size.width.max(1), size.height.max(1))
            .expect("the adapter draws on this surface");
        // Colours are given as the screen has them.
        config.format = config.format.remove_srgb_suffix();
        surface.configure(&device, &config);
        let pipeline = pipeline(&device, &config);
        Picture { surface, config, device, queue, pipeline }
    }

    pub(crate) fn resize(&mut self, size: PhysicalSize<u32>) {
        (self.config.width, self.config.height) = (size.width.max(1), size.height.max(1));
        self.surface.configure(&self.device, &self.config);
        self.pipeline = pipeline(&self.device, &self.config);
    }

    /// Draws a frame; whether it was handed over.
    pub(crate) fn draw(&mut self, target: bool) -> bool {
        let (Success(frame) | Suboptimal(frame)) = self.surface.get_current_texture() else {
            self.surface.configure(&self.device, &self.config);
            return false;
        };
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let mut encoder =
            self.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let field = wgpu::Color { r: FIELD_GREY, g: FIELD_GREY, b: FIELD_GREY, a: 1.0 };
        let ops =
            wgpu::Operations { load: wgpu::LoadOp::Clear(field), store: wgpu::StoreOp::Store };
        let attachment = wgpu::RenderPassColorAttachment {
            view: &view,
            depth_slice: None,
            resolve_target: None,
            ops,
        };
        {
            let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                color_attachments: &[Some(attachment)],
                ..wgpu::RenderPassDescriptor::default()
            });
            if target {
                pass.set_pipeline(&self.pipeline);
                pass.draw(0..6, 0..1);
            }
        }
        self.queue.submit([encoder.finish()]);
        self.queue.present(frame);
        true
    }
}

fn pipeline(device: &wgpu::Device, config: &wgpu::SurfaceConfiguration) -> wgpu::RenderPipeline {
    let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
        label: None,
        source: wgpu::ShaderSource::Wgsl(shader(config).into()),
    });
    device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: None,
        layout: None,
        vertex: wgpu::VertexState {
            module: &module,
            entry_point: None,
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            buffers: &[],
        },
        primitive: wgpu::PrimitiveState::default(),
        depth_stencil: None,
        multisample: wgpu::MultisampleState::default(),
        fragment: Some(wgpu::FragmentState {
            module: &module,
            entry_point: None,
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            targets: &[Some(config.format.into())],
        }),
        multiview_mask: None,
        cache: None,
    })
}

fn shader(config: &wgpu::SurfaceConfiguration) -> String {
    let x = SIZE_PX / f64::from(config.width);
    let y = SIZE_PX / f64::from(config.height);
    let [r, g, b] = TARGET_RGB.map(|part| FIELD_GREY + CONTRAST_SHARE * (part - FIELD_GREY));
    format!(
        "@vertex fn corner(@builtin(vertex_index) i: u32) -> @builtin(position) vec4f {{
            var at = array<vec2f, 6>(
                vec2f(-{x}, 0.0), vec2f(0.0, -{y}), vec2f({x}, 0.0),
                vec2f(-{x}, 0.0), vec2f({x}, 0.0), vec2f(0.0, {y}));
            return vec4f(at[i], 0.0, 1.0);
        }}
        @fragment fn colour() -> @location(0) vec4f {{ return vec4f({r}, {g}, {b}, 1.0); }}"
    )
}
