//! What Windows says of mice by raw input, decoded: a buffer of its records in, events out.
//!
//! Pure: no call of the system, no clock. A record carries no time, so all records that were read
//! at one wake-up have the moment of that wake-up, and a doubt that grows with what they may have
//! waited. Invariants: a report that says nothing is dropped and counted; the first motion of a
//! device after the source was opened is not believed (a pointer's place was seen to pose as one);
//! a device that tells places instead of ways is no mouse from then on.
//!
//! Source: the structures RAWINPUTHEADER and RAWMOUSE of the Windows SDK (winuser.h), x86-64.

use super::InputEvent;
use crate::units::{Button, DeviceId, Nanos, Span, Stamp, StampSource};

/// The least doubt of an arrival: the way through the system's input thread and the wake-up of ours.
/// Assumed as for X11's raw events; not yet measured on Windows.
pub const RAW_INPUT_SD: Span = Span(300_000);

/// The least doubt where wine stands in for Windows: a record waits there until the window's own thread has
/// read it from the X server, even one that comes alone. By robot sessions it suits a machine that does little else; on
/// a busy one nearly half of the presses came more than three times that late (docs/windows.md), and no constant would hold.
pub const WINE_SD: Span = Span(1_000_000);

/// Bytes of RAWINPUTHEADER: type, size, device, message parameter.
pub const HEADER_BYTES: usize = 24;
/// Bytes of a mouse's record, header and RAWMOUSE.
pub const MOUSE_RECORD_BYTES: usize = HEADER_BYTES + 24;

// winuser.h
const RIM_TYPEMOUSE: u32 = 0;
const MOUSE_MOVE_ABSOLUTE: u16 = 1;
/// Down and up of the buttons that a record can tell of, in the order of their bits.
const BUTTONS: [(u16, u16, Button); 5] = [
    (0x001, 0x002, Button::Left),
    (0x004, 0x008, Button::Right),
    (0x010, 0x020, Button::Middle),
    (0x040, 0x080, Button::Other(4)),
    (0x100, 0x200, Button::Other(5)),
];

/// One record of a mouse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RawRecord {
    /// The system's number of the device; 0 where no device stands behind it.
    pub device: u64,
    /// Its motion is a place on the desktop, not a way.
    pub absolute: bool,
    /// Which buttons went down or up.
    pub buttons: u16,
    /// Rightwards, counts.
    pub dx: i32,
    /// Downwards, counts.
    pub dy: i32,
}

/// Splits a buffer as GetRawInputBuffer fills it. Records of other devices are passed over; a
/// buffer that ends inside a record ends the list.
#[derive(Debug, Clone)]
pub struct RawRecords<'a> {
    left: &'a [u8],
    records: u32,
}

impl<'a> RawRecords<'a> {
    /// `bytes`: the buffer from its start; `records`: how many it was said to hold.
    pub fn new(bytes: &'a [u8], records: u32) -> RawRecords<'a> {
        RawRecords { left: bytes, records }
    }
}

impl Iterator for RawRecords<'_> {
    type Item = RawRecord;

    fn next(&mut self) -> Option<RawRecord> {
        while self.records > 0 {
            self.records -= 1;
            let bytes = self.left;
            let (kind, size) = (u32_at(bytes, 0)?, u32_at(bytes, 4)? as usize);
            if size < HEADER_BYTES || size > bytes.len() {
                self.records = 0;
                return None;
            }
            // Each begins at a multiple of 8; after the last there may be nothing to skip.
            self.left = bytes.get(size.next_multiple_of(8)..).unwrap_or_default();
            if kind == RIM_TYPEMOUSE && size >= MOUSE_RECORD_BYTES {
                return mouse(bytes);
            }
        }
        None
    }
}

fn mouse(bytes: &[u8]) -> Option<RawRecord> {
    let word = |at| Some(u16::from_ne_bytes(*bytes.get(at..)?.first_chunk()?));
    let signed = |at| Some(i32::from_ne_bytes(*bytes.get(at..)?.first_chunk()?));
    Some(RawRecord {
        device: u64::from_ne_bytes(*bytes.get(8..)?.first_chunk()?),
        absolute: word(HEADER_BYTES)? & MOUSE_MOVE_ABSOLUTE != 0,
        // Two bytes of padding, then the flags and the wheel's data, then the raw buttons.
        buttons: word(HEADER_BYTES + 4)?,
        dx: signed(HEADER_BYTES + 12)?,
        dy: signed(HEADER_BYTES + 16)?,
    })
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_ne_bytes(*bytes.get(at..)?.first_chunk()?))
}

