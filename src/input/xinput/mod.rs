//! X11 raw events (XInput2) on a connection of our own: counts before acceleration, per mouse.
//!
//! The server's own time is whole milliseconds; so an event is stamped by our clock when it is taken
//! from the connection, and the server's time only says how late that may be. Invariants: one event
//! of the hand is heard once; an axis that tells positions is no motion. What the library allocates
//! for an event lies before the stamp's way into the ring, not on it.

mod values;

use self::values::{Axis, FINE_STEPS, button_of, in_small_letters, raw_value, stamp};
use super::InputEvent;
use super::choice::Reason;
use super::devices::{Devices, Identity};
use super::lane::LaneIn;
use super::source::{Ended, LONGEST_WAIT, Source};
use super::wait::{poll, wait_for};
use crate::clock;
use crate::units::{DeviceId, MotionUnit, Nanos};
use std::sync::Arc;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::xinput::{
    ConnectionExt as _, Device, DeviceClassData, DeviceType, EventMask, PointerEventFlags,
    RawButtonPressEvent, RawMotionEvent, ValuatorMode, XIDeviceInfo, XIEventMask,
};
use x11rb::protocol::xproto::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;

/// A mouse as the server knows it.
#[derive(Debug)]
struct Pointer {
    source: u16,
    id: DeviceId,
    wanted: bool,
    x: Axis,
    y: Axis,
    /// Decided by the first thing it says.
    steps: Option<u16>,
}

/// Raw events of every mouse that is attached to a master pointer (or of the wanted one).
pub(crate) struct Xinput {
    connection: RustConnection,
    pointers: Vec<Pointer>,
    devices: Arc<Devices>,
    wanted: Option<String>,
    product: u32,
    waits: [libc::pollfd; 1],
}

impl Xinput {
    /// Connects to the server that `DISPLAY` names, and listens.
    ///
    /// # Errors
    /// No server, no raw events, no mouse, or not the wanted one.
    pub(crate) fn open(devices: Arc<Devices>, wanted: Option<&str>) -> Result<Xinput, Reason> {
        let (connection, screen) = RustConnection::connect(None)
            .map_err(|error| Reason::NoServer { detail: error.to_string() })?;
        let root = connection.setup().roots[screen].root;
        let product = listen(&connection, root)
            .map_err(|error| Reason::NoRawEvents { detail: error.to_string() })?;
        let waits = [wait_for(connection.stream())];
        let mut xinput = Xinput {
            connection,
            pointers: Vec::new(),
            devices,
            wanted: wanted.map(str::to_owned),
            product,
            waits,
        };
        xinput
            .look_again(None)
            .map_err(|ended| Reason::NoRawEvents { detail: ended.to_string() })?;
        if xinput.pointers.is_empty() {
            return Err(Reason::NoMouse);
        }
        if let (false, Some(wanted)) = (xinput.pointers.iter().any(|p| p.wanted), wanted) {
            let present = xinput.devices.all().into_iter().map(|info| info.ident).collect();
            return Err(Reason::NoSuchMouse { wanted: wanted.to_owned(), present });
        }
        Ok(xinput)
    }

    /// Asks the server anew which mice there are, and tells of those that went or came.
    fn look_again(&mut self, mut lane: Option<&mut LaneIn>) -> Result<(), Ended> {
        let there = self.ask().map_err(|error| ended("asking for the mice", &error))?;
        let devices = &self.devices;
        self.pointers.retain(|pointer| {
            let stays = there.iter().any(|found| found.source == pointer.source);
            if !stays {
                devices.left(pointer.id);
                if let (Some(lane), true) = (lane.as_deref_mut(), pointer.wanted) {
                    lane.offer(InputEvent::Unplugged { device: pointer.id, t: clock::now() });
                }
            }
            stays
        });
        for found in there {
            if self.pointers.iter().any(|pointer| pointer.source == found.source) {
                continue;
            }
            let entered = self.devices.enter(found.identity, MotionUnit::Counts, 1);
            let wanted = self.devices.is_wanted(entered.id, self.wanted.as_deref());
            if let (Some(lane), true) = (lane.as_deref_mut(), wanted && entered.again) {
                lane.offer(InputEvent::Replugged { device: entered.id, t: clock::now() });
            }
            self.pointers.push(Pointer {
                source: found.source,
                id: entered.id,
                wanted,
                x: Axis::new(found.x),
                y: Axis::new(found.y),
                steps: self.devices.steps_once_spoken(entered.id),
            });
        }
        Ok(())
    }

    fn ask(&self) -> Result<Vec<Found>, x11rb::errors::ReplyError> {
        let all: bool = Device::ALL.into();
        let infos = self.connection.xinput_xi_query_device(u16::from(all))?.reply()?.infos;
        infos.iter().filter_map(|info| self.found(info).transpose()).collect()
    }

