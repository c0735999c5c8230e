//! Paints what egui has laid out into a PNG file, without a window.

use egui::{ClippedPrimitive, Context, FullOutput, TexturesDelta};
use std::path::Path;
use tautline::display::Gpu;

/// A graphics device, and the last frame.
pub(crate) struct Studio {
    gpu: Gpu,
    renderer: egui_wgpu::Renderer,
    jobs: Vec<egui::epaint::ClippedShape>,
}

impl Studio {
    pub(crate) fn open() -> Studio {
        let gpu = Gpu::offscreen().expect("a Vulkan driver; mesa-vulkan-drivers has one");
        let options = egui_wgpu::RendererOptions { dithering: false, ..Default::default() };
        let renderer = egui_wgpu::Renderer::new(&gpu.device, gpu.format, options);
        Studio { gpu, renderer, jobs: Vec::new() }
    }

    /// Keeps a frame: its textures are taken in, its shapes are the ones that are painted.
    #[expect(clippy::iter_over_hash_type, reason = "textures do not depend on one another")]
    pub(crate) fn keep(&mut self, output: FullOutput) {
        let FullOutput { mut textures_delta, shapes, .. } = output;
        for (id, deltas) in &textures_delta.set {
            for delta in deltas {
                self.renderer.update_texture(&self.gpu.device, &self.gpu.queue, *id, delta);
            }
        }
        TexturesDelta::clear(&mut textures_delta);
        self.jobs = shapes;
    }

    /// Paints the last frame.
    pub(crate) fn photograph(
        &mut self,
        context: &Context,
        [width, height]: [u32; 2],
        scale: f32,
        path: &Path,
    ) {
        let jobs = context.tessellate(std::mem::take(&mut self.jobs), scale);
        let bytes = self.draw(&jobs, [width, height], scale);
        let size = tiny_skia::IntSize::from_wh(width, height).expect("a size");
        let picture = tiny_skia::Pixmap::from_vec(bytes, size).expect("as many bytes");
        picture.save_png(path).expect("a folder that may be written");
    }

    /// Red, green, blue, opaque.
    fn draw(&mut self, jobs: &[ClippedPrimitive], size: [u32; 2], scale: f32) -> Vec<u8> {
        let Gpu { device, queue, .. } = &self.gpu;
        let [width, height] = size;
        let texture = device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size: wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: self.gpu.format,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        // The sizes here are whole multiples of the 256 bytes that a row must have.
        let row = width * 4;
        let buffer = device.create_buffer(&wgpu::BufferDescriptor {
            label: None,
            size: u64::from(row * height),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let screen = egui_wgpu::ScreenDescriptor { size_in_pixels: size, pixels_per_point: scale };
        let mut encoder = device.create_command_encoder(&Default::default());
        let first = self.renderer.update_buffers(device, queue, &mut encoder, jobs, &screen);
        let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
        {
            let attachment = wgpu::RenderPassColorAttachment {
                view: &view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                    store: wgpu::StoreOp::Store,
                },
            };
            let mut pass = encoder
                .begin_render_pass(&wgpu::RenderPassDescriptor {
                    color_attachments: &[Some(attachment)],
                    ..Default::default()
                })
                .forget_lifetime();
            self.renderer.render(&mut pass, jobs, &screen);
        }
        encoder.copy_texture_to_buffer(
            texture.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: 0,
                    bytes_per_row: Some(row),
                    rows_per_image: Some(height),
                },
            },
            texture.size(),
        );
        queue.submit(first.into_iter().chain([encoder.finish()]));
        buffer.slice(..).map_async(wgpu::MapMode::Read, |mapped| mapped.expect("mapped"));
        device.poll(wgpu::PollType::wait_indefinitely()).expect("drawn");
        let mut bytes = buffer.slice(..).get_mapped_range().expect("mapped").to_vec();
        buffer.unmap();
        for pixel in bytes.chunks_exact_mut(4) {
            // The device's format has blue first.
            pixel.swap(0, 2);
            pixel[3] = 255;
        }
        bytes
    }
}
