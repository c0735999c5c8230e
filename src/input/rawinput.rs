//! Windows raw input (WM_INPUT): counts before acceleration, per mouse, on a thread of its own.
//!
//! One registration a process and usage is all there is: the window library must have been told to
//! listen to no device events before, and never again. Registered without RIDEV_INPUTSINK, so it
//! hears only while a window of this program is in front. Invariants: the message-only window
//! belongs to the thread that reads; the moment is read before the buffer is.
//!
//! Tried under wine; not yet run on this system itself.

use super::InputEvent;
use super::choice::Reason;
use super::devices::Devices;
use super::lane::LaneIn;
use super::raw_devices::{self, RawDevice};
use super::raw_records::{
    HEADER_BYTES, RAW_INPUT_SD, RawMouse, RawRecord, RawRecords, Taken, WINE_SD, WakeUp,
};
use super::source::{Ended, LONGEST_WAIT, Source};
use super::wine::wine_version;
use crate::clock;
use crate::units::{DeviceId, MotionUnit, Nanos, Span, Stamp};
use std::io;
use std::ptr;
use std::sync::Arc;
use windows_sys::Win32::Foundation::{HWND, WAIT_FAILED};
use windows_sys::Win32::UI::Input::{GetRawInputBuffer, RAWINPUTDEVICE, RegisterRawInputDevices};
use windows_sys::Win32::UI::WindowsAndMessaging::{
    CreateWindowExW, DestroyWindow, DispatchMessageW, GetQueueStatus, HWND_MESSAGE, MSG,
    MsgWaitForMultipleObjectsEx, PM_REMOVE, PeekMessageW, QS_ALLINPUT, WM_INPUT,
};

/// Room for what a mouse of 8,000 reports a second says in 170 ms, in words of 8 bytes (records are
/// aligned so).
const BUFFER_WORDS: usize = 8_192;

/// How often the list of devices is compared. A mouse that comes speaks by itself; this is for those
/// that go, and for the names of new ones.
const LOOK_EVERY: Span = Span::from_ms(250);

/// Usage page and usage of a mouse (HID Usage Tables: Generic Desktop, Mouse).
const MOUSE_USAGE: [u16; 2] = [1, 2];

/// A mouse that is there.
#[derive(Debug)]
struct Mouse {
    handle: u64,
    id: DeviceId,
    wanted: bool,
    /// It tells places: not heard.
    absolute: bool,
    said: RawMouse,
}

/// The window that the records are sent to; goes with the thread.
#[derive(Debug)]
struct Listening(HWND);

// SAFETY: a window's handle is a number. It is made and used on the source's own thread; only the
// source that has none yet is moved there.
#[expect(unsafe_code, reason = "a window's handle is a pointer by its type alone")]
unsafe impl Send for Listening {}

/// Raw input of every mouse (or of the wanted one).
#[derive(Debug)]
pub(crate) struct RawInput {
    /// Held, never read: without its window nothing comes.
    _listening: Option<Listening>,
    mice: Vec<Mouse>,
    devices: Arc<Devices>,
    wanted: Option<String>,
    buffer: Vec<u64>,
    /// The least doubt of a stamp here.
    least_sd: Span,
    empty_at: Nanos,
    looked_at: Nanos,
}

impl RawInput {
    /// Looks which mice there are. Listens only once its thread has begun.
    ///
    /// # Errors
    /// No mouse, or not the wanted one.
    pub(crate) fn open(devices: Arc<Devices>, wanted: Option<&str>) -> Result<RawInput, Reason> {
        let now = clock::now();
        let mut source = RawInput {
            _listening: None,
            mice: Vec::new(),
            devices,
            wanted: wanted.map(str::to_owned),
            buffer: vec![0; BUFFER_WORDS],
            least_sd: if wine_version().is_some() { WINE_SD } else { RAW_INPUT_SD },
            empty_at: now,
            looked_at: now,
        };
        source.compare(raw_devices::mice()?, None);
        if source.mice.is_empty() {
            return Err(Reason::NoMouse);
        }
        if let (false, Some(wanted)) = (source.mice.iter().any(|mouse| mouse.wanted), wanted) {
            let present = source.devices.all().into_iter().map(|info| info.ident).collect();
            return Err(Reason::NoSuchMouse { wanted: wanted.to_owned(), present });
        }
        Ok(source)
    }

