//! What the devices of a session have told of themselves.

use super::event::{Begin, Device};
use crate::scene::Place;
use crate::units::{DeviceId, MotionUnit, Span};

/// The device table.
#[derive(Debug, Clone, Default)]
pub(super) struct Devices(Vec<Device>);

impl Devices {
    /// Adds a device, or replaces what was known of it.
    pub(super) fn learn(&mut self, device: &Device) {
        match self.0.iter_mut().find(|known| known.id == device.id) {
            Some(known) => known.clone_from(device),
            None => self.0.push(device.clone()),
        }
    }

    fn find(&self, id: DeviceId) -> Option<&Device> {
        self.0.iter().find(|device| device.id == id)
    }

    /// The interval between a device's reports, where measured.
    pub(super) fn report_interval(&self, id: DeviceId) -> Option<Span> {
        self.find(id).and_then(|device| device.report_interval)
    }

    /// What motion means on a device.
    pub(super) fn unit(&self, id: DeviceId) -> Option<MotionUnit> {
        self.find(id).map(|device| device.unit)
    }

    /// A device's steps in counts (or in its own unit, where it gives no counts).
    pub(super) fn counts(&self, id: DeviceId, steps: i32) -> f64 {
        let per_count = self.find(id).map_or(1, |device| device.steps_per_count.max(1));
        f64::from(steps) / f64::from(per_count)
    }

    /// How far the view turns, px. Pixels turn it as they are; counts by the player's gain.
    pub(super) fn turn(&self, id: DeviceId, dx: i32, dy: i32, begin: &Begin) -> Place {
        let gain = match self.unit(id) {
            Some(MotionUnit::Pixels) => 1.0,
            Some(MotionUnit::Counts | MotionUnit::Normalised) | None => begin.px_per_count,
        };
        Place { x_px: self.counts(id, dx) * gain, y_px: self.counts(id, dy) * gain }
    }
}
