//! The kernel's own mice (Linux evdev): the kernel's stamps, no display server between.
//!
//! Reads mice only, and what it hears without the window's focus is dropped by the lane. Invariants:
//! the clock is set straight after opening, before the first read; events leave in the order of their
//! stamps, whatever the order in which the files were read; a mouse that goes is told as gone.

use super::InputEvent;
use super::choice::Reason;
use super::decode::{KernelRecord, RECORD_BYTES, Reports};
use super::devices::Devices;
use super::lane::LaneIn;
use super::mice::{self, KernelMouse};
use super::source::{Ended, LONGEST_WAIT, Source};
use super::wait::{Watch, poll, wait_for};
use crate::clock;
use crate::units::{DeviceId, MotionUnit, Span};
use std::fs::{File, OpenOptions};
use std::io::{self, Read};
use std::os::fd::AsRawFd;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// `_IOW('E', 0xa0, int)` of linux/input.h. The number of the clock goes by pointer; by value it is EFAULT.
const EVIOCSCLOCKID: libc::Ioctl = 0x4004_45a0;

/// Records read at once. The kernel's queue of a mouse holds some 126.
const BATCH: usize = 128;

/// Events kept back until every mouse was read; beyond this the oldest go on their way.
const PENDING: usize = 4_096;

/// An event is stamped some µs before it can be read, and its stamp is cut to whole µs.
const IN_THE_KERNEL: Span = Span::from_ms(1);

const _: () = assert!(size_of::<libc::input_event>() == RECORD_BYTES, "64-bit Linux");

#[derive(Debug)]
struct Mouse {
    file: File,
    node: PathBuf,
    id: DeviceId,
    reports: Reports,
    gone: bool,
}

/// A mouse that is there and that nobody asked to hear.
#[derive(Debug)]
struct Unheard {
    node: PathBuf,
    id: DeviceId,
}

/// All mice that may be read (or the one that is wanted).
#[derive(Debug)]
pub(crate) struct Evdev {
    mice: Vec<Mouse>,
    unheard: Vec<Unheard>,
    /// Of the device files; `None` where the system grants none: mice that come are then not heard.
    watch: Option<Watch>,
    devices: Arc<Devices>,
    wanted: Option<String>,
    waits: Vec<libc::pollfd>,
    pending: Vec<InputEvent>,
}

impl Evdev {
    /// Opens every mouse, or the one that is `wanted`.
    ///
    /// # Errors
    /// No folder, no mouse, not the wanted one, or one of them may not be read: half of the mice
    /// would be worse than none, since the player might hold the other one.
    pub(crate) fn open(devices: Arc<Devices>, wanted: Option<&str>) -> Result<Evdev, Reason> {
        let watch = Watch::of(mice::NODES);
        let there = mice::mice()?;
        if there.is_empty() {
            return Err(Reason::NoMouse);
        }
        let mut evdev = Evdev {
            mice: Vec::new(),
            unheard: Vec::new(),
            watch,
            devices,
            wanted: wanted.map(str::to_owned),
            waits: Vec::new(),
            pending: Vec::with_capacity(PENDING),
        };
        for mouse in &there {
            let id = evdev.devices.enter(mouse.identity.clone(), MotionUnit::Counts, 1).id;
            if evdev.devices.is_wanted(id, wanted) {
                let opened = open_mouse(mouse, id)?;
                evdev.mice.push(opened);
            } else {
                evdev.unheard.push(Unheard { node: mouse.node.clone(), id });
            }
        }
        if let (true, Some(wanted)) = (evdev.mice.is_empty(), wanted) {
            let present = evdev.devices.all().into_iter().map(|info| info.ident).collect();
            return Err(Reason::NoSuchMouse { wanted: wanted.to_owned(), present });
        }
        evdev.renew_waits();
        Ok(evdev)
    }

    fn renew_waits(&mut self) {
        self.waits.clear();
        self.waits.extend(self.watch.iter().map(wait_for));
        self.waits.extend(self.mice.iter().map(|mouse| wait_for(&mouse.file)));
    }

