//! What the input decoders make of records that a real kernel gave (tests/data/input/README.md), and
//! what the estimate of the report interval makes of a known rhythm.

use tautline::clock::Bell;
use tautline::input::decode::{EVDEV_SD, KernelRecord, RECORD_BYTES, Reports};
use tautline::input::{FEWEST_INTERVALS, Hands, InputChoice, InputEvent, OfWindow, ReportInterval};
use tautline::units::{Button, DeviceId, Nanos, Span, Stamp, StampSource};

const MOUSE: DeviceId = DeviceId(3);

fn decoded(bytes: &[u8]) -> Vec<InputEvent> {
    let (records, rest) = bytes.as_chunks::<RECORD_BYTES>();
    assert!(rest.is_empty(), "the recording holds whole records");
    let mut reports = Reports::new(MOUSE);
    let mut events = Vec::new();
    for record in records {
        reports.take(KernelRecord::from_bytes(record), |event| events.push(event));
    }
    events
}

fn stamp(s: i64, us: i64) -> Stamp {
    let t = Nanos(s * 1_000_000_000 + us * 1_000);
    Stamp { t, source: StampSource::Evdev, sd: EVDEV_SD }
}

#[test]
fn a_button_held_while_unplugged_is_not_released() {
    let events = decoded(include_bytes!("../data/input/unplugged.evdev"));
    let s = 1_795_608_991;
    let press = |button, stamp| InputEvent::Press { device: MOUSE, button, stamp };
    assert_eq!(
        events,
        [
            InputEvent::Motion { device: MOUSE, dx: -4, dy: 8, stamp: stamp(s, 793_348) },
            press(Button::Right, stamp(s, 894_312)),
            InputEvent::Release { device: MOUSE, button: Button::Right, stamp: stamp(s, 925_125) },
            press(Button::Left, stamp(s + 1, 127_320)),
        ]
    );
}

#[test]
fn after_a_drop_the_torn_report_is_not_believed() {
    let events = decoded(include_bytes!("../data/input/dropped.evdev"));
    let s = 1_795_609_030;
    // The recording goes on with (2 1 -1)(0 0 0), the tail of a report whose x was dropped.
    assert_eq!(
        events[..2],
        [
            InputEvent::Gap { lost: 0, t: stamp(s, 343_790).t },
            InputEvent::Motion { device: MOUSE, dx: 2, dy: -2, stamp: stamp(s, 351_755) },
        ]
    );
    // Every motion was along (1, -1): a torn report would not be.
    let mut motions = 0;
    for event in &events {
        if let InputEvent::Motion { dx, dy, .. } = event {
            assert_eq!(*dx, -dy, "{event:?}");
            motions += 1;
        }
    }
    assert_eq!(motions, 20);
    let click = &events[events.len() - 2..];
    assert!(matches!(click[0], InputEvent::Press { button: Button::Left, .. }), "{click:?}");
    assert!(matches!(click[1], InputEvent::Release { button: Button::Left, .. }), "{click:?}");
    assert_eq!(click[1].t() - click[0].t(), Span(50_937_000));
}

fn record(kind: u16, code: u16, value: i32) -> KernelRecord {
    KernelRecord { t: Nanos(7_000), kind, code, value }
}

#[test]
fn a_click_and_its_motion_share_one_stamp_and_the_motion_goes_first() {
    let mut reports = Reports::new(MOUSE);
    let mut events = Vec::new();
    for record in [
        record(4, 4, 589_825),
        record(1, 0x110, 1),
        record(1, 0x113, 1),
        record(2, 0, 3),
        record(2, 8, -1),
        record(0, 0, 0),
    ] {
        reports.take(record, |event| events.push(event));
    }
    let stamp = Stamp { t: Nanos(7_000), source: StampSource::Evdev, sd: EVDEV_SD };
    assert_eq!(
        events,
        [
            InputEvent::Motion { device: MOUSE, dx: 3, dy: 0, stamp },
            InputEvent::Press { device: MOUSE, button: Button::Left, stamp },
            InputEvent::Press { device: MOUSE, button: Button::Other(4), stamp },
        ]
    );
}

