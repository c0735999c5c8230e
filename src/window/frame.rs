//! One egui frame on a lent surface: window events in, a drawn screen and its reply out.
//!
//! Uses the stage's own device, so nothing is shared across threads while a block runs. Draws only
//! when asked; between events it does nothing.

use super::place;
use super::screens::{Reply, Screens};
use crate::clock;
use crate::display::{Gpu, PresentMode, Stage};
use egui::ViewportId;
use egui_winit::accesskit_winit;
use std::sync::Arc;
use std::time::Duration;
use winit::event::WindowEvent;
use winit::window::Window;

/// How long to wait before a surface that could not be drawn to is tried again.
pub(super) const TRY_AGAIN: Duration = Duration::from_millis(100);

/// What drawing once came to.
#[derive(Debug)]
pub(super) struct Drawn {
    /// The screen's reply, which ends it.
    pub(super) reply: Option<Reply>,
    /// When it wants to be drawn again by itself, if ever.
    pub(super) again_in: Option<Duration>,
}

/// egui bound to one window and one graphics device.
pub(super) struct Frame {
    gpu: Arc<Gpu>,
    state: egui_winit::State,
    renderer: egui_wgpu::Renderer,
}

impl Frame {
    /// Binds egui to `window` and to the device of `stage`; `reader` tells a screen reader.
    pub(super) fn new(
        window: &Window,
        gpu: &Arc<Gpu>,
        reader: Option<accesskit_winit::Adapter>,
    ) -> Frame {
        let context = egui::Context::default();
        let most_side = usize::try_from(gpu.device.limits().max_texture_dimension_2d)
            .expect("a texture's side fits in usize");
        #[expect(clippy::cast_possible_truncation, reason = "a scale is a small number")]
        let scale = window.scale_factor() as f32;
        let mut state = egui_winit::State::new(
            context,
            ViewportId::ROOT,
            window,
            Some(scale),
            None,
            Some(most_side),
        );
        state.accesskit = reader;
        // Dithering would make a flat grey uneven.
        let options = egui_wgpu::RendererOptions { dithering: false, ..Default::default() };
        let renderer = egui_wgpu::Renderer::new(&gpu.device, gpu.format, options);
        Frame { gpu: Arc::clone(gpu), state, renderer }
    }

    /// Takes in what a screen reader asks.
    pub(super) fn hear_reader(&mut self, event: accesskit_winit::WindowEvent) {
        match event {
            accesskit_winit::WindowEvent::InitialTreeRequested => {
                self.state.egui_ctx().enable_accesskit();
            }
            accesskit_winit::WindowEvent::ActionRequested(request) => {
                self.state.on_accesskit_action_request(request);
            }
            accesskit_winit::WindowEvent::AccessibilityDeactivated => {
                self.state.egui_ctx().disable_accesskit();
            }
        }
    }

    /// The way to the screen reader, when this frame is given up.
    pub(super) fn into_reader(self) -> Option<accesskit_winit::Adapter> {
        self.state.accesskit
    }

    /// Whether it is bound to this device, and the device is there.
    pub(super) fn serves(&self, gpu: &Arc<Gpu>) -> bool {
        Arc::ptr_eq(&self.gpu, gpu) && !gpu.faults.lost()
    }

    /// Takes over `stage` for a screen: configures it, and forgets keys held down since.
    pub(super) fn take_over(&mut self, window: &Window, stage: &mut Stage) {
        configure(window, stage);
        let input = self.state.egui_input_mut();
        input.events.clear();
        // egui heard nothing during the block: a key released there would count as still held.
        input.events.push(egui::Event::WindowFocused(false));
        input.events.push(egui::Event::WindowFocused(true));
        input.events.push(egui::Event::PointerGone);
        input.focused = window.has_focus();
    }

    /// Passes a window event to egui; whether it wants to be drawn.
    pub(super) fn hear(&mut self, window: &Window, event: &WindowEvent) -> bool {
        self.state.on_window_event(window, event).repaint
    }

    /// Draws the screen once.
    #[expect(clippy::iter_over_hash_type, reason = "textures do not depend on one another")]
    pub(super) fn draw(
        &mut self,
        window: &Window,
        stage: &mut Stage,
        screens: &mut dyn Screens,
    ) -> Drawn {
        let input = self.state.take_egui_input(window);
        let context = self.state.egui_ctx().clone();
        let now = clock::now();
        let mut reply = None;
        let output = context.run_ui(input, |ui| {
            // egui may run a second pass to settle the layout; the first reply stands.
            let said = screens.show(ui, now);
            if reply.is_none() {
                reply = said;
            }
        });
        self.state.handle_platform_output(window, output.platform_output);
        if let Some(root) = output.viewport_output.get(&ViewportId::ROOT) {
            for command in &root.commands {
                if let egui::ViewportCommand::Title(title) = command {
                    window.set_title(title);
                }
            }
        }
        let again_in = output.viewport_output.get(&ViewportId::ROOT).map(|root| root.repaint_delay);
        let jobs = context.tessellate(output.shapes, output.pixels_per_point);
        let mut textures = output.textures_delta;
        for (id, deltas) in &textures.set {
            for delta in deltas {
                self.renderer.update_texture(&self.gpu.device, &self.gpu.queue, *id, delta);
            }
        }
        let shown = reply.is_some() || self.paint(window, stage, &jobs, output.pixels_per_point);
        for id in &textures.free {
            self.renderer.free_texture(id);
        }
        textures.clear();
        let again_in = if shown { again_in } else { Some(TRY_AGAIN) };
        // egui says "never" by the longest duration.
        Drawn { reply, again_in: again_in.filter(|delay| *delay < Duration::MAX) }
    }

    /// Whether the picture reached the surface.
    fn paint(
        &mut self,
        window: &Window,
        stage: &mut Stage,
        jobs: &[egui::ClippedPrimitive],
        pixels_per_point: f32,
    ) -> bool {
        use wgpu::CurrentSurfaceTexture::{
            Lost, Occluded, Outdated, Suboptimal, Success, Timeout, Validation,
        };
        let mut texture = stage.surface.get_current_texture();
        if matches!(texture, Outdated | Lost) {
            configure(window, stage);
            texture = stage.surface.get_current_texture();
        }
        let texture = match texture {
            Success(texture) | Suboptimal(texture) => texture,
            Timeout | Occluded | Outdated | Lost | Validation => return false,
        };
        let Gpu { device, queue, .. } = &*self.gpu;
        let screen = egui_wgpu::ScreenDescriptor {
            size_in_pixels: [texture.texture.width(), texture.texture.height()],
            pixels_per_point,
        };
        let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let first = self.renderer.update_buffers(device, queue, &mut encoder, jobs, &screen);
        let view = texture.texture.create_view(&wgpu::TextureViewDescriptor::default());
        {
            let mut pass = encoder
                .begin_render_pass(&wgpu::RenderPassDescriptor {
                    label: Some("untimed screen"),
                    color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                        view: &view,
                        depth_slice: None,
                        resolve_target: None,
                        ops: wgpu::Operations {
                            load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                            store: wgpu::StoreOp::Store,
                        },
                    })],
                    ..Default::default()
                })
                .forget_lifetime();
            self.renderer.render(&mut pass, jobs, &screen);
        }
        queue.submit(first.into_iter().chain([encoder.finish()]));
        window.pre_present_notify();
        queue.present(texture);
        true
    }
}

/// Configures the stage for a screen: the window's size now, and a mode that every system has.
pub(super) fn configure(window: &Window, stage: &mut Stage) {
    stage.configure(place::size(window), PresentMode::Fifo);
}