    /// Reads every mouse empty. `false`: one of them may still hold something.
    fn read_all(&mut self) -> Result<bool, Ended> {
        let mut all_empty = true;
        let pending = &mut self.pending;
        for mouse in &mut self.mice {
            let room = PENDING.saturating_sub(pending.len());
            match mouse.read(room, |event| insert_by_stamp(pending, event)) {
                Ok(empty) => all_empty &= empty,
                Err(error) if error.raw_os_error() == Some(libc::ENODEV) => mouse.gone = true,
                Err(error) => {
                    return Err(Ended { what: "reading a mouse", detail: error.to_string() });
                }
            }
        }
        Ok(all_empty)
    }

    fn let_go(&mut self, lane: &mut LaneIn) {
        if !self.mice.iter().any(|mouse| mouse.gone) {
            return;
        }
        let devices = &self.devices;
        self.mice.retain(|mouse| {
            if mouse.gone {
                devices.left(mouse.id);
                lane.offer(InputEvent::Unplugged { device: mouse.id, t: clock::now() });
            }
            !mouse.gone
        });
        self.renew_waits();
    }

    /// Takes up mice that have come, or that may be read only now.
    fn look_again(&mut self, lane: &mut LaneIn) {
        // Where nothing can be listed, nothing has come.
        let there = mice::mice().unwrap_or_default();
        let devices = &self.devices;
        self.unheard.retain(|unheard| {
            let stays = there.iter().any(|mouse| mouse.node == unheard.node);
            if !stays {
                devices.left(unheard.id);
            }
            stays
        });
        for mouse in &there {
            let heard = self.mice.iter().any(|known| known.node == mouse.node);
            let known = heard || self.unheard.iter().any(|known| known.node == mouse.node);
            if !known {
                self.take_up(mouse, lane);
            }
        }
        self.renew_waits();
    }

    fn take_up(&mut self, mouse: &KernelMouse, lane: &mut LaneIn) {
        // A mouse that may not be read is no error here: the system sets its permissions a little
        // after it has come, and then the folder tells again.
        let Ok(mut opened) = open_mouse(mouse, DeviceId(0)) else { return };
        let entered = self.devices.enter(mouse.identity.clone(), MotionUnit::Counts, 1);
        if !self.devices.is_wanted(entered.id, self.wanted.as_deref()) {
            self.unheard.push(Unheard { node: mouse.node.clone(), id: entered.id });
            return;
        }
        opened.id = entered.id;
        opened.reports = Reports::new(entered.id);
        self.mice.push(opened);
        if entered.again {
            lane.offer(InputEvent::Replugged { device: entered.id, t: clock::now() });
        }
    }
}

impl Source for Evdev {
    const THREAD: &'static str = "input evdev";

    fn turn(&mut self, lane: &mut LaneIn) -> Result<(), Ended> {
        let wait = if self.pending.is_empty() { LONGEST_WAIT } else { Span::ZERO };
        poll(&mut self.waits, wait)?;
        let folder_changed =
            self.watch.is_some() && self.waits.first().is_some_and(|wait| wait.revents != 0);
        let pass = clock::now();
        let all_empty = self.read_all()?;
        // What is stamped after the pass began may be overtaken by a mouse that was read before it
        // spoke: it waits for the next pass, which follows at once.
        let ready = match self.pending.len() {
            PENDING.. => self.pending.len(),
            _ => self.pending.partition_point(|event| event.t() <= pass),
        };
        for event in self.pending.drain(..ready) {
            lane.offer(event);
        }
        self.let_go(lane);
        if all_empty {
            lane.settle(pass - IN_THE_KERNEL);
        }
        if folder_changed {
            if let Some(watch) = &mut self.watch {
                watch.forget_what_it_told()?;
            }
            self.look_again(lane);
        }
        Ok(())
    }
}