/// One reading of the queue until it was empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WakeUp {
    /// When the thread woke.
    pub t: Nanos,
    /// When the queue was last known to be empty.
    pub empty_at: Nanos,
    /// Records that were read.
    pub records: u32,
    /// The least doubt here: [`RAW_INPUT_SD`], or [`WINE_SD`].
    pub least: Span,
}

impl WakeUp {
    /// The stamp of each of its records: the arrival. A lone record woke the thread by itself. One
    /// of several may have come at any time since the queue was empty, so its doubt is at least
    /// that time / √12 (the sd of a uniform law).
    pub fn stamp(&self) -> Stamp {
        let waited = self.t - self.empty_at;
        let sd = match self.records {
            0 | 1 => self.least,
            _ => in_steps(waited.ms() / 12_f64.sqrt()).max(self.least),
        };
        Stamp { t: self.t, source: StampSource::RawInput, sd }
    }
}

/// Rounded up to 0.1 ms: the record names each doubt anew, and a few are enough.
fn in_steps(ms: f64) -> Span {
    Span::from_ms_f64((ms * 10.0).ceil() / 10.0)
}

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// Its events were handed on (or there was nothing of ours in it: a wheel).
    Heard,
    /// It said nothing: no way, no button.
    Empty,
    /// Its motion was the first of the device, and was withheld; its buttons were handed on.
    FirstMotion,
    /// It is a place: the device is no mouse.
    Absolute,
}

/// One mouse, from record to record.
#[derive(Debug, Clone)]
pub struct RawMouse {
    device: DeviceId,
    moved: bool,
    down: u8,
}

impl RawMouse {
    /// Of this mouse, which has said nothing yet.
    pub fn new(device: DeviceId) -> RawMouse {
        RawMouse { device, moved: false, down: 0 }
    }

    /// Takes a record; its events go to `push`, motion first, so that a press finds the pointer
    /// where its own report put it. Allocates nothing.
    pub fn take(
        &mut self,
        record: &RawRecord,
        stamp: Stamp,
        mut push: impl FnMut(InputEvent),
    ) -> Taken {
        if record.absolute {
            return Taken::Absolute;
        }
        let RawRecord { dx, dy, buttons, .. } = *record;
        let device = self.device;
        let moves = dx != 0 || dy != 0;
        let first = moves && !self.moved;
        self.moved |= moves;
        if moves && !first {
            push(InputEvent::Motion { device, dx, dy, stamp });
        }
        for (index, (down, up, button)) in BUTTONS.into_iter().enumerate() {
            self.button(index, [buttons & down != 0, buttons & up != 0], |is_down| {
                push(if is_down {
                    InputEvent::Press { device, button, stamp }
                } else {
                    InputEvent::Release { device, button, stamp }
                });
            });
        }
        match (moves, buttons) {
            (false, 0) => Taken::Empty,
            _ if first => Taken::FirstMotion,
            _ => Taken::Heard,
        }
    }

    /// A record can hold both; then what it was before says which came first.
    fn button(&mut self, index: usize, [down, up]: [bool; 2], mut tell: impl FnMut(bool)) {
        let bit = 1_u8 << index;
        let was_down = self.down & bit != 0;
        let order: &[bool] = match (down, up) {
            (false, false) => &[],
            (true, false) => &[true],
            (false, true) => &[false],
            (true, true) if was_down => &[false, true],
            (true, true) => &[true, false],
        };
        for &is_down in order {
            tell(is_down);
            self.down = if is_down { self.down | bit } else { self.down & !bit };
        }
    }
}

