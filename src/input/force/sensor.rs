//! A sensor with an absolute axis, by the kernel (Linux evdev, EV_ABS), with the kernel's stamps.
//!
//! Only devices that are neither mouse, keyboard, pad, tablet nor touchscreen are looked at. The axis
//! is the lowest that the device has. A thread of its own; it ends when the sensor goes.

use super::{AxisInfo, ForceReading};
use crate::clock::{self, Bell};
use crate::input::decode::{EVDEV_SD, KernelRecord, RECORD_BYTES};
use crate::input::evdev;
use crate::input::mice::{self, Axes};
use crate::input::wait::{poll, wait_for};
use crate::units::{Span, Stamp, StampSource};
use std::fs::File;
use std::io::{self, Read as _};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

/// `EV_ABS` of linux/input-event-codes.h.
const EV_ABS: u16 = 3;
/// Longest wait, so that the thread ends soon after its session.
const LOOK_EACH: Span = Span::from_ms(20);
/// Room for two seconds of a sensor that reports 1,000 times a second.
const ROOM: usize = 2_048;
const BATCH: usize = 64;

/// Why a sensor is not heard.
#[derive(Debug)]
pub(super) enum SensorError {
    NotThere,
    Refused { why: String },
}

/// A sensor that is listened to.
#[derive(Debug)]
pub(super) struct Sensor {
    ring: rtrb::Consumer<ForceReading>,
    stop: Arc<AtomicBool>,
}

/// The sensors that are there.
pub(super) fn list() -> Vec<AxisInfo> {
    let told = |axes: Axes| AxisInfo { name: format!("sensor:{}", axes.ident), device: axes.name };
    mice::axes().into_iter().map(told).collect()
}

impl Sensor {
    pub(super) fn listen(ident: &str, bell: Bell) -> Result<Sensor, SensorError> {
        let found = mice::axes().into_iter().find(|axes| axes.ident == ident);
        let axes = found.ok_or(SensorError::NotThere)?;
        let file = evdev::open_node(&axes.node)
            .map_err(|error| SensorError::Refused { why: error.to_string() })?;
        let refused = |error: io::Error| SensorError::Refused { why: error.to_string() };
        let now = evdev::axis_now(&file, axes.lowest).map_err(refused)?;
        let (mut producer, ring) = rtrb::RingBuffer::new(ROOM);
        let stamp = Stamp { t: clock::now(), source: StampSource::Evdev, sd: EVDEV_SD };
        let first = ForceReading { raw: f64::from(now), stamp };
        producer.push(first).expect("a new ring has room");
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        let code = axes.lowest;
        thread::Builder::new()
            .name("force axis".to_owned())
            .spawn(move || read_on(file, code, producer, &bell, &stopped))
            .map_err(|error| SensorError::Refused { why: error.to_string() })?;
        Ok(Sensor { ring, stop })
    }

    pub(super) fn take(&mut self) -> Option<ForceReading> {
        self.ring.pop().ok()
    }
}

impl Drop for Sensor {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// Reads until stopped or until the sensor has gone: then the readings end, and what stands in the
/// record is what came.
fn read_on(
    mut file: File,
    code: u16,
    mut ring: rtrb::Producer<ForceReading>,
    bell: &Bell,
    stop: &AtomicBool,
) {
    let mut bytes = [0_u8; BATCH * RECORD_BYTES];
    let mut waits = [wait_for(&file)];
    while !stop.load(Ordering::Relaxed) && poll(&mut waits, LOOK_EACH).is_ok() {
        let count = match file.read(&mut bytes) {
            Ok(count) => count,
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::WouldBlock | io::ErrorKind::Interrupted
                ) =>
            {
                continue;
            }
            Err(_gone) => return,
        };
        let (records, _) = bytes[..count].as_chunks::<RECORD_BYTES>();
        for record in records.iter().map(KernelRecord::from_bytes) {
            if (record.kind, record.code) == (EV_ABS, code) {
                let stamp = Stamp { t: record.t, source: StampSource::Evdev, sd: EVDEV_SD };
                let reading = ForceReading { raw: f64::from(record.value), stamp };
                // Nobody takes them: the newest are of no more use than the oldest.
                let _full = ring.push(reading);
            }
        }
        bell.ring();
    }
}
