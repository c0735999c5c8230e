//! Draws a scene into a picture: three small pipelines over buffers that are made once.
//!
//! It knows what a scene looks like and nothing of when it is shown. Invariant: drawing allocates
//! nothing of ours; the field is the clear colour, so that a picture costs what its marks cost.

use super::shapes::{self, INK_GREY, INSTANCE_FLOATS, Instance, MOST_INSTANCES};
use super::{DisplayError, Gpu, SizePx, glyphs};
use crate::scene::{FIELD_GREY, Notice, Place, Scene};

/// Cell of the dots' lattice: sparse enough to be calm, dense enough to show any movement.
const CELLS_ACROSS_HEIGHT: f64 = 9.0;
/// Letters' height as a share of the picture's.
const LETTER_SHARE: f64 = 0.036;
/// Where a notice stands, as a share of the height.
const NOTICE_AT_SHARE: f64 = 0.70;

const FRAME_BYTES: u64 = 32;
const LINE_BYTES: u64 = 32;
const INSTANCE_BYTES: u64 = INSTANCE_FLOATS as u64 * 4;

/// The small square by which frames of the clock check differ: one grey level, 12 px.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Patch {
    /// None: a stimulus frame.
    None,
    /// The field's own grey.
    Even,
    /// One level lighter.
    Odd,
}

/// Side of the patch, px: its area is well under the 16 x 16 px of the flash rule.
const PATCH_PX: f64 = 12.0;

/// Everything that is needed to draw a scene of one size.
#[derive(Debug)]
pub struct Renderer {
    size: SizePx,
    marks: wgpu::RenderPipeline,
    view: wgpu::RenderPipeline,
    notice: wgpu::RenderPipeline,
    frame: wgpu::Buffer,
    line: wgpu::Buffer,
    instances: wgpu::Buffer,
    frame_group: wgpu::BindGroup,
    notice_group: wgpu::BindGroup,
    strip: glyphs::Strip,
    bytes: [u8; MOST_INSTANCES * INSTANCE_FLOATS * 4],
}