    fn found(&self, info: &XIDeviceInfo) -> Result<Option<Found>, x11rb::errors::ReplyError> {
        if info.type_ != DeviceType::SLAVE_POINTER || !info.enabled {
            return Ok(None);
        }
        let mut axes = info.classes.iter().filter_map(|class| match &class.data {
            DeviceClassData::Valuator(valuator) => Some(valuator),
            _ => None,
        });
        // The protocol has no better sign of x and y than their order.
        let (Some(x), Some(y)) = (axes.next(), axes.next()) else { return Ok(None) };
        if x.mode != ValuatorMode::RELATIVE || y.mode != ValuatorMode::RELATIVE {
            return Ok(None);
        }
        let name = String::from_utf8_lossy(&info.name).into_owned();
        let product = self
            .connection
            .xinput_xi_get_property(info.deviceid, false, self.product, 0, 0, 2)?
            .reply()?;
        let model = match product.items.as_data32().map(Vec::as_slice) {
            Some([vendor, product]) => format!("{vendor:04x}:{product:04x}"),
            _ => in_small_letters(&name),
        };
        let identity = Identity { name, model, serial: None, place: format!("x{}", info.deviceid) };
        Ok(Some(Found { source: info.deviceid, x: x.number, y: y.number, identity }))
    }

    fn take(&mut self, event: Event, t: Nanos, lane: &mut LaneIn) -> Result<(), Ended> {
        match event {
            Event::XinputRawMotion(motion) => self.moved(&motion, t, lane),
            Event::XinputRawButtonPress(press) => self.pressed(&press, true, t, lane),
            Event::XinputRawButtonRelease(release) => self.pressed(&release, false, t, lane),
            Event::XinputHierarchy(_) => self.look_again(Some(lane))?,
            Event::Error(error) => {
                return Err(Ended { what: "the X server", detail: format!("{error:?}") });
            }
            // The server sends keyboard mappings to everyone; nothing else was asked for.
            _ => {}
        }
        Ok(())
    }

    fn moved(&mut self, motion: &RawMotionEvent, t: Nanos, lane: &mut LaneIn) {
        let Some(pointer) = self.pointers.iter_mut().find(|p| p.source == motion.sourceid) else {
            return;
        };
        if !pointer.wanted {
            return;
        }
        let x = raw_value(motion, pointer.x);
        let y = raw_value(motion, pointer.y);
        let whole = x.frac == 0 && y.frac == 0;
        let devices = &self.devices;
        let id = pointer.id;
        let steps = *pointer.steps.get_or_insert_with(|| {
            let steps = if whole { 1 } else { FINE_STEPS };
            devices.set_steps(id, steps);
            steps
        });
        let (dx, dy) = (pointer.x.whole_steps(x, steps), pointer.y.whole_steps(y, steps));
        if dx != 0 || dy != 0 {
            let stamp = stamp(t, motion.time);
            lane.offer(InputEvent::Motion { device: id, dx, dy, stamp });
        }
    }

    fn pressed(&mut self, event: &RawButtonPressEvent, down: bool, t: Nanos, lane: &mut LaneIn) {
        let emulated = event.flags & PointerEventFlags::POINTER_EMULATED;
        let Some(button) = button_of(event.detail).filter(|_| u32::from(emulated) == 0) else {
            return;
        };
        let Some(pointer) = self.pointers.iter_mut().find(|p| p.source == event.sourceid) else {
            return;
        };
        if !pointer.wanted {
            return;
        }
        let device = pointer.id;
        if pointer.steps.is_none() {
            // It speaks before it moves: whole counts are what nearly every driver gives, and parts
            // of counts are then carried over.
            pointer.steps = Some(1);
            self.devices.set_steps(device, 1);
        }
        let stamp = stamp(t, event.time);
        lane.offer(match down {
            true => InputEvent::Press { device, button, stamp },
            false => InputEvent::Release { device, button, stamp },
        });
    }
}

impl Source for Xinput {
    const THREAD: &'static str = "input xinput";

    fn turn(&mut self, lane: &mut LaneIn) -> Result<(), Ended> {
        poll(&mut self.waits, LONGEST_WAIT)?;
        // What comes after this moment is stamped after this moment.
        let pass = clock::now();
        while let Some(event) = self
            .connection
            .poll_for_event()
            .map_err(|error| ended("reading from the X server", &error))?
        {
            self.take(event, clock::now(), lane)?;
        }
        lane.settle(pass);
        Ok(())
    }
}

/// A mouse in the server's list.
struct Found {
    source: u16,
    x: u16,
    y: u16,
    identity: Identity,
}

/// Selects raw events and changes of the device list; returns the atom of the product numbers.
fn listen(connection: &RustConnection, root: u32) -> Result<u32, x11rb::errors::ReplyError> {
    // From 2.1 on raw events come also while another client has grabbed the pointer.
    connection.xinput_xi_query_version(2, 2)?.reply()?;
    let all: bool = Device::ALL.into();
    let masters: bool = Device::ALL_MASTER.into();
    let raw =
        XIEventMask::RAW_MOTION | XIEventMask::RAW_BUTTON_PRESS | XIEventMask::RAW_BUTTON_RELEASE;
    let wishes = [
        EventMask { deviceid: u16::from(masters), mask: vec![raw] },
        EventMask { deviceid: u16::from(all), mask: vec![XIEventMask::HIERARCHY] },
    ];
    connection.xinput_xi_select_events(root, &wishes)?.check()?;
    Ok(connection.intern_atom(false, b"Device Product ID")?.reply()?.atom)
}

fn ended(what: &'static str, error: &dyn std::error::Error) -> Ended {
    Ended { what, detail: error.to_string() }
}
