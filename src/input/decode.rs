//! What a Linux mouse says, decoded: bytes of the kernel's records in, events of whole reports out.
//!
//! Pure: no file, no clock. Everything up to a SYN_REPORT is one report with one stamp. Invariants:
//! after SYN_DROPPED nothing is believed until the next SYN_REPORT; what the kernel lets go of itself
//! when a mouse is unplugged (a SYN_REPORT with value 1) is no act of the player's and is withheld.

use super::InputEvent;
use crate::units::{Button, DeviceId, Nanos, Span, Stamp, StampSource};

/// Doubt of a kernel stamp, the mouse's own interval apart: whole µs (0.3 µs) and the way of the
/// interrupt from the host controller to the input layer, tens of µs on an unloaded kernel (common
/// practice, no source: nothing in user space can measure it).
pub const EVDEV_SD: Span = Span(50_000);

/// Bytes of one record, `struct input_event` where `long` has 64 bits.
pub const RECORD_BYTES: usize = 24;

/// Most button changes believed in one report; a mouse has no more buttons.
const MOST_BUTTONS: usize = 16;

// linux/input-event-codes.h
const EV_SYN: u16 = 0;
const EV_KEY: u16 = 1;
const EV_REL: u16 = 2;
const SYN_REPORT: u16 = 0;
const SYN_DROPPED: u16 = 3;
const REL_X: u16 = 0;
const REL_Y: u16 = 1;
const BTN_LEFT: u16 = 0x110;
const BTN_TASK: u16 = 0x117;

/// One record of the kernel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KernelRecord {
    /// When, on the clock that was asked for.
    pub t: Nanos,
    /// EV_SYN, EV_KEY, EV_REL and so on.
    pub kind: u16,
    /// Which axis or button.
    pub code: u16,
    /// How far, or 1 for down and 0 for up.
    pub value: i32,
}

impl KernelRecord {
    /// Decodes one record, in this machine's byte order: seconds, microseconds, type, code, value.
    pub fn from_bytes(bytes: &[u8; RECORD_BYTES]) -> KernelRecord {
        let [s0, s1, s2, s3, s4, s5, s6, s7, u0, u1, u2, u3, u4, u5, u6, u7, rest @ ..] = *bytes;
        let [k0, k1, c0, c1, v0, v1, v2, v3] = rest;
        let s = i64::from_ne_bytes([s0, s1, s2, s3, s4, s5, s6, s7]);
        let us = i64::from_ne_bytes([u0, u1, u2, u3, u4, u5, u6, u7]);
        KernelRecord {
            t: Nanos(s * 1_000_000_000 + us * 1_000),
            kind: u16::from_ne_bytes([k0, k1]),
            code: u16::from_ne_bytes([c0, c1]),
            value: i32::from_ne_bytes([v0, v1, v2, v3]),
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct Change {
    button: Button,
    down: bool,
}

/// Collects the records of one mouse into reports.
#[derive(Debug, Clone)]
pub struct Reports {
    device: DeviceId,
    dx: i32,
    dy: i32,
    changes: [Option<Change>; MOST_BUTTONS],
    changed: usize,
    dropped: bool,
}

impl Reports {
    /// Of this mouse, which has said nothing yet.
    pub fn new(device: DeviceId) -> Reports {
        Reports { device, dx: 0, dy: 0, changes: [None; MOST_BUTTONS], changed: 0, dropped: false }
    }

    /// Takes a record; at the end of a report its events go to `push`, motion first, so that a press
    /// finds the pointer where its own report put it. Allocates nothing.
    pub fn take(&mut self, record: KernelRecord, mut push: impl FnMut(InputEvent)) {
        match (record.kind, record.code) {
            (EV_SYN, SYN_DROPPED) => {
                self.dropped = true;
                push(InputEvent::Gap { lost: 0, t: record.t });
            }
            (EV_SYN, SYN_REPORT) => {
                if !self.dropped {
                    self.emit(record, push);
                }
                *self = Reports::new(self.device);
            }
            (EV_REL, REL_X) => self.dx = self.dx.saturating_add(record.value),
            (EV_REL, REL_Y) => self.dy = self.dy.saturating_add(record.value),
            // Value 2 is the repeat of a key, which no mouse sends.
            (EV_KEY, code) if record.value == 0 || record.value == 1 => {
                if let (Some(button), Some(free)) =
                    (button_of(code), self.changes.get_mut(self.changed))
                {
                    *free = Some(Change { button, down: record.value == 1 });
                    self.changed += 1;
                }
            }
            // Wheels, scan codes, lights: not the hand's answer.
            _ => {}
        }
    }

    fn emit(&self, end: KernelRecord, mut push: impl FnMut(InputEvent)) {
        let device = self.device;
        let stamp = Stamp { t: end.t, source: StampSource::Evdev, sd: EVDEV_SD };
        if self.dx != 0 || self.dy != 0 {
            push(InputEvent::Motion { device, dx: self.dx, dy: self.dy, stamp });
        }
        // The kernel ends the report that it makes up on unplugging with 1 instead of 0.
        let of_the_hand = end.value == 0;
        for &Change { button, down } in self.changes.iter().flatten() {
            if down {
                push(InputEvent::Press { device, button, stamp });
            } else if of_the_hand {
                push(InputEvent::Release { device, button, stamp });
            }
        }
    }
}

/// The button of a kernel code, numbered as the kernel does from BTN_LEFT = 1.
pub(super) fn button_of(code: u16) -> Option<Button> {
    if !(BTN_LEFT..=BTN_TASK).contains(&code) {
        return None;
    }
    match code - BTN_LEFT {
        0 => Some(Button::Left),
        1 => Some(Button::Right),
        2 => Some(Button::Middle),
        further => u8::try_from(further + 1).ok().map(Button::Other),
    }
}