impl Renderer {
    /// Compiles the shaders and draws the words for pictures of `size`.
    ///
    /// # Errors
    /// [`DisplayError::NoFont`].
    pub fn new(gpu: &Gpu, size: SizePx) -> Result<Renderer, DisplayError> {
        let device = &gpu.device;
        let strip = glyphs::strip(letter_px(size))?;
        let buffer = |label, size, usage| {
            device.create_buffer(&wgpu::BufferDescriptor {
                label: Some(label),
                size,
                usage: usage | wgpu::BufferUsages::COPY_DST,
                mapped_at_creation: false,
            })
        };
        let frame = buffer("frame", FRAME_BYTES, wgpu::BufferUsages::UNIFORM);
        let line = buffer("line", LINE_BYTES, wgpu::BufferUsages::UNIFORM);
        let most = INSTANCE_BYTES * MOST_INSTANCES as u64;
        let instances = buffer("instances", most, wgpu::BufferUsages::VERTEX);
        let frame_layout = layout(device, &[uniform_entry()]);
        let notice_layout = layout(device, &[uniform_entry(), texture_entry()]);
        let text = upload(gpu, &strip);
        let frame_group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("frame"),
            layout: &frame_layout,
            entries: &[entry(0, frame.as_entire_binding())],
        });
        let notice_group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("notice"),
            layout: &notice_layout,
            entries: &[
                entry(0, line.as_entire_binding()),
                entry(1, wgpu::BindingResource::TextureView(&text)),
            ],
        });
        let attributes = wgpu::vertex_attr_array![
            0 => Float32x2, 1 => Float32x2, 2 => Float32x4,
            3 => Float32, 4 => Float32, 5 => Float32, 6 => Float32
        ];
        let instance_layout = wgpu::VertexBufferLayout {
            array_stride: INSTANCE_BYTES,
            step_mode: wgpu::VertexStepMode::Instance,
            attributes: &attributes,
        };
        let marks = wgpu::include_wgsl!("../../shaders/marks.wgsl");
        let view = wgpu::include_wgsl!("../../shaders/view.wgsl");
        let notice = wgpu::include_wgsl!("../../shaders/notice.wgsl");
        Ok(Renderer {
            size,
            marks: pipeline(gpu, marks, &frame_layout, &[Some(instance_layout)]),
            view: pipeline(gpu, view, &frame_layout, &[]),
            notice: pipeline(gpu, notice, &notice_layout, &[]),
            frame,
            line,
            instances,
            frame_group,
            notice_group,
            strip,
            bytes: [0; MOST_INSTANCES * INSTANCE_FLOATS * 4],
        })
    }

    /// The size of the pictures it draws, px.
    pub fn size(&self) -> SizePx {
        self.size
    }

    /// Records and submits the drawing of `scene` into `target`; the index tells when it is done.
    pub fn draw(
        &mut self,
        gpu: &Gpu,
        target: &wgpu::TextureView,
        scene: &Scene,
        patch: Patch,
    ) -> wgpu::SubmissionIndex {
        self.draw_timed(gpu, target, scene, patch, None)
    }

    /// The same with the card's own stamps at both ends of the drawing, for a bench: the device
    /// must have been opened with the feature that they need.
    pub fn draw_timed(
        &mut self,
        gpu: &Gpu,
        target: &wgpu::TextureView,
        scene: &Scene,
        patch: Patch,
        timestamp_writes: Option<wgpu::RenderPassTimestampWrites<'_>>,
    ) -> wgpu::SubmissionIndex {
        let instances = self.write_marks(gpu, scene, patch);
        let cells = scene.view.map(|shift| self.write_frame(gpu, shift));
        if cells.is_none() {
            self.write_frame(gpu, Place::default());
        }
        if let Some(notice) = scene.notice {
            self.write_line(gpu, notice);
        }
        let mut encoder =
            gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor { label: None });
        {
            let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: None,
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: target,
                    resolve_target: None,
                    ops: wgpu::Operations {
                        load: wgpu::LoadOp::Clear(field()),
                        store: wgpu::StoreOp::Store,
                    },
                    depth_slice: None,
                })],
                timestamp_writes,
                ..Default::default()
            });
            pass.set_bind_group(0, &self.frame_group, &[]);
            if let Some(cells) = cells {
                pass.set_pipeline(&self.view);
                pass.draw(0..6, 0..cells);
            }
            if instances > 0 {
                pass.set_pipeline(&self.marks);
                pass.set_vertex_buffer(0, self.instances.slice(..));
                pass.draw(0..6, 0..instances);
            }
            if scene.notice.is_some() {
                pass.set_pipeline(&self.notice);
                pass.set_bind_group(0, &self.notice_group, &[]);
                pass.draw(0..6, 0..1);
            }
        }
        gpu.queue.submit([encoder.finish()])
    }

    fn write_marks(&mut self, gpu: &Gpu, scene: &Scene, patch: Patch) -> u32 {
        let corner = self.patch_corner();
        let mut count = 0;
        let mut put = |bytes: &mut [u8], instance: Instance| {
            let start = count as usize * INSTANCE_FLOATS * 4;
            for (slot, float) in bytes[start..].chunks_exact_mut(4).zip(instance.floats) {
                slot.copy_from_slice(&float.to_le_bytes());
            }
            count += 1;
        };
        for instance in shapes::instances(scene) {
            put(&mut self.bytes, instance);
        }
        if let Some(grey) = patch_grey(patch) {
            put(&mut self.bytes, shapes::patch(corner, PATCH_PX, grey));
        }
        if count > 0 {
            let used = count as usize * INSTANCE_FLOATS * 4;
            gpu.queue.write_buffer(&self.instances, 0, &self.bytes[..used]);
        }
        count
    }

    /// Upper left corner of the patch: whole pixels, in the middle.
    fn patch_corner(&self) -> Place {
        let middle = |extent: u32| (f64::from(extent) / 2.0 - PATCH_PX / 2.0).round();
        Place { x_px: middle(self.size.width), y_px: middle(self.size.height) }
    }

    fn write_frame(&self, gpu: &Gpu, shift: Place) -> u32 {
        let [width, height] = [f64::from(self.size.width), f64::from(self.size.height)];
        let cell_px = (height / CELLS_ACROSS_HEIGHT).max(24.0);
        // One cell beyond each edge, so that a dot glides in and out whole.
        let columns = (width / cell_px).ceil() + 2.0;
        let rows = (height / cell_px).ceil() + 2.0;
        // Half a side: 3 px at 720 lines, 6 px at 2160.
        let dot_px = (height / 480.0).max(1.5);
        let floats = [width, height, shift.x_px, shift.y_px, columns, rows, cell_px, dot_px];
        gpu.queue.write_buffer(&self.frame, 0, &uniform(floats));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few hundred"
        )]
        {
            (columns * rows) as u32
        }
    }

    fn write_line(&self, gpu: &Gpu, notice: Notice) {
        let row = glyphs::row(notice);
        let used_px = f64::from(self.strip.used_px[row as usize]);
        let [width, height] = [f64::from(self.size.width), f64::from(self.size.height)];
        let left = ((width - used_px) / 2.0).round();
        let top = (height * NOTICE_AT_SHARE).round();
        let row_px = f64::from(self.strip.row_px);
        let first_line = f64::from(row) * row_px;
        let floats = [width, height, left, top, used_px, row_px, first_line, INK_GREY];
        gpu.queue.write_buffer(&self.line, 0, &uniform(floats));
    }
}

