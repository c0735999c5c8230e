//! The compositor's seats, their pointers, and what these say.
//!
//! Events are kept in a list of fixed room until the queue was heard, and then handed to the lane in
//! order. Invariant: nothing here destroys or reuses an object of the window library's.

use super::times;
use crate::clock;
use crate::input::InputEvent;
use crate::input::choice::Reason;
use crate::input::decode::button_of;
use crate::input::devices::{Devices, Identity};
use crate::input::lane::LaneIn;
use crate::units::{DeviceId, MotionUnit, Nanos, Stamp};
use std::sync::Arc;
use wayland_client::globals::{GlobalList, GlobalListContents};
use wayland_client::protocol::wl_pointer::{self, ButtonState, WlPointer};
use wayland_client::protocol::wl_registry::{self, WlRegistry};
use wayland_client::protocol::wl_seat::{self, Capability, WlSeat};
use wayland_client::{
    Connection, Dispatch, Proxy, QueueHandle, WEnum, delegate_noop, globals::BindError,
};
use wayland_protocols::wp::input_timestamps::zv1::client::zwp_input_timestamps_manager_v1::ZwpInputTimestampsManagerV1;
use wayland_protocols::wp::input_timestamps::zv1::client::zwp_input_timestamps_v1::{
    self, ZwpInputTimestampsV1,
};
use wayland_protocols::wp::relative_pointer::zv1::client::zwp_relative_pointer_manager_v1::ZwpRelativePointerManagerV1;
use wayland_protocols::wp::relative_pointer::zv1::client::zwp_relative_pointer_v1::{
    self, ZwpRelativePointerV1,
};

/// Steps to a unit of motion: the protocol's fixed-point numbers have 8 bits behind the point.
const STEPS: u16 = 256;
/// Pointers can be let go of from version 3 on; nothing newer than 5 is needed.
const SEAT_VERSION: u32 = 5;
/// Events kept while the queue is heard; what does not fit is counted.
const ROOM: usize = 4_096;

/// Who is who, and who is asked for.
pub(super) struct Known {
    pub(super) devices: Arc<Devices>,
    pub(super) wanted: Option<String>,
}

/// A pointer of our own beside the window library's.
struct Pointer {
    pointer: WlPointer,
    relative: ZwpRelativePointerV1,
    times: Option<ZwpInputTimestampsV1>,
    /// What the compositor told of the next event's time.
    fine: Option<Stamp>,
    device: DeviceId,
    wanted: bool,
}

struct Seat {
    /// Number of the seat among the compositor's globals.
    global: u32,
    seat: WlSeat,
    name: Option<String>,
    can_point: bool,
    pointer: Option<Pointer>,
}

/// What the queue's events are told to.
pub(super) struct Ears {
    queue: QueueHandle<Ears>,
    relative: ZwpRelativePointerManagerV1,
    times: Option<ZwpInputTimestampsManagerV1>,
    known: Known,
    seats: Vec<Seat>,
    seats_changed: bool,
    heard: Vec<InputEvent>,
    unheard: u32,
    newest: Nanos,
}

impl Ears {
    /// Binds what is needed, and every seat.
    pub(super) fn open(
        globals: &GlobalList,
        queue: &QueueHandle<Ears>,
        known: Known,
    ) -> Result<Ears, Reason> {
        let relative = globals
            .bind(queue, 1..=1, ())
            .map_err(|source: BindError| Reason::NoRelativeMotion { detail: source.to_string() })?;
        let mut ears = Ears {
            queue: queue.clone(),
            relative,
            // Finer times are a gift of some compositors.
            times: globals.bind(queue, 1..=1, ()).ok(),
            known,
            seats: Vec::new(),
            seats_changed: false,
            heard: Vec::with_capacity(ROOM),
            unheard: 0,
            newest: Nanos(i64::MIN),
        };
        let registry = globals.registry();
        globals.contents().with_list(|list| {
            for global in list.iter().filter(|global| global.interface == WlSeat::interface().name)
            {
                ears.bind_seat(registry, global.name, global.version);
            }
        });
        Ok(ears)
    }

    fn bind_seat(&mut self, registry: &WlRegistry, global: u32, version: u32) {
        let seat = registry.bind(global, version.min(SEAT_VERSION), &self.queue, global);
        self.seats.push(Seat { global, seat, name: None, can_point: false, pointer: None });
    }

    fn seat(&mut self, global: u32) -> Option<&mut Seat> {
        self.seats.iter_mut().find(|seat| seat.global == global)
    }

