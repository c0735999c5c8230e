//! Whether a driver can build what the pages outside trials are drawn with: a picture that is sampled in a shader.
//!
//! Scenes need no sampler, so a driver may draw every trial and leave every page black. Asked once, before an
//! adapter is taken on a system that offers two ways to draw; the other way is tried then.
//!
//! Seen under wine 10: its compiler of DX12 shaders knows no array of samplers, which the graphics
//! library uses there.

/// A picture through a sampler, as letters are drawn.
const SHADER: &str = "
@group(0) @binding(0) var picture: texture_2d<f32>;
@group(0) @binding(1) var how: sampler;

@vertex fn place(@builtin(vertex_index) corner: u32) -> @builtin(position) vec4<f32> {
    return vec4<f32>(f32(corner & 1u), f32(corner >> 1u), 0.0, 1.0);
}

@fragment fn paint(@builtin(position) at: vec4<f32>) -> @location(0) vec4<f32> {
    return textureSample(picture, how, at.xy);
}
";

/// Builds such a pipeline and drops it.
///
/// # Errors
/// As the driver says it.
pub(super) fn can_be_built(
    device: &wgpu::Device,
    format: wgpu::TextureFormat,
) -> Result<(), String> {
    // The compiler's refusal comes as one or the other.
    let invalid = device.push_error_scope(wgpu::ErrorFilter::Validation);
    let internal = device.push_error_scope(wgpu::ErrorFilter::Internal);
    let module = device.create_shader_module(wgpu::ShaderModuleDescriptor {
        label: None,
        source: wgpu::ShaderSource::Wgsl(SHADER.into()),
    });
    let _dropped = device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: None,
        layout: None,
        vertex: wgpu::VertexState {
            module: &module,
            entry_point: Some("place"),
            buffers: &[],
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        },
        primitive: wgpu::PrimitiveState::default(),
        depth_stencil: None,
        multisample: wgpu::MultisampleState::default(),
        fragment: Some(wgpu::FragmentState {
            module: &module,
            entry_point: Some("paint"),
            targets: &[Some(format.into())],
            compilation_options: wgpu::PipelineCompilationOptions::default(),
        }),
        multiview_mask: None,
        cache: None,
    });
    let refused = [pollster::block_on(internal.pop()), pollster::block_on(invalid.pop())];
    match refused.into_iter().flatten().next() {
        None => Ok(()),
        Some(error) => Err(error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Gpu;
    use super::*;

    #[test]
    fn the_software_adapter_builds_it_and_a_format_that_cannot_be_drawn_to_is_told() {
        let gpu = Gpu::offscreen().expect("an adapter");
        assert_eq!(can_be_built(&gpu.device, gpu.format), Ok(()));
        // A picture of depths is no place for colours (WebGPU: a target's format must be renderable).
        assert!(can_be_built(&gpu.device, wgpu::TextureFormat::Depth32Float).is_err());
        assert_eq!(gpu.faults.errors(), 0);
    }
}