fn patch_grey(patch: Patch) -> Option<f64> {
    match patch {
        Patch::None => None,
        // The field lies half way between two of the 256 levels, and drivers round halves either
        // way: a little more is the upper one, the same everywhere.
        Patch::Even => Some(FIELD_GREY + 0.2 / 255.0),
        Patch::Odd => Some(FIELD_GREY + 1.2 / 255.0),
    }
}

fn field() -> wgpu::Color {
    wgpu::Color { r: FIELD_GREY, g: FIELD_GREY, b: FIELD_GREY, a: 1.0 }
}

#[expect(clippy::cast_possible_truncation, reason = "a letter's height")]
fn letter_px(size: SizePx) -> f32 {
    (f64::from(size.height) * LETTER_SHARE).clamp(14.0, 96.0).round() as f32
}

#[expect(clippy::cast_possible_truncation, reason = "pixels, as the shader has them")]
fn uniform(floats: [f64; 8]) -> [u8; 32] {
    let mut bytes = [0; 32];
    for (slot, float) in bytes.chunks_exact_mut(4).zip(floats) {
        slot.copy_from_slice(&(float as f32).to_le_bytes());
    }
    bytes
}

fn upload(gpu: &Gpu, strip: &glyphs::Strip) -> wgpu::TextureView {
    let lines = u32::try_from(strip.coverage.len()).expect("a small strip") / strip.width_px;
    let size = wgpu::Extent3d { width: strip.width_px, height: lines, depth_or_array_layers: 1 };
    let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("words"),
        size,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: wgpu::TextureFormat::R8Unorm,
        usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
        view_formats: &[],
    });
    gpu.queue.write_texture(
        texture.as_image_copy(),
        &strip.coverage,
        wgpu::TexelCopyBufferLayout {
            offset: 0,
            bytes_per_row: Some(strip.width_px),
            rows_per_image: Some(lines),
        },
        size,
    );
    texture.create_view(&wgpu::TextureViewDescriptor::default())
}

fn entry(binding: u32, resource: wgpu::BindingResource<'_>) -> wgpu::BindGroupEntry<'_> {
    wgpu::BindGroupEntry { binding, resource }
}

fn layout(device: &wgpu::Device, entries: &[wgpu::BindGroupLayoutEntry]) -> wgpu::BindGroupLayout {
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor { label: None, entries })
}

fn uniform_entry() -> wgpu::BindGroupLayoutEntry {
    wgpu::BindGroupLayoutEntry {
        binding: 0,
        visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
        ty: wgpu::BindingType::Buffer {
            ty: wgpu::BufferBindingType::Uniform,
            has_dynamic_offset: false,
            min_binding_size: None,
        },
        count: None,
    }
}

fn texture_entry() -> wgpu::BindGroupLayoutEntry {
    wgpu::BindGroupLayoutEntry {
        binding: 1,
        visibility: wgpu::ShaderStages::FRAGMENT,
        ty: wgpu::BindingType::Texture {
            sample_type: wgpu::TextureSampleType::Float { filterable: false },
            view_dimension: wgpu::TextureViewDimension::D2,
            multisampled: false,
        },
        count: None,
    }
}

fn pipeline(
    gpu: &Gpu,
    shader: wgpu::ShaderModuleDescriptor<'_>,
    layout: &wgpu::BindGroupLayout,
    buffers: &[Option<wgpu::VertexBufferLayout<'_>>],
) -> wgpu::RenderPipeline {
    let module = gpu.device.create_shader_module(shader);
    let layout = gpu.device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
        label: None,
        bind_group_layouts: &[Some(layout)],
        immediate_size: 0,
    });
    gpu.device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: None,
        layout: Some(&layout),
        vertex: wgpu::VertexState {
            module: &module,
            entry_point: Some("place"),
            buffers,
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        },
        primitive: wgpu::PrimitiveState::default(),
        depth_stencil: None,
        multisample: wgpu::MultisampleState::default(),
        fragment: Some(wgpu::FragmentState {
            module: &module,
            entry_point: Some("paint"),
            targets: &[Some(wgpu::ColorTargetState {
                format: gpu.format,
                blend: Some(wgpu::BlendState::ALPHA_BLENDING),
                write_mask: wgpu::ColorWrites::ALL,
            })],
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        }),
        multiview_mask: None,
        cache: None,
    })
}
