//! Sends moves and clicks through the XTEST extension, and keeps when each was sent.
//!
//! The times stand between two readings of the clock: the request is written between them.

use std::thread::JoinHandle;
use tautline::clock;
use tautline::units::{Nanos, Span};
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ConnectionExt as _, MOTION_NOTIFY_EVENT,
};
use x11rb::protocol::xtest::ConnectionExt as _;

/// What is sent, and how often.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plan {
    /// Events a second.
    pub(crate) rate: u32,
    /// Events in all.
    pub(crate) count: u32,
    /// A press and a release in each ten, between motions.
    pub(crate) clicks: bool,
}

/// One event as it was sent.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sent {
    pub(crate) before: Nanos,
    pub(crate) after: Nanos,
}

/// Starts sending on a thread of its own, 200 ms from now.
pub(crate) fn start(plan: Plan) -> JoinHandle<Vec<Sent>> {
    std::thread::Builder::new()
        .name("robot".to_owned())
        .spawn(move || send(plan))
        .expect("the system gives a thread")
}

fn send(plan: Plan) -> Vec<Sent> {
    let (connection, screen) = x11rb::connect(None).expect("an X server");
    let root = connection.setup().roots[screen].root;
    let mut sent = Vec::with_capacity(plan.count as usize);
    let start = clock::now() + Span::from_ms(200);
    for n in 0..plan.count {
        let due = start + Span(i64::from(n) * 1_000_000_000 / i64::from(plan.rate));
        // A sleep is late by some 60 us: the rest is spun away, which a robot may do.
        loop {
            let left = due - clock::now();
            match left {
                Span(..=0) => break,
                Span(..200_000) => std::hint::spin_loop(),
                Span(_) => clock::wait(due - Span(150_000)),
            }
        }
        let (kind, detail, dx) = match (plan.clicks, n % 10) {
            (true, 3) => (BUTTON_PRESS_EVENT, 1, 0),
            (true, 6) => (BUTTON_RELEASE_EVENT, 1, 0),
            // XTEST's detail 1 of a motion: relative. Two counts, there and back.
            (_, n) => (MOTION_NOTIFY_EVENT, 1, if n % 2 == 0 { 2 } else { -2 }),
        };
        let before = clock::now();
        connection.xtest_fake_input(kind, detail, 0, root, dx, 0, 0).expect("the server is there");
        connection.flush().expect("the server is there");
        sent.push(Sent { before, after: clock::now() });
    }
    // A server that is told of the end while it still has requests to read forgets them: ask once.
    let asked = connection.get_input_focus().expect("the server is there");
    asked.reply().expect("the server answers");
    sent
}
