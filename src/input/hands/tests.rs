//! Hands over lanes that a test feeds: order, watermark, announcement.

use super::*;
use crate::units::Stamp;

const SOURCE: StampSource = StampSource::Evdev;

fn motion(device: DeviceId, t_ns: i64) -> InputEvent {
    let stamp = Stamp { t: Nanos(t_ns), source: SOURCE, sd: Span::ZERO };
    InputEvent::Motion { device, dx: 1, dy: 0, stamp }
}

fn mouse(hands: &Hands, place: &str) -> DeviceId {
    let identity = Identity { place: place.to_owned(), ..the_pointer() };
    hands.devices.enter(identity, MotionUnit::Counts, 1).id
}

/// Hands with two focused lanes and a mouse on each.
struct Rig {
    hands: Hands,
    lanes: [LaneIn; 2],
    mice: [DeviceId; 2],
}

fn rig() -> Rig {
    let bell = Bell::of_this_thread();
    let mut hands = Hands::without_source(None, bell.clone(), Nanos(0));
    let lanes = [(); 2].map(|()| {
        let (lane_in, lane_out) = lane::lane(bell.clone(), Nanos(0));
        lane_out.set_focused(Some(Nanos(0)));
        hands.lanes.push(lane_out);
        lane_in
    });
    let mice = [mouse(&hands, "port 1"), mouse(&hands, "port 2")];
    Rig { hands, lanes, mice }
}

#[test]
fn two_rings_are_merged_by_stamp() {
    let Rig { mut hands, mut lanes, mice: [a, b] } = rig();
    [10, 40].into_iter().for_each(|t_ns| lanes[0].offer(motion(a, t_ns)));
    [20, 30, 50].into_iter().for_each(|t_ns| lanes[1].offer(motion(b, t_ns)));
    let order: Vec<i64> = std::iter::from_fn(|| hands.next()).map(|event| event.t().0).collect();
    assert_eq!(order, [10, 20, 30, 40, 50]);
}

#[test]
fn settled_is_the_slower_source_and_never_ahead_of_what_was_handed_out() {
    let Rig { mut hands, mut lanes, mice: [a, _] } = rig();
    lanes[0].offer(motion(a, 10));
    lanes[0].settle(Nanos(100));
    lanes[1].settle(Nanos(70));
    assert!(hands.next().is_some());
    assert_eq!(hands.settled(), Nanos(0), "there may be more in the ring");
    assert_eq!(hands.next(), None);
    assert_eq!(hands.settled(), Nanos(70));
}

#[test]
fn a_device_is_announced_once_with_its_first_event() {
    let Rig { mut hands, mut lanes, mice: [a, b] } = rig();
    lanes[0].offer(motion(b, 10));
    lanes[0].offer(motion(b, 20));
    lanes[0].offer(motion(a, 30));
    let announced = |hands: &mut Hands| -> Vec<DeviceId> {
        assert!(hands.next().is_some());
        hands.new_devices().into_iter().map(|info| info.id).collect()
    };
    assert_eq!(announced(&mut hands), [b]);
    assert_eq!(announced(&mut hands), []);
    assert_eq!(announced(&mut hands), [a]);
}

#[test]
fn a_mouse_that_nobody_touched_may_go() {
    let Rig { mut hands, mut lanes, mice: [a, b] } = rig();
    let gone = |device, t_ns| InputEvent::Unplugged { device, t: Nanos(t_ns) };
    lanes[0].offer(motion(a, 10));
    lanes[0].offer(gone(b, 20));
    lanes[0].offer(gone(a, 30));
    assert_eq!(hands.next(), Some(motion(a, 10)));
    assert_eq!(hands.next(), Some(gone(a, 30)));
    assert_eq!(hands.next(), None);
}
