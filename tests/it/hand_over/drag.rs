//! The source of a drag: offers one file to a window and lets it go there, by the freedesktop.org
//! protocol "Drag-and-Drop Protocol for the X Window System" (XDND), version 5.

use std::path::Path;
use tautline::clock;
use tautline::units::Span;
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    Atom, AtomEnum, ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, PropMode,
    SELECTION_NOTIFY_EVENT, SelectionNotifyEvent, SelectionRequestEvent, Window, WindowClass,
};
use x11rb::rust_connection::RustConnection;
use x11rb::wrapper::ConnectionExt as _;

const WITHIN: Span = Span::from_s(120);

/// A client with a window of its own, from which files are dragged.
pub(crate) struct Drag {
    connection: RustConnection,
    root: Window,
    own: Window,
}

impl Drag {
    pub(crate) fn on(display: &str) -> Drag {
        let (connection, number) = x11rb::connect(Some(display)).expect("it listens");
        let root = connection.setup().roots[number].root;
        let own = connection.generate_id().expect("a number");
        let aux = CreateWindowAux::new();
        connection
            .create_window(0, own, root, 0, 0, 1, 1, 0, WindowClass::INPUT_OUTPUT, 0, &aux)
            .expect("it is there");
        Drag { connection, root, own }
    }

    /// Drags `file` over the middle of `target`, and lets go once the target has said that it takes
    /// it; ends when the target has told that it is done.
    pub(crate) fn drop_file(&self, target: Window, file: &Path) {
        let uris = format!("file://{}\r\n", file.display());
        let selection = self.atom("XdndSelection");
        let kind = self.atom("text/uri-list");
        self.connection.set_selection_owner(self.own, selection, 0u32).expect("it is there");
        let place = self.middle(target);
        self.tell(target, "XdndEnter", [self.own, 5 << 24, kind, 0, 0]);
        let copy = self.atom("XdndActionCopy");
        self.tell(target, "XdndPosition", [self.own, 0, place, 0, copy]);
        let (status, finished) = (self.atom("XdndStatus"), self.atom("XdndFinished"));
        let said = self.await_message(status, &uris);
        assert!(said[1] & 1 == 1, "the window takes no file: {said:?}");
        self.tell(target, "XdndDrop", [self.own, 0, 0, 0, 0]);
        self.await_message(finished, &uris);
    }

    fn atom(&self, name: &str) -> Atom {
        let asked = self.connection.intern_atom(false, name.as_bytes()).expect("it is there");
        asked.reply().expect("it answers").atom
    }

    /// Root coordinates, as XdndPosition packs them.
    fn middle(&self, target: Window) -> u32 {
        let size = self.connection.get_geometry(target).expect("it is there").reply().unwrap();
        let (x, y) = (size.width / 2, size.height / 2);
        let (x, y) = (i16::try_from(x).unwrap(), i16::try_from(y).unwrap());
        let asked = self.connection.translate_coordinates(target, self.root, x, y);
        let at = asked.expect("it is there").reply().expect("it answers");
        let part = |value: i16| u32::from(u16::try_from(value).expect("on the screen"));
        (part(at.dst_x) << 16) | part(at.dst_y)
    }

    fn tell(&self, target: Window, name: &str, data: [u32; 5]) {
        let message = ClientMessageEvent::new(32, target, self.atom(name), data);
        self.connection
            .send_event(false, target, EventMask::NO_EVENT, message)
            .expect("it is there");
        self.connection.flush().expect("it is there");
    }

    /// Answers what the target asks until it sends a message of this kind.
    fn await_message(&self, kind: Atom, uris: &str) -> [u32; 5] {
        let until = clock::now() + WITHIN;
        while clock::now() < until {
            match self.connection.poll_for_event().expect("it is there") {
                Some(Event::ClientMessage(message)) if message.type_ == kind => {
                    return message.data.as_data32();
                }
                Some(Event::SelectionRequest(asked)) => self.answer(&asked, uris),
                Some(_) => {}
                None => clock::wait(clock::now() + Span::from_ms(10)),
            }
        }
        panic!("the window never answered the drag");
    }

    fn answer(&self, asked: &SelectionRequestEvent, uris: &str) {
        self.connection
            .change_property8(
                PropMode::REPLACE,
                asked.requestor,
                asked.property,
                asked.target,
                uris.as_bytes(),
            )
            .expect("it is there");
        let told = SelectionNotifyEvent {
            response_type: SELECTION_NOTIFY_EVENT,
            sequence: 0,
            time: asked.time,
            requestor: asked.requestor,
            selection: asked.selection,
            target: asked.target,
            property: asked.property,
        };
        self.connection
            .send_event(false, asked.requestor, EventMask::NO_EVENT, told)
            .expect("it is there");
        self.connection.flush().expect("it is there");
        // The type of what was put there is the one that was asked for, never plain text.
        assert_ne!(asked.target, Atom::from(AtomEnum::STRING));
    }
}
