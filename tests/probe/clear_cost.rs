//! What the driver's own clear of a picture costs, without anything of this program: so that the
//! cost of a frame can be split into the card's part and ours, and a choice of ours (format, uses,
//! grey, where the stamps stand) be seen if it is dear.

use tautline::display::{Gpu, SizePx};

/// Features that these rows need beyond stamps at the ends of a pass.
pub(crate) const WANTED: wgpu::Features =
    wgpu::Features::TIMESTAMP_QUERY_INSIDE_ENCODERS.union(wgpu::Features::CLEAR_TEXTURE);
/// Much like the program's field: a grey costs the same as another.
const GREY: wgpu::Color = wgpu::Color { r: 0.5, g: 0.5, b: 0.5, a: 1.0 };

/// One way to fill a picture.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// A pass with a clear and nothing else.
    Clear(wgpu::Color),
    /// A pass that keeps what is there: what the stamps and the pass themselves cost.
    Keep,
    /// The library's clearing of a texture to zeros.
    Zeros,
    /// As many bytes in a buffer.
    Buffer,
}

/// Where the stamps stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stamps {
    /// At the two ends of the pass, as the program's pictures are timed.
    InPass,
    /// Before and after it, in the list of commands.
    Around,
}

/// A way with its picture.
#[derive(Debug)]
pub(crate) struct Fill {
    /// For the table.
    pub(crate) name: &'static str,
    way: Way,
    stamps: Stamps,
    texture: wgpu::Texture,
    view: wgpu::TextureView,
    buffer: Option<wgpu::Buffer>,
}

/// All ways that this device can go.
pub(crate) fn fills(gpu: &Gpu, size: SizePx) -> Vec<Fill> {
    use wgpu::TextureFormat::{Bgra8UnormSrgb, Rgba8Unorm, Rgba16Float};
    use wgpu::TextureUsages as Uses;
    let drawn = Uses::RENDER_ATTACHMENT;
    let clear = Way::Clear(GREY);
    let black = Way::Clear(wgpu::Color::BLACK);
    let (inside, around) = (Stamps::InPass, Stamps::Around);
    let mut rows = vec![
        ("bare clear, as the program's", clear, inside, gpu.format, drawn),
        ("bare clear, stamps around the pass", clear, around, gpu.format, drawn),
        ("bare clear to black", black, inside, gpu.format, drawn),
        ("bare clear, RGBA order", clear, inside, Rgba8Unorm, drawn),
        ("bare clear, sRGB", clear, inside, Bgra8UnormSrgb, drawn),
        ("bare clear, 16 bit floats (twice the bytes)", clear, inside, Rgba16Float, drawn),
        (
            "bare clear, texture with every use",
            clear,
            inside,
            gpu.format,
            drawn | Uses::TEXTURE_BINDING | Uses::COPY_SRC | Uses::COPY_DST,
        ),
        ("empty pass: nothing cleared or drawn", Way::Keep, inside, gpu.format, drawn),
    ];
    let features = gpu.device.features();
    let own_stamps = features.contains(wgpu::Features::TIMESTAMP_QUERY_INSIDE_ENCODERS);
    rows.retain(|row| own_stamps || row.2 == Stamps::InPass);
    if own_stamps && features.contains(wgpu::Features::CLEAR_TEXTURE) {
        let uses = drawn | Uses::COPY_DST;
        rows.push(("texture cleared to zeros, no pass", Way::Zeros, around, gpu.format, uses));
    }
    if own_stamps {
        rows.push(("as many bytes zeroed in a buffer", Way::Buffer, around, gpu.format, drawn));
    }
    rows.into_iter()
        .map(|(name, way, stamps, format, usage)| {
            let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
                label: Some(name),
                size: wgpu::Extent3d {
                    width: size.width,
                    height: size.height,
                    depth_or_array_layers: 1,
                },
                mip_level_count: 1,
                sample_count: 1,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage,
                view_formats: &[],
            });
            let bytes = u64::from(size.width) * u64::from(size.height) * 4;
            let buffer = matches!(way, Way::Buffer).then(|| {
                gpu.device.create_buffer(&wgpu::BufferDescriptor {
                    label: Some(name),
                    size: bytes,
                    usage: wgpu::BufferUsages::COPY_DST,
                    mapped_at_creation: false,
                })
            });
            let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
            Fill { name, way, stamps, texture, view, buffer }
        })
        .collect()
}

impl Fill {
    /// Fills the picture once. `stamps`: where the card's two stamps go, if it is timed.
    pub(crate) fn run(&self, gpu: &Gpu, stamps: Option<&wgpu::QuerySet>) {
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        let around = stamps.filter(|_| self.stamps == Stamps::Around);
        if let Some(set) = around {
            encoder.write_timestamp(set, 0);
        }
        let load = match (self.way, &self.buffer) {
            (Way::Clear(grey), _) => Some(wgpu::LoadOp::Clear(grey)),
            (Way::Keep, _) => Some(wgpu::LoadOp::Load),
            (Way::Buffer, Some(buffer)) => {
                encoder.clear_buffer(buffer, 0, None);
                None
            }
            (Way::Zeros | Way::Buffer, _) => {
                encoder.clear_texture(&self.texture, &wgpu::ImageSubresourceRange::default());
                None
            }
        };
        if let Some(load) = load {
            let inside = stamps.filter(|_| self.stamps == Stamps::InPass);
            drop(encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: None,
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: &self.view,
                    resolve_target: None,
                    ops: wgpu::Operations { load, store: wgpu::StoreOp::Store },
                    depth_slice: None,
                })],
                timestamp_writes: inside.map(|query_set| wgpu::RenderPassTimestampWrites {
                    query_set,
                    beginning_of_pass_write_index: Some(0),
                    end_of_pass_write_index: Some(1),
                }),
                ..Default::default()
            }));
        }
        if let Some(set) = around {
            encoder.write_timestamp(set, 1);
        }
        gpu.queue.submit([encoder.finish()]);
    }
}
