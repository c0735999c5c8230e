//! Mice made through /dev/uinput, for a machine whose kernel may be asked (a virtual one, as root).
//!
//! The mice tell relative motion, a wheel and three buttons; each writes whole reports at a steady
//! rate and keeps when. Layouts and numbers are those of linux/uinput.h.
#![expect(unsafe_code, reason = "uinput is asked by ioctl")]

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::os::fd::AsRawFd;
use std::thread::JoinHandle;
use tautline::clock;
use tautline::units::{Nanos, Span};

const UI_SET_EVBIT: libc::Ioctl = 0x4004_5564;
const UI_SET_KEYBIT: libc::Ioctl = 0x4004_5565;
const UI_SET_RELBIT: libc::Ioctl = 0x4004_5566;
const UI_DEV_CREATE: libc::Ioctl = 0x5501;
/// `struct uinput_user_dev`: name, bus, vendor, product, version, then numbers that stay 0.
const USER_DEV_BYTES: usize = 80 + 8 + 4 + 4 * 64 * 4;

/// One mouse; it goes when this is dropped.
pub(crate) struct Made(File);

/// Makes a mouse.
pub(crate) fn make(product: u16) -> Made {
    let mut file = OpenOptions::new().write(true).open("/dev/uinput").expect("uinput, as root");
    let ask = |request: libc::Ioctl, number: libc::c_int| {
        // SAFETY: the descriptor is open; these requests take a number and touch no memory of ours.
        let code = unsafe { libc::ioctl(file.as_raw_fd(), request, number) };
        assert_eq!(code, 0, "{}", std::io::Error::last_os_error());
    };
    for (request, numbers) in [
        (UI_SET_EVBIT, [1, 2].as_slice()),
        (UI_SET_KEYBIT, &[0x110, 0x111, 0x112]),
        (UI_SET_RELBIT, &[0, 1, 8]),
    ] {
        numbers.iter().for_each(|&number| ask(request, number));
    }
    let mut description = [0_u8; USER_DEV_BYTES];
    description[..10].copy_from_slice(b"Made mouse");
    for (place, number) in [(80, 3_u16), (82, 0x1209), (84, product), (86, 1)] {
        description[place..place + 2].copy_from_slice(&number.to_ne_bytes());
    }
    file.write_all(&description).expect("uinput takes the description");
    // SAFETY: as above; this request takes nothing.
    let code = unsafe { libc::ioctl(file.as_raw_fd(), UI_DEV_CREATE) };
    assert_eq!(code, 0, "{}", std::io::Error::last_os_error());
    Made(file)
}

/// Writes `count` reports of (2, -1), `rate` a second, from `start` on; returns when each was written.
pub(crate) fn play(mouse: Made, rate: u32, count: u32, start: Nanos) -> JoinHandle<Vec<Nanos>> {
    std::thread::Builder::new()
        .name("made mouse".to_owned())
        .spawn(move || {
            let Made(mut file) = mouse;
            let report: Vec<u8> =
                [(2_u16, 0_u16, 2_i32), (2, 1, -1), (0, 0, 0)].iter().flat_map(record).collect();
            let mut written = Vec::with_capacity(count as usize);
            for n in 0..count {
                let due = start + Span(i64::from(n) * 1_000_000_000 / i64::from(rate));
                sleep_until(due);
                written.push(clock::now());
                file.write_all(&report).expect("uinput takes a report");
            }
            // The mouse stays plugged in until what it said was read.
            sleep_until(clock::now() + Span::from_ms(300));
            written
        })
        .expect("the system gives a thread")
}

fn record(&(kind, code, value): &(u16, u16, i32)) -> Vec<u8> {
    let mut bytes = vec![0_u8; 16];
    bytes.extend(kind.to_ne_bytes());
    bytes.extend(code.to_ne_bytes());
    bytes.extend(value.to_ne_bytes());
    bytes
}

fn sleep_until(due: Nanos) {
    if let Ok(left_ns) = u64::try_from((due - clock::now()).0) {
        std::thread::sleep(std::time::Duration::from_nanos(left_ns));
    }
}
