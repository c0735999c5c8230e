//! The two pictures that are presented in turn, as the program draws them, read back.

use tautline::display::{Gpu, Patch, Renderer, SizePx};
use tautline::scene::{Canvas, Mark, Marks, Scene, SceneId, Side};

/// Size of the window, px; its rows are whole multiples of the 256 bytes that reading back needs.
pub(crate) const SIZE: SizePx = SizePx { width: 320, height: 240 };

/// Blue, green, red, nothing: as a server of this byte order wants them.
pub(crate) struct Pictures {
    pub(crate) field: Vec<u8>,
    pub(crate) target: Vec<u8>,
}

/// The empty field and the target in its middle.
pub(crate) fn draw(gpu: &Gpu) -> Pictures {
    let canvas =
        Canvas { width_px: SIZE.width, height_px: SIZE.height, px_per_mm: None, rate_hz: 60.0 };
    let mark =
        Mark::Target { at: canvas.centre(), size_px: 80.0, notch: Side::Up, contrast_share: 1.0 };
    let scene = |marks: &[Mark]| Scene { marks: Marks::of(marks), ..Scene::empty(SceneId(1)) };
    let mut renderer = Renderer::new(gpu, SIZE).expect("the built-in font");
    Pictures {
        field: read_back(gpu, &mut renderer, &scene(&[])),
        target: read_back(gpu, &mut renderer, &scene(&[mark])),
    }
}

fn read_back(gpu: &Gpu, renderer: &mut Renderer, scene: &Scene) -> Vec<u8> {
    let size = wgpu::Extent3d { width: SIZE.width, height: SIZE.height, depth_or_array_layers: 1 };
    let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: None,
        size,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: gpu.format,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
        view_formats: &[],
    });
    let buffer = gpu.device.create_buffer(&wgpu::BufferDescriptor {
        label: None,
        size: u64::from(SIZE.width * SIZE.height * 4),
        usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
        mapped_at_creation: false,
    });
    let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
    renderer.draw(gpu, &view, scene, Patch::None);
    let mut encoder = gpu.device.create_command_encoder(&Default::default());
    let layout = wgpu::TexelCopyBufferLayout {
        offset: 0,
        bytes_per_row: Some(SIZE.width * 4),
        rows_per_image: Some(SIZE.height),
    };
    let into = wgpu::TexelCopyBufferInfo { buffer: &buffer, layout };
    encoder.copy_texture_to_buffer(texture.as_image_copy(), into, size);
    gpu.queue.submit([encoder.finish()]);
    buffer.slice(..).map_async(wgpu::MapMode::Read, |mapped| mapped.expect("mapped"));
    gpu.device.poll(wgpu::PollType::wait_indefinitely()).expect("drawn");
    let bytes = buffer.slice(..).get_mapped_range().expect("mapped").to_vec();
    buffer.unmap();
    bytes
}
