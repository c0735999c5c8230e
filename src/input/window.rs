//! The last resort: what the window library passes on, stamped when the event loop gets to it.
//!
//! Coarse, and says so. Knows no window: whoever runs the event loop calls [`WindowFeed`]. It cannot
//! tell two mice apart, and its motion is in pixels after pointer acceleration.

use super::lane::LaneIn;
use super::{InputEvent, Priority};
use crate::clock;
use crate::units::{Button, DeviceId, Span, Stamp, StampSource};

/// An event waits in the loop for up to a frame of 60 Hz (whatever the loop is busy with): 16.7 ms / √12.
pub const WINDOW_SD: Span = Span(4_800_000);

/// Steps to a pixel: a scaled desktop moves the pointer by parts of one.
pub const PIXEL_STEPS: u16 = 256;

/// The window loop's end of the fallback source. Stamps are taken inside these calls, so call them
/// straight from the event handler, and [`WindowFeed::idle`] before each wait.
#[derive(Debug)]
pub struct WindowFeed {
    lane: LaneIn,
    device: DeviceId,
    left_x: f64,
    left_y: f64,
}

impl WindowFeed {
    pub(crate) fn new(lane: LaneIn, device: DeviceId) -> WindowFeed {
        lane.set_priority(Priority::NotAttempted);
        WindowFeed { lane, device, left_x: 0.0, left_y: 0.0 }
    }

    fn push(&mut self, event: impl FnOnce(DeviceId, Stamp) -> InputEvent) {
        let t = clock::now();
        let stamp = Stamp { t, source: StampSource::Window, sd: WINDOW_SD };
        self.lane.offer(event(self.device, stamp));
        self.lane.settle(t);
    }

    /// A button went down.
    pub fn press(&mut self, button: Button) {
        self.push(|device, stamp| InputEvent::Press { device, button, stamp });
    }

    /// A button came up.
    pub fn release(&mut self, button: Button) {
        self.push(|device, stamp| InputEvent::Release { device, button, stamp });
    }

    /// The pointer moved by this much, px, right and down; parts of a step are carried over.
    pub fn motion(&mut self, dx_px: f64, dy_px: f64) {
        let dx = whole_steps(&mut self.left_x, dx_px);
        let dy = whole_steps(&mut self.left_y, dy_px);
        if dx != 0 || dy != 0 {
            self.push(|device, stamp| InputEvent::Motion { device, dx, dy, stamp });
        }
    }

    /// Everything that came so far was passed on. Call it at least each 20 ms.
    pub fn idle(&mut self) {
        self.lane.settle(clock::now());
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a float to int cast saturates")]
fn whole_steps(left: &mut f64, px: f64) -> i32 {
    let steps = *left + px * f64::from(PIXEL_STEPS);
    let whole = steps.trunc();
    *left = steps - whole;
    whole as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_a_step_are_carried_over() {
        let mut left = 0.0;
        let steps: Vec<i32> = (0..3).map(|_| whole_steps(&mut left, 1.0 / 768.0)).collect();
        assert_eq!(steps.iter().sum::<i32>(), 1);
        assert_eq!(whole_steps(&mut left, -2.0), -512);
    }
}
