//! Whether a frame's drawing is done: asked of the graphics library, which rings no bell.

use super::Armed;
use crate::display::Gpu;

/// Whether everything submitted for the frame is done by now. Does not wait.
pub(super) fn is_drawn(gpu: &Gpu, armed: &Armed) -> bool {
    let asked = wgpu::PollType::Wait {
        submission_index: Some(armed.submission.clone()),
        timeout: Some(std::time::Duration::ZERO),
    };
    gpu.device.poll(asked).is_ok()
}
