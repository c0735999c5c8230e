//! One picture, from the surface to the driver's hands.
//!
//! The only place that takes a picture from the surface. It can block: a driver may hold the
//! acquire for up to a second when the window is covered or the screen sleeps.

use super::renderer::Patch;
use super::{Renderer, Stage};
use crate::clock;
use crate::scene::Scene;
use crate::units::Nanos;

/// A picture that the driver has.
#[derive(Debug, Clone)]
pub(super) struct Handed {
    /// Before the surface was asked for a picture.
    pub(super) started: Nanos,
    /// The surface had given a picture.
    pub(super) acquired: Nanos,
    /// After the present call.
    pub(super) presented: Nanos,
    /// The surface asks to be configured anew soon.
    pub(super) suboptimal: bool,
}

/// Why the surface gave no picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoPicture {
    /// The driver held the call until its limit.
    Timeout,
    /// Nothing of the window is to be seen.
    Occluded,
    /// The window changed: configure anew.
    Outdated,
    /// The surface or its device is gone.
    Lost,
}

/// Draws `scene` and presents it. `arm` is called between the submit and the present call with the
/// submission and the moment.
pub(super) fn hand_over(
    stage: &Stage,
    renderer: &mut Renderer,
    scene: &Scene,
    patch: Patch,
    arm: impl FnOnce(wgpu::SubmissionIndex, Nanos),
) -> Result<Handed, NoPicture> {
    use wgpu::CurrentSurfaceTexture as Current;
    let started = clock::now();
    if stage.gpu.faults.lost() {
        return Err(NoPicture::Lost);
    }
    let (picture, suboptimal) = match stage.surface.get_current_texture() {
        Current::Success(picture) => (picture, false),
        Current::Suboptimal(picture) => (picture, true),
        Current::Timeout => return Err(NoPicture::Timeout),
        Current::Occluded => return Err(NoPicture::Occluded),
        Current::Outdated => return Err(NoPicture::Outdated),
        Current::Lost | Current::Validation => return Err(NoPicture::Lost),
    };
    let acquired = clock::now();
    let view = picture.texture.create_view(&wgpu::TextureViewDescriptor::default());
    let submission = renderer.draw(&stage.gpu, &view, scene, patch);
    arm(submission, clock::now());
    stage.gpu.queue.present(picture);
    Ok(Handed { started, acquired, presented: clock::now(), suboptimal })
}