/// What a device's path tells of it, for example
/// `\\?\HID#VID_046D&PID_C08B&MI_00#7&1a2b3c&0&0000#{378de44c-56ef-11d1-bc8c-00a0c91405dd}`.
///
/// `046d:c08b`, or `None` where the path names no vendor and product. Bluetooth writes four digits
/// more in front of the vendor (`VID&02046D_PID&B342`): the last four count.
pub fn model_of(path: &str) -> Option<String> {
    let path = path.to_ascii_lowercase();
    let digits = |key: &str| -> Option<String> {
        let rest = &path[path.find(key)? + key.len()..];
        let all: String = rest.chars().skip(1).take_while(char::is_ascii_hexdigit).collect();
        (all.len() >= 4).then(|| all[all.len() - 4..].to_owned())
    };
    Some(format!("{}:{}", digits("vid")?, digits("pid")?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOUSE: DeviceId = DeviceId(2);

    /// A record as the system lays it out: header, then RAWMOUSE.
    fn bytes(kind: u32, device: u64, flags: u16, buttons: u16, way: [i32; 2]) -> Vec<u8> {
        let mut bytes = Vec::new();
        bytes.extend(kind.to_ne_bytes());
        bytes.extend(48_u32.to_ne_bytes());
        bytes.extend(device.to_ne_bytes());
        bytes.extend(0_u64.to_ne_bytes());
        bytes.extend(flags.to_ne_bytes());
        bytes.extend([0xAA; 2]);
        bytes.extend(buttons.to_ne_bytes());
        // A wheel's data, the raw buttons, the way, the extra information.
        bytes.extend(120_u16.to_ne_bytes());
        bytes.extend(0xDEAD_BEEF_u32.to_ne_bytes());
        way.iter().for_each(|counts| bytes.extend(counts.to_ne_bytes()));
        bytes.extend(0x5555_u32.to_ne_bytes());
        bytes
    }

    fn stamp() -> Stamp {
        let (t, empty_at) = (Nanos(5_000_000), Nanos(4_000_000));
        WakeUp { t, empty_at, records: 1, least: RAW_INPUT_SD }.stamp()
    }

    fn heard(mouse: &mut RawMouse, buttons: u16, way: [i32; 2]) -> (Taken, Vec<InputEvent>) {
        let [dx, dy] = way;
        let record = RawRecord { device: 7, absolute: false, buttons, dx, dy };
        let mut events = Vec::new();
        let taken = mouse.take(&record, stamp(), |event| events.push(event));
        (taken, events)
    }

    #[test]
    fn a_buffer_is_split_into_the_records_of_mice() {
        let mut buffer = bytes(0, 7, 0, 1, [3, -2]);
        // A keyboard's record of 40 bytes in between, as RIM_TYPEKEYBOARD has.
        let mut keyboard = bytes(1, 9, 0, 0, [0, 0]);
        keyboard.truncate(40);
        keyboard[4..8].copy_from_slice(&40_u32.to_ne_bytes());
        buffer.extend(keyboard);
        buffer.extend(bytes(0, 8, 1, 0, [100, 200]));
        let records: Vec<RawRecord> = RawRecords::new(&buffer, 3).collect();
        let first = RawRecord { device: 7, absolute: false, buttons: 1, dx: 3, dy: -2 };
        let last = RawRecord { device: 8, absolute: true, buttons: 0, dx: 100, dy: 200 };
        assert_eq!(records, [first, last]);
        // The count is believed, not the bytes behind it.
        assert_eq!(RawRecords::new(&buffer, 1).count(), 1);
    }

    #[test]
    fn a_torn_or_senseless_buffer_ends_the_list() {
        let whole = bytes(0, 7, 0, 1, [3, -2]);
        assert_eq!(RawRecords::new(&whole[..47], 1).count(), 0);
        let mut senseless = whole.clone();
        senseless[4..8].copy_from_slice(&3_u32.to_ne_bytes());
        assert_eq!(RawRecords::new(&senseless, 2).count(), 0);
        assert_eq!(RawRecords::new(&whole, 5).count(), 1);
        assert_eq!(RawRecords::new(&[], 1).count(), 0);
    }

    #[test]
    fn empty_reports_and_the_first_jump_are_dropped_but_no_button_is() {
        let mut mouse = RawMouse::new(MOUSE);
        assert_eq!(heard(&mut mouse, 0, [0, 0]), (Taken::Empty, vec![]));
        let press = InputEvent::Press { device: MOUSE, button: Button::Left, stamp: stamp() };
        assert_eq!(heard(&mut mouse, 1, [640, 360]), (Taken::FirstMotion, vec![press]));
        let motion = InputEvent::Motion { device: MOUSE, dx: 2, dy: 1, stamp: stamp() };
        let release = InputEvent::Release { device: MOUSE, button: Button::Left, stamp: stamp() };
        assert_eq!(heard(&mut mouse, 2, [2, 1]), (Taken::Heard, vec![motion, release]));
        // A wheel's turn is no answer of the hand, and not an empty report either.
        assert_eq!(heard(&mut mouse, 0x400, [0, 0]), (Taken::Heard, vec![]));
    }

    #[test]
    fn the_press_comes_first_in_a_click_within_one_report() {
        let mut mouse = RawMouse::new(MOUSE);
        let downs = |events: Vec<InputEvent>| -> Vec<bool> {
            events.iter().map(|event| matches!(event, InputEvent::Press { .. })).collect()
        };
        assert_eq!(downs(heard(&mut mouse, 3, [0, 0]).1), [true, false]);
        assert_eq!(downs(heard(&mut mouse, 1, [0, 0]).1), [true]);
        // Held before: it was let go of and pressed anew.
        assert_eq!(downs(heard(&mut mouse, 3, [0, 0]).1), [false, true]);
        let every = heard(&mut mouse, 0x155, [0, 0]).1;
        let buttons: Vec<Button> = every
            .iter()
            .filter_map(|event| match event {
                InputEvent::Press { button, .. } => Some(*button),
                _ => None,
            })
            .collect();
        let others = [Button::Other(4), Button::Other(5)];
        assert_eq!(
            buttons,
            [vec![Button::Left, Button::Right, Button::Middle], others.into()].concat()
        );
    }

    #[test]
    fn a_place_is_no_way() {
        let mut mouse = RawMouse::new(MOUSE);
        let place = RawRecord { device: 7, absolute: true, buttons: 1, dx: 9_000, dy: 9_000 };
        let none = |event| panic!("{event:?} of a device that is no mouse");
        assert_eq!(mouse.take(&place, stamp(), none), Taken::Absolute);
    }

    #[test]
    fn records_that_shared_a_wake_up_are_as_doubtful_as_the_time_they_may_have_waited() {
        let wake_of = |records, waited_us: i64, least| {
            let t = Nanos(1_000_000_000);
            WakeUp { t, empty_at: t - Span(waited_us * 1_000), records, least }.stamp().sd
        };
        let wake = |records, waited_us| wake_of(records, waited_us, RAW_INPUT_SD);
        // A lone one woke the thread, however long that had slept before.
        assert_eq!(wake(1, 20_000), RAW_INPUT_SD);
        assert_eq!(wake(2, 500), RAW_INPUT_SD);
        // 12 ms / √12 = 3.4641 ms, rounded up to 0.1 ms.
        assert_eq!(wake(2, 12_000), Span(3_500_000));
        // Under wine a lone one has waited too, for the window's thread.
        assert_eq!(wake_of(1, 20_000, WINE_SD), WINE_SD);
        assert_eq!(wake_of(2, 500, WINE_SD), WINE_SD);
        assert_eq!(wake_of(2, 12_000, WINE_SD), Span(3_500_000));
    }

    #[test]
    fn paths_tell_vendor_and_product() {
        let usb = r"\\?\HID#VID_046D&PID_C08B&MI_00#7&1a2b3c&0&0000#{378de44c-56ef-11d1-bc8c-00a0c91405dd}";
        assert_eq!(model_of(usb).as_deref(), Some("046d:c08b"));
        let bluetooth = r"\\?\HID#{00001812-0000-1000-8000-00805f9b34fb}_Dev_VID&02046D_PID&B342_REV&0011#9&0&0000#{378de44c}";
        assert_eq!(model_of(bluetooth).as_deref(), Some("046d:b342"));
        assert_eq!(model_of(r"\\?\ROOT#RDP_MOU#0000#{378de44c}"), None);
        assert_eq!(model_of(r"\\?\WINE_MOUSE"), None);
    }
}
