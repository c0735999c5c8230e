//! From the stamp of what a hand did to its ring, and from the ring to the session.

use crate::counting;
use tautline::clock::Bell;
use tautline::input::decode::{KernelRecord, RECORD_BYTES, Reports};
use tautline::input::{Hands, InputChoice, InputEvent, OfWindow, Opened};
use tautline::units::{Button, DeviceId};

/// More than the ring holds, so that an overrun is among it.
const MANY: u32 = 40_000;

#[test]
fn a_ring_is_filled_overrun_and_emptied_without_asking_for_memory() {
    let bell = Bell::of_this_thread();
    let opened = Hands::open(InputChoice::Window, None, OfWindow::default(), bell).unwrap();
    let Opened { mut hands, feed } = opened;
    let mut feed = feed.unwrap();
    hands.set_focused(true);
    // A device that speaks for the first time is announced, which asks for memory, once.
    feed.press(Button::Left);
    assert!(hands.next().is_some());
    assert_eq!(hands.new_devices().len(), 1);

    let before = counting::calls();
    for n in 0..MANY {
        feed.press(Button::Left);
        feed.motion(f64::from(n % 7) - 3.0, 0.3);
        feed.release(Button::Left);
        feed.idle();
    }
    let filled = counting::calls();
    let mut heard = 0;
    while hands.next().is_some() {
        heard += 1;
    }
    feed.press(Button::Left);
    feed.idle();
    let after = std::iter::from_fn(|| hands.next()).count();
    let announced = hands.new_devices();
    let emptied = counting::calls();
    assert_eq!(filled - before, 0, "filling");
    assert_eq!(emptied - filled, 0, "emptying");
    assert!(heard > 10_000 && after >= 1 && hands.overflowed() > 0, "all of it was done");
    assert!(announced.is_empty());
}

#[test]
fn a_kernel_report_is_decoded_without_asking_for_memory() {
    let bytes = include_bytes!("../data/input/dropped.evdev");
    let (records, _) = bytes.as_chunks::<RECORD_BYTES>();
    let mut reports = Reports::new(DeviceId(1));
    let mut gaps = 0;
    let mut events = 0;
    let before = counting::calls();
    for record in records {
        reports.take(KernelRecord::from_bytes(record), |event| {
            events += 1;
            gaps += u32::from(matches!(event, InputEvent::Gap { .. }));
        });
    }
    assert_eq!(counting::calls() - before, 0);
    assert!(events > 20 && gaps == 1, "all of it was decoded");
}
