//! The screen saver is held off while it is asked to be, and comes again afterwards: a real X server's
//! own (MIT-SCREEN-SAVER), which is asked what it does.

use crate::support::xserver::XServer;
use tautline::clock;
use tautline::display::Awake;
use tautline::units::Span;
use x11rb::connection::Connection as _;
use x11rb::protocol::screensaver::{ConnectionExt as _, State};
use x11rb::protocol::xproto::{Blanking, ConnectionExt as _, Exposures, ScreenSaver};
use x11rb::rust_connection::RustConnection;

/// Far longer than a busy machine needs for one second of idleness.
const LONG: Span = Span::from_s(90);

/// Whether the server's saver comes on within `limit`.
fn comes_on(connection: &RustConnection, root: u32, limit: Span) -> bool {
    let until = clock::now() + limit;
    while clock::now() < until {
        let info = connection.screensaver_query_info(root).unwrap().reply().unwrap();
        if State::from(info.state) == State::ON {
            return true;
        }
        clock::wait(clock::now() + Span::from_ms(50));
    }
    false
}

#[test]
fn the_screen_saver_is_held_off_and_given_back() {
    let server = XServer::start();
    let (connection, screen) = x11rb::connect(Some(server.display())).unwrap();
    let root = connection.setup().roots[screen].root;
    connection
        .set_screen_saver(1, 0, Blanking::PREFERRED, Exposures::ALLOWED)
        .unwrap()
        .check()
        .unwrap();
    assert!(comes_on(&connection, root, LONG), "after a second without a hand");

    let awake = Awake::hold_on_x11(server.display());
    assert_eq!(awake.report().by, Some("mit_screen_saver"), "{:?}", awake.report());
    connection.force_screen_saver(ScreenSaver::RESET).unwrap().check().unwrap();
    assert!(!comes_on(&connection, root, Span::from_s(4)), "held off");

    drop(awake);
    assert!(comes_on(&connection, root, LONG), "given back");
}

#[test]
fn where_nobody_answers_it_says_so() {
    let awake = Awake::hold_on_x11(":nowhere");
    assert_eq!(awake.report().by, None);
    assert!(awake.report().why_not.as_ref().is_some_and(|why| !why.is_empty()));
}