    /// Takes up pointers that came, and lets go of those that went.
    pub(super) fn look_at_seats(&mut self, mut lane: Option<&mut LaneIn>) {
        if !std::mem::take(&mut self.seats_changed) {
            return;
        }
        for seat in &mut self.seats {
            match (&seat.pointer, seat.can_point) {
                (Some(pointer), false) => {
                    self.known.devices.left(pointer.device);
                    if let (Some(lane), true) = (lane.as_deref_mut(), pointer.wanted) {
                        let t = clock::now();
                        lane.offer(InputEvent::Unplugged { device: pointer.device, t });
                    }
                    let_go_of(seat);
                }
                (None, true) => {
                    let name = seat.name.clone().unwrap_or_else(|| "seat".to_owned());
                    let entered = self.known.devices.enter(
                        Identity {
                            name: format!("All mice of {name} (Wayland tells no single ones)"),
                            model: name.clone(),
                            serial: None,
                            place: name,
                        },
                        // "Not raw" by the protocol's own words: the system may have scaled it.
                        MotionUnit::Normalised,
                        STEPS,
                    );
                    let wanted =
                        self.known.devices.is_wanted(entered.id, self.known.wanted.as_deref());
                    if let (Some(lane), true) = (lane.as_deref_mut(), wanted && entered.again) {
                        lane.offer(InputEvent::Replugged { device: entered.id, t: clock::now() });
                    }
                    let (queue, global) = (&self.queue, seat.global);
                    let pointer = seat.seat.get_pointer(queue, global);
                    let relative = self.relative.get_relative_pointer(&pointer, queue, global);
                    let times = self.times.as_ref();
                    let times =
                        times.map(|times| times.get_pointer_timestamps(&pointer, queue, global));
                    let device = entered.id;
                    seat.pointer =
                        Some(Pointer { pointer, relative, times, fine: None, device, wanted });
                }
                (Some(_), true) | (None, false) => {}
            }
        }
    }

    /// Whether there is a pointer, and the one asked for.
    pub(super) fn judge_wanted(&self) -> Result<(), Reason> {
        let pointers = || self.seats.iter().filter_map(|seat| seat.pointer.as_ref());
        match &self.known.wanted {
            _ if pointers().next().is_none() => Err(Reason::NoPointer),
            Some(wanted) if !pointers().any(|pointer| pointer.wanted) => {
                let all = self.known.devices.all();
                let present = all.into_iter().map(|info| info.ident).collect();
                Err(Reason::NoSuchMouse { wanted: wanted.clone(), present })
            }
            _ => Ok(()),
        }
    }

    /// Gives what was heard to the lane, in order.
    pub(super) fn hand_over(&mut self, lane: &mut LaneIn) {
        self.heard.drain(..).for_each(|event| lane.offer(event));
        let lost = std::mem::take(&mut self.unheard);
        if lost > 0 {
            lane.offer(InputEvent::Gap { lost, t: clock::now() });
        }
    }

    fn hear(&mut self, event: InputEvent) {
        self.newest = self.newest.max(event.t());
        if self.heard.len() < ROOM {
            self.heard.push(event);
        } else {
            self.unheard = self.unheard.saturating_add(1);
        }
    }

    fn clicked(&mut self, global: u32, time_ms: u32, code: u32, down: bool) {
        let (now, newest) = (clock::now(), self.newest);
        let Some(pointer) = self.seat(global).and_then(|seat| seat.pointer.as_mut()) else {
            return;
        };
        let fine = pointer.fine.take();
        let button = u16::try_from(code).ok().and_then(button_of);
        let (device, Some(button), true) = (pointer.device, button, pointer.wanted) else { return };
        let stamp = fine.unwrap_or_else(|| times::of_button(time_ms, newest, now));
        self.hear(match down {
            true => InputEvent::Press { device, button, stamp },
            false => InputEvent::Release { device, button, stamp },
        });
    }

    fn moved(&mut self, global: u32, [dx, dy]: [f64; 2], stamp: Stamp) {
        let Some(pointer) = self.seat(global).and_then(|seat| seat.pointer.as_mut()) else {
            return;
        };
        let (device, wanted) = (pointer.device, pointer.wanted);
        let (dx, dy) = (whole_steps(dx), whole_steps(dy));
        if wanted && (dx, dy) != (0, 0) {
            self.hear(InputEvent::Motion { device, dx, dy, stamp });
        }
    }

    /// Lets go of every object that was made here.
    pub(super) fn let_go(&mut self) {
        for seat in &mut self.seats {
            let_go_of(seat);
            release(&seat.seat);
        }
        self.relative.destroy();
        if let Some(times) = &self.times {
            times.destroy();
        }
    }
}