    /// Takes up mice that have come and lets go of those that went.
    fn compare(&mut self, there: Vec<RawDevice>, mut lane: Option<&mut LaneIn>) {
        let devices = &self.devices;
        self.mice.retain(|mouse| {
            let stays = there.iter().any(|found| found.handle == mouse.handle);
            if !stays {
                devices.left(mouse.id);
                if let (Some(lane), true) = (lane.as_deref_mut(), mouse.wanted && !mouse.absolute) {
                    lane.offer(InputEvent::Unplugged { device: mouse.id, t: clock::now() });
                }
            }
            stays
        });
        for found in there {
            if self.mice.iter().any(|mouse| mouse.handle == found.handle) {
                continue;
            }
            let entered = self.devices.enter(found.identity, MotionUnit::Counts, 1);
            let wanted = self.devices.is_wanted(entered.id, self.wanted.as_deref());
            if let (Some(lane), true) = (lane.as_deref_mut(), wanted && entered.again) {
                lane.offer(InputEvent::Replugged { device: entered.id, t: clock::now() });
            }
            self.mice.push(Mouse {
                handle: found.handle,
                id: entered.id,
                wanted,
                absolute: false,
                said: RawMouse::new(entered.id),
            });
        }
    }

    fn look_again(&mut self, lane: &mut LaneIn) {
        // Where the list cannot be had, nothing has come or gone.
        if let Ok(there) = raw_devices::mice() {
            self.compare(there, Some(lane));
        }
        self.looked_at = clock::now();
    }

    /// Reads the queue until it is empty.
    fn read_all(&mut self, lane: &mut LaneIn) -> Result<(), Ended> {
        loop {
            let t = clock::now();
            let records = read(&mut self.buffer)?;
            if records == 0 {
                return Ok(());
            }
            lane.note_wake_up(records);
            let wake_up = WakeUp { t, empty_at: self.empty_at, records, least: self.least_sd };
            let stamp = wake_up.stamp();
            // The buffer leaves for the loop below, which needs the rest of `self`.
            let buffer = std::mem::take(&mut self.buffer);
            for record in RawRecords::new(bytes_of(&buffer), records) {
                self.take(&record, stamp, lane);
            }
            self.buffer = buffer;
            self.empty_at = t;
        }
    }

    fn take(&mut self, record: &RawRecord, stamp: Stamp, lane: &mut LaneIn) {
        // Without a device behind it, a program has made it up, or a touchpad.
        if record.device == 0 {
            return;
        }
        let known = self.mice.iter().position(|mouse| mouse.handle == record.device);
        let index = known.or_else(|| {
            self.look_again(lane);
            self.mice.iter().position(|mouse| mouse.handle == record.device)
        });
        let Some(mouse) = index.and_then(|index| self.mice.get_mut(index)) else { return };
        if !mouse.wanted || mouse.absolute {
            return;
        }
        if mouse.said.take(record, stamp, |event| lane.offer(event)) == Taken::Absolute {
            // If it was heard before, it is gone as a mouse: a place says no counts.
            mouse.absolute = true;
            lane.offer(InputEvent::Unplugged { device: mouse.id, t: stamp.t });
        }
    }
}

impl Source for RawInput {
    const THREAD: &'static str = "input raw";

    fn begin(&mut self) -> Result<(), Reason> {
        self._listening = Some(listen().map_err(|source| Reason::NotRegistered { source })?);
        self.empty_at = clock::now();
        Ok(())
    }

    fn turn(&mut self, lane: &mut LaneIn) -> Result<(), Ended> {
        wait()?;
        // What comes after this moment is stamped after this moment.
        let pass = clock::now();
        self.read_all(lane)?;
        self.empty_at = self.empty_at.max(pass);
        empty_the_rest();
        if pass - self.looked_at > LOOK_EVERY {
            self.look_again(lane);
        }
        lane.settle(pass);
        Ok(())
    }
}