impl Mouse {
    /// Reads at most until `room` events were pushed; `true` if the kernel has nothing more.
    fn read(&mut self, room: usize, mut push: impl FnMut(InputEvent)) -> io::Result<bool> {
        let mut bytes = [0_u8; BATCH * RECORD_BYTES];
        let mut pushed = 0;
        while pushed + BATCH <= room {
            let count = match self.file.read(&mut bytes) {
                Ok(count) => count,
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => return Ok(true),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            let (records, _) = bytes[..count].as_chunks::<RECORD_BYTES>();
            for record in records {
                self.reports.take(KernelRecord::from_bytes(record), |event| {
                    pushed += 1;
                    push(event);
                });
            }
            if count < bytes.len() {
                return Ok(true);
            }
        }
        Ok(false)
    }
}

/// Keeps `pending` in the order of stamps, equal ones in the order they came in; within its capacity
/// nothing is allocated.
fn insert_by_stamp(pending: &mut Vec<InputEvent>, event: InputEvent) {
    let after = pending.iter().rposition(|earlier| earlier.t() <= event.t());
    pending.insert(after.map_or(0, |index| index + 1), event);
}

/// Whether one mouse could be read, without keeping it.
pub(crate) fn try_open(mouse: &KernelMouse) -> Result<(), Reason> {
    open_mouse(mouse, DeviceId(0)).map(drop)
}

#[expect(unsafe_code, reason = "the kernel's choice of clock has no safe face in std")]
fn open_mouse(mouse: &KernelMouse, id: DeviceId) -> Result<Mouse, Reason> {
    let KernelMouse { node, identity } = mouse;
    let file = OpenOptions::new().read(true).custom_flags(libc::O_NONBLOCK).open(node).map_err(
        |source| Reason::NotReadable { name: identity.name.clone(), path: node.clone(), source },
    )?;
    let clock: libc::c_int = libc::CLOCK_MONOTONIC;
    // SAFETY: the descriptor is open, and the kernel reads one int behind a pointer that is valid.
    let code = unsafe { libc::ioctl(file.as_raw_fd(), EVIOCSCLOCKID, &raw const clock) };
    if code != 0 {
        let source = io::Error::last_os_error();
        return Err(Reason::NoClock { name: identity.name.clone(), source });
    }
    Ok(Mouse { file, node: node.clone(), id, reports: Reports::new(id), gone: false })
}

/// Opens a device that is no mouse, with the kernel's stamps on our clock; reads do not wait.
///
/// # Errors
/// As the system says.
#[expect(unsafe_code, reason = "the kernel's choice of clock has no safe face in std")]
pub(crate) fn open_node(node: &Path) -> io::Result<File> {
    let file = OpenOptions::new().read(true).custom_flags(libc::O_NONBLOCK).open(node)?;
    let clock: libc::c_int = libc::CLOCK_MONOTONIC;
    // SAFETY: the descriptor is open, and the kernel reads one int behind a pointer that is valid.
    let code = unsafe { libc::ioctl(file.as_raw_fd(), EVIOCSCLOCKID, &raw const clock) };
    if code == 0 { Ok(file) } else { Err(io::Error::last_os_error()) }
}

/// Where an absolute axis stands now: the kernel tells only of changes.
#[expect(unsafe_code, reason = "the kernel's word on an axis has no safe face in std")]
pub(crate) fn axis_now(file: &File, code: u16) -> io::Result<i32> {
    /// `_IOR('E', 0x40, struct input_absinfo)`; the axis's code is added.
    const EVIOCGABS: libc::Ioctl = 0x8018_4540_u32 as libc::Ioctl;
    // `struct input_absinfo`: value, minimum, maximum, fuzz, flat, resolution.
    let mut info = [0_i32; 6];
    let request = EVIOCGABS + libc::Ioctl::from(code);
    // SAFETY: the descriptor is open, and the kernel writes six ints behind a pointer that is valid.
    let code = unsafe { libc::ioctl(file.as_raw_fd(), request, info.as_mut_ptr()) };
    if code < 0 { Err(io::Error::last_os_error()) } else { Ok(info[0]) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Nanos;

    fn gap(t_ns: i64) -> InputEvent {
        InputEvent::Gap { lost: 0, t: Nanos(t_ns) }
    }

    #[test]
    fn two_mice_leave_in_the_order_of_their_stamps() {
        let mut pending = Vec::new();
        for t_ns in [1, 4, 6, 2, 4, 9] {
            insert_by_stamp(&mut pending, gap(t_ns));
        }
        let order: Vec<i64> = pending.iter().map(|event| event.t().0).collect();
        assert_eq!(order, [1, 2, 4, 4, 6, 9]);
    }
}