/// A fixed-point number of the protocol as whole steps: exact.
#[expect(clippy::cast_possible_truncation, reason = "a float to int cast saturates")]
fn whole_steps(units: f64) -> i32 {
    (units * f64::from(STEPS)).round() as i32
}

fn let_go_of(seat: &mut Seat) {
    let Some(Pointer { pointer, relative, times, .. }) = seat.pointer.take() else { return };
    if let Some(times) = times {
        times.destroy();
    }
    relative.destroy();
    if pointer.version() >= wl_pointer::REQ_RELEASE_SINCE {
        pointer.release();
    }
}

fn release(seat: &WlSeat) {
    if seat.version() >= wl_seat::REQ_RELEASE_SINCE {
        seat.release();
    }
}

impl Dispatch<WlRegistry, GlobalListContents> for Ears {
    fn event(
        ears: &mut Ears,
        registry: &WlRegistry,
        event: wl_registry::Event,
        _: &GlobalListContents,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        match event {
            wl_registry::Event::Global { name, interface, version }
                if interface == WlSeat::interface().name =>
            {
                ears.bind_seat(registry, name, version);
            }
            wl_registry::Event::GlobalRemove { name } => {
                if let Some(seat) = ears.seat(name) {
                    seat.can_point = false;
                    ears.seats_changed = true;
                }
            }
            // Other things that the compositor offers.
            _ => {}
        }
    }
}

impl Dispatch<WlSeat, u32> for Ears {
    fn event(
        ears: &mut Ears,
        _: &WlSeat,
        event: wl_seat::Event,
        &global: &u32,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        let Some(seat) = ears.seat(global) else { return };
        match event {
            wl_seat::Event::Capabilities { capabilities: WEnum::Value(can) } => {
                seat.can_point = can.contains(Capability::Pointer);
                ears.seats_changed = true;
            }
            wl_seat::Event::Capabilities { capabilities: WEnum::Unknown(bits) } => {
                seat.can_point = Capability::from_bits_truncate(bits).contains(Capability::Pointer);
                ears.seats_changed = true;
            }
            wl_seat::Event::Name { name } => seat.name = Some(name),
            _ => {}
        }
    }
}

impl Dispatch<WlPointer, u32> for Ears {
    fn event(
        ears: &mut Ears,
        _: &WlPointer,
        event: wl_pointer::Event,
        &global: &u32,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        match event {
            wl_pointer::Event::Button { time, button, state: WEnum::Value(state), .. } => {
                ears.clicked(global, time, button, state == ButtonState::Pressed);
            }
            // A finer time that was told belongs to the event it came before.
            wl_pointer::Event::Motion { .. } | wl_pointer::Event::Axis { .. } => {
                if let Some(pointer) = ears.seat(global).and_then(|seat| seat.pointer.as_mut()) {
                    pointer.fine = None;
                }
            }
            // Where the pointer is, and the frames around events: nothing here depends on them.
            _ => {}
        }
    }
}

impl Dispatch<ZwpRelativePointerV1, u32> for Ears {
    fn event(
        ears: &mut Ears,
        _: &ZwpRelativePointerV1,
        event: zwp_relative_pointer_v1::Event,
        &global: &u32,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        let zwp_relative_pointer_v1::Event::RelativeMotion {
            utime_hi,
            utime_lo,
            dx_unaccel,
            dy_unaccel,
            ..
        } = event
        else {
            return;
        };
        let stamp = times::of_motion(utime_hi, utime_lo, clock::now());
        ears.moved(global, [dx_unaccel, dy_unaccel], stamp);
    }
}

impl Dispatch<ZwpInputTimestampsV1, u32> for Ears {
    fn event(
        ears: &mut Ears,
        _: &ZwpInputTimestampsV1,
        event: zwp_input_timestamps_v1::Event,
        &global: &u32,
        _: &Connection,
        _: &QueueHandle<Ears>,
    ) {
        let zwp_input_timestamps_v1::Event::Timestamp { tv_sec_hi, tv_sec_lo, tv_nsec } = event
        else {
            return;
        };
        let fine = times::fine(tv_sec_hi, tv_sec_lo, tv_nsec, clock::now());
        if let Some(pointer) = ears.seat(global).and_then(|seat| seat.pointer.as_mut()) {
            pointer.fine = fine;
        }
    }
}

delegate_noop!(Ears: ZwpRelativePointerManagerV1);
delegate_noop!(Ears: ZwpInputTimestampsManagerV1);
