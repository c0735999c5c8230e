//! A force axis: how firmly the hold is held, as a share of the player's own comfortable strong grip.
//!
//! An analogue trigger by the gamepad library, or a sensor with one absolute axis by the kernel's own
//! path (a sensor is no gamepad to that library). Readings are raw until a [`Calibration`] makes
//! shares of them; never the strongest grip is asked for, only a comfortable strong one.

mod calibrate;
mod name;
#[cfg(target_os = "linux")]
mod sensor;

pub use calibrate::{Calibration, CalibrationError, calibrate};
pub use name::{AxisName, UnknownAxis};

use super::{GAMEPAD_SD, Gamepads, PadEvent, PadSide};
use crate::clock::{self, Bell};
use crate::units::{Stamp, StampSource};

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForceReading {
    /// In the axis's own unit.
    pub raw: f64,
    /// When.
    pub stamp: Stamp,
}

/// An axis that can be used.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct AxisInfo {
    /// What `--axis` takes.
    pub name: String,
    /// The device, as the system names it.
    pub device: String,
}

/// Why an axis cannot be heard.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ForceError {
    /// It is not there, or this system has no way to it.
    #[error("no such force axis: {name}")]
    NotThere {
        /// As asked.
        name: String,
    },
    /// It may not be read.
    #[error("the force axis {name} cannot be read: {why}")]
    Refused {
        /// As asked.
        name: String,
        /// As the system says it.
        why: String,
    },
}

/// A force axis that is listened to, on a thread of its own, until dropped.
#[derive(Debug)]
pub struct ForceAxis {
    from: From,
    /// A trigger tells nothing until it is moved: it was let go.
    first: Option<ForceReading>,
}

#[derive(Debug)]
enum From {
    Trigger(Gamepads, PadSide),
    #[cfg(target_os = "linux")]
    Sensor(sensor::Sensor),
}

impl ForceAxis {
    /// Starts to listen; `bell` wakes whoever waits for events.
    ///
    /// # Errors
    /// The axis is not there or may not be read.
    pub fn listen(name: &AxisName, bell: Bell) -> Result<ForceAxis, ForceError> {
        let refused = |why: String| ForceError::Refused { name: name.to_string(), why };
        match name {
            AxisName::Trigger(side) => {
                let pads = Gamepads::listen(bell).map_err(|error| refused(error.to_string()))?;
                if pads.names().is_empty() {
                    return Err(ForceError::NotThere { name: name.to_string() });
                }
                let stamp = Stamp { t: clock::now(), source: StampSource::Gamepad, sd: GAMEPAD_SD };
                let first = Some(ForceReading { raw: 0.0, stamp });
                Ok(ForceAxis { from: From::Trigger(pads, *side), first })
            }
            #[cfg(target_os = "linux")]
            AxisName::Sensor { ident } => {
                let sensor = sensor::Sensor::listen(ident, bell).map_err(|error| match error {
                    sensor::SensorError::NotThere => {
                        ForceError::NotThere { name: name.to_string() }
                    }
                    sensor::SensorError::Refused { why } => refused(why),
                })?;
                Ok(ForceAxis { from: From::Sensor(sensor), first: None })
            }
            #[cfg(not(target_os = "linux"))]
            AxisName::Sensor { .. } => Err(ForceError::NotThere { name: name.to_string() }),
        }
    }

    /// The next reading that has come.
    pub fn take(&mut self) -> Option<ForceReading> {
        if let Some(first) = self.first.take() {
            return Some(first);
        }
        match &mut self.from {
            From::Trigger(pads, wanted) => loop {
                match pads.take()? {
                    PadEvent::Trigger { side, value, stamp, .. } if side == *wanted => {
                        return Some(ForceReading { raw: f64::from(value), stamp });
                    }
                    PadEvent::Trigger { .. }
                    | PadEvent::Press { .. }
                    | PadEvent::Release { .. } => {}
                }
            },
            #[cfg(target_os = "linux")]
            From::Sensor(sensor) => sensor.take(),
        }
    }
}

/// The axes that are there now.
pub fn axes() -> Vec<AxisInfo> {
    let mut list = Vec::new();
    // A system without gamepads has none to list.
    if let Ok(pads) = Gamepads::listen(Bell::of_this_thread()) {
        for device in pads.names() {
            for side in [PadSide::Left, PadSide::Right] {
                let name = AxisName::Trigger(side).to_string();
                list.push(AxisInfo { name, device: device.clone() });
            }
        }
    }
    #[cfg(target_os = "linux")]
    list.extend(sensor::list());
    list
}