impl Drop for Listening {
    /// The registration is not taken back: by then another source may have registered itself.
    #[expect(unsafe_code, reason = "windows have no safe face in std")]
    fn drop(&mut self) {
        // SAFETY: the window belongs to this thread, which made it.
        unsafe { DestroyWindow(self.0) };
    }
}

/// Makes the message-only window and registers for mice. On the thread that will read.
#[expect(unsafe_code, reason = "raw input has no safe face in std")]
fn listen() -> io::Result<Listening> {
    let class: Vec<u16> = "STATIC\0".encode_utf16().collect();
    // SAFETY: the class is the system's own and its name ends on a zero; nothing else is passed.
    let window = unsafe {
        CreateWindowExW(
            0,
            class.as_ptr(),
            ptr::null(),
            0,
            0,
            0,
            0,
            0,
            HWND_MESSAGE,
            ptr::null_mut(),
            ptr::null_mut(),
            ptr::null(),
        )
    };
    if window.is_null() {
        return Err(io::Error::last_os_error());
    }
    let listening = Listening(window);
    let [page, usage] = MOUSE_USAGE;
    let wish = RAWINPUTDEVICE { usUsagePage: page, usUsage: usage, dwFlags: 0, hwndTarget: window };
    let size = u32::try_from(size_of::<RAWINPUTDEVICE>()).expect("a few bytes");
    // SAFETY: one valid structure of the size that is told.
    let registered = unsafe { RegisterRawInputDevices(&raw const wish, 1, size) };
    if registered == 0 { Err(io::Error::last_os_error()) } else { Ok(listening) }
}

/// Waits until the thread's queue has something new, at most [`LONGEST_WAIT`].
#[expect(unsafe_code, reason = "message queues have no safe face in std")]
fn wait() -> Result<(), Ended> {
    let ms = u32::try_from(LONGEST_WAIT.0 / 1_000_000).expect("20 ms");
    // SAFETY: no handles are passed.
    let woke = unsafe { MsgWaitForMultipleObjectsEx(0, ptr::null(), ms, QS_ALLINPUT, 0) };
    if woke == WAIT_FAILED {
        let error = io::Error::last_os_error();
        return Err(Ended { what: "waiting for input", detail: error.to_string() });
    }
    // Marks what lies there as seen, so that only what comes from now on wakes the next wait.
    // SAFETY: takes flags only.
    unsafe { GetQueueStatus(QS_ALLINPUT) };
    Ok(())
}

/// Fills the buffer with what lies in the queue; how many records that were.
#[expect(unsafe_code, reason = "raw input has no safe face in std")]
fn read(buffer: &mut [u64]) -> Result<u32, Ended> {
    let mut size = u32::try_from(size_of_val(buffer)).expect("64 KiB");
    let header = u32::try_from(HEADER_BYTES).expect("24 bytes");
    // SAFETY: the buffer is aligned to 8 bytes, as records are, and has the size that is told.
    let records = unsafe { GetRawInputBuffer(buffer.as_mut_ptr().cast(), &raw mut size, header) };
    if records == u32::MAX {
        let error = io::Error::last_os_error();
        return Err(Ended { what: "reading raw input", detail: error.to_string() });
    }
    Ok(records)
}

#[expect(unsafe_code, reason = "words as the bytes that they are have no safe face in std")]
fn bytes_of(words: &[u64]) -> &[u8] {
    // SAFETY: the same memory; bytes have no alignment and every pattern is one.
    unsafe { std::slice::from_raw_parts(words.as_ptr().cast(), size_of_val(words)) }
}

/// Takes every other message out of the queue, so that it does not fill up.
#[expect(unsafe_code, reason = "message queues have no safe face in std")]
fn empty_the_rest() {
    let mut message = MSG::default();
    for [from, to] in [[0, WM_INPUT - 1], [WM_INPUT + 1, u32::MAX]] {
        // SAFETY: `message` outlives the calls; a null window means the thread's own.
        unsafe {
            while PeekMessageW(&raw mut message, ptr::null_mut(), from, to, PM_REMOVE) != 0 {
                DispatchMessageW(&raw const message);
            }
        }
    }
}