#[test]
fn the_interval_is_that_of_brisk_motion() {
    let mut interval = ReportInterval::default();
    let mut t = Nanos(1_000_000_000);
    let mut moved = |interval: &mut ReportInterval, by: i64, counts: u32| {
        t += Span(by);
        interval.moved(t, counts);
    };
    moved(&mut interval, 0, 5);
    for n in 0..FEWEST_INTERVALS {
        assert_eq!(interval.median(), None, "after {n} intervals");
        moved(&mut interval, 125_000, 5);
    }
    assert_eq!(interval.median(), Some(Span(125_000)));
    // A slow hand: every report is one count, and most reports are left out.
    for _ in 0..1_000 {
        moved(&mut interval, 2_000_000, 1);
    }
    // One count, then two: whether a report was left out before the one count, nobody knows.
    for counts in [1, 2].into_iter().cycle().take(1_000) {
        moved(&mut interval, 2_000_000, counts);
    }
    // A hand that stops and starts: 300 pauses.
    for _ in 0..300 {
        moved(&mut interval, 400_000_000, 5);
    }
    assert_eq!(interval.median(), Some(Span(125_000)));
}

/// The ring holds two seconds of 8,000 reports a second; nobody reads it here.
#[test]
fn what_overruns_the_ring_is_counted_and_told_where_it_was_lost() {
    const SENT: usize = 20_000;
    let bell = Bell::of_this_thread();
    let opened = Hands::open(InputChoice::Window, None, OfWindow::default(), bell).unwrap();
    let (mut hands, mut feed) = (opened.hands, opened.feed.unwrap());
    hands.set_focused(true);
    for n in 0..SENT {
        if n % 2 == 0 { feed.press(Button::Left) } else { feed.release(Button::Left) }
    }
    let mut heard = Vec::new();
    heard.extend(std::iter::from_fn(|| hands.next()));
    // There is room again: now it can be told.
    feed.idle();
    heard.extend(std::iter::from_fn(|| hands.next()));
    let gaps: Vec<u32> = heard
        .iter()
        .filter_map(|event| match event {
            InputEvent::Gap { lost, .. } => Some(*lost),
            _ => None,
        })
        .collect();
    let lost: usize = gaps.iter().map(|lost| *lost as usize).sum();
    assert!(lost > 0, "the ring was overrun");
    assert_eq!(heard.len() - gaps.len() + lost, SENT);
    assert_eq!(hands.overflowed(), lost as u64);
    assert!(heard.is_sorted_by_key(InputEvent::t), "the gap lies in its place");
    assert!(hands.settled() >= heard.last().unwrap().t());
}

#[test]
fn every_choice_is_read_back_by_its_own_word() {
    for choice in InputChoice::ALL {
        assert_eq!(choice.name().parse(), Ok(choice));
    }
    assert!("mouse".parse::<InputChoice>().is_err());
}

#[cfg(target_os = "linux")]
mod linux {
    use tautline::input::Capabilities;

    #[test]
    fn a_force_sensor_has_a_few_axes_and_no_buttons_of_a_pointer() {
        let sensor = Capabilities { key: "0", rel: "0", abs: "4" };
        assert_eq!(sensor.sensor_axis(), Some(2));
        assert_eq!(Capabilities { abs: "100", ..sensor }.sensor_axis(), Some(8));
        assert_eq!(Capabilities { abs: "0", ..sensor }.sensor_axis(), None);
        // QEMU's usb-tablet; a touchscreen; a gamepad with six axes and a hat.
        assert_eq!(Capabilities { key: "70000 0 0 0 0", rel: "900", abs: "3" }.sensor_axis(), None);
        let touch = Capabilities { key: "400 0 0 0 0 0", abs: "260800000000003", ..sensor };
        assert_eq!(touch.sensor_axis(), None);
        assert_eq!(Capabilities { abs: "3003f", ..sensor }.sensor_axis(), None);
    }

    #[test]
    fn only_what_moves_and_tells_no_position_is_a_mouse() {
        // As sysfs of Linux 6.1 tells them of QEMU's usb-mouse, usb-tablet and usb-kbd.
        let mouse = Capabilities { key: "1f0000 0 0 0 0", rel: "903", abs: "0" };
        let tablet = Capabilities { key: "70000 0 0 0 0", rel: "900", abs: "3" };
        let keyboard = Capabilities {
            key: "1000000000007 ff9f207ac14057ff febeffdfffefffff fffffffffffffffe",
            rel: "0",
            abs: "0",
        };
        assert!(mouse.is_mouse());
        assert!(!tablet.is_mouse());
        assert!(!keyboard.is_mouse());
        assert!(!Capabilities { abs: "3", ..mouse }.is_mouse(), "counts and positions at once");
        assert!(!Capabilities { key: "0", ..mouse }.is_mouse(), "no button");
        let both = "1f0000 0 0 ff9f207ac14057ff fffffffffffffffe";
        assert!(!Capabilities { key: both, ..mouse }.is_mouse(), "a keyboard as well");
        let few_keys = "1f0000 0 0 0 4";
        assert!(Capabilities { key: few_keys, ..mouse }.is_mouse(), "a mouse with a key or two");
    }
}
