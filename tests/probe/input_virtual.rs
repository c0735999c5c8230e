//! Sends moves and clicks through a wlroots compositor's virtual pointer, and keeps when each was sent.
//!
//! The compositor passes on the whole milliseconds that are sent here, on our clock: what a stamp is
//! worth under a real mouse, a virtual one cannot show; which stamps come, and that none is lost, it can.

use super::input_robot::{Plan, Sent};
use std::io::ErrorKind::WouldBlock;
use std::thread::JoinHandle;
use tautline::clock;
use tautline::units::{Nanos, Span};
use wayland_client::backend::WaylandError;
use wayland_client::globals::{GlobalListContents, registry_queue_init};
use wayland_client::protocol::wl_pointer::ButtonState;
use wayland_client::protocol::wl_registry::{Event, WlRegistry};
use wayland_client::{Connection, Dispatch, QueueHandle, delegate_noop};
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_manager_v1::ZwlrVirtualPointerManagerV1;
use wayland_protocols_wlr::virtual_pointer::v1::client::zwlr_virtual_pointer_v1::ZwlrVirtualPointerV1;

/// BTN_LEFT of linux/input-event-codes.h.
const LEFT: u32 = 0x110;

struct Nothing;

impl Dispatch<WlRegistry, GlobalListContents> for Nothing {
    fn event(
        _: &mut Nothing,
        _: &WlRegistry,
        _: Event,
        _: &GlobalListContents,
        _: &Connection,
        _: &QueueHandle<Nothing>,
    ) {
    }
}

delegate_noop!(Nothing: ZwlrVirtualPointerManagerV1);
delegate_noop!(Nothing: ZwlrVirtualPointerV1);

/// A virtual mouse, plugged in before anybody listens: without one the seat has no pointer.
pub(crate) struct Mouse {
    connection: Connection,
    pointer: ZwlrVirtualPointerV1,
}

/// Makes the mouse and puts it into the middle of the first output.
pub(crate) fn plug_in() -> Mouse {
    let connection = Connection::connect_to_env().expect("a compositor");
    let (globals, mut queue) = registry_queue_init::<Nothing>(&connection).expect("its list");
    let manager: ZwlrVirtualPointerManagerV1 =
        globals.bind(&queue.handle(), 1..=1, ()).expect("a wlroots compositor");
    let pointer = manager.create_virtual_pointer(None, &queue.handle(), ());
    pointer.motion_absolute(low_ms(clock::now()), 1, 1, 2, 2);
    pointer.frame();
    queue.roundtrip(&mut Nothing).expect("it answers");
    Mouse { connection, pointer }
}

/// Starts sending on a thread of its own, 200 ms from now.
pub(crate) fn start(mouse: Mouse, plan: Plan) -> JoinHandle<Vec<Sent>> {
    std::thread::Builder::new()
        .name("robot".to_owned())
        .spawn(move || send(&mouse, plan))
        .expect("the system gives a thread")
}

fn send(Mouse { connection, pointer }: &Mouse, plan: Plan) -> Vec<Sent> {
    let mut sent = Vec::with_capacity(plan.count as usize);
    let start = clock::now() + Span::from_ms(200);
    for n in 0..plan.count {
        let due = start + Span(i64::from(n) * 1_000_000_000 / i64::from(plan.rate));
        clock::wait(due);
        while clock::now() < due {
            std::hint::spin_loop();
        }
        let before = clock::now();
        let ms = low_ms(before);
        match (plan.clicks, n % 10) {
            (true, 3) => pointer.button(ms, LEFT, ButtonState::Pressed),
            (true, 6) => pointer.button(ms, LEFT, ButtonState::Released),
            // Two units, there and back, so that it stays on the window.
            (_, n) => {
                let way = if n % 2 == 0 { 1.0 } else { -1.0 };
                pointer.motion(ms, 2.0 * way, 0.25 * way);
            }
        }
        pointer.frame();
        // A compositor that is behind takes no more for a while.
        while let Err(error) = connection.flush() {
            assert!(matches!(&error, WaylandError::Io(io) if io.kind() == WouldBlock), "{error}");
            clock::wait(clock::now() + Span::from_ms(1));
        }
        sent.push(Sent { before, after: clock::now() });
    }
    // The mouse stays plugged in until what it said was read.
    std::thread::sleep(std::time::Duration::from_millis(300));
    sent
}

fn low_ms(t: Nanos) -> u32 {
    u32::try_from((t.0 / 1_000_000) & i64::from(u32::MAX)).expect("masked to 32 bits")
}
