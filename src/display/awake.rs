//! Holds the screen saver and the screen's sleep off while a session runs: a player who waits for a
//! stimulus may not touch anything for a while.
//!
//! It knows no frames. Keep the value on the thread that made it. Invariant: what was held off is given back when the value is dropped, and by
//! the server or compositor itself should the program end without that.

use super::WindowHandles;
#[cfg(target_os = "linux")]
use super::WindowSystem;
use serde::Serialize;

/// What became of it, for the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AwakeReport {
    /// By what it is held off: `mit_screen_saver`, `idle_inhibit`, `execution_state`; nothing where
    /// it is not.
    pub by: Option<&'static str>,
    /// Why not, where it is not.
    pub why_not: Option<String>,
}

/// Holds the screen saver off while it lives.
#[derive(Debug)]
pub struct Awake {
    report: AwakeReport,
    #[cfg(any(target_os = "linux", windows))]
    _held: Option<held::Held>,
}

impl Awake {
    /// Asks the window's system. A refusal is no error: it is told in [`Awake::report`].
    #[cfg(target_os = "linux")]
    pub fn hold(window: &WindowHandles) -> Awake {
        Awake::of(match window.system {
            WindowSystem::X11 => held::by_x11(None),
            WindowSystem::Wayland => held::by_wayland(window),
            WindowSystem::Windows | WindowSystem::Other => Err(held::nobody()),
        })
    }

    /// Asks the X server of a display (`:N`), whatever window there is.
    #[cfg(target_os = "linux")]
    pub fn hold_on_x11(display: &str) -> Awake {
        Awake::of(held::by_x11(Some(display)))
    }

    /// Asks Windows to keep the display on and the system awake.
    #[cfg(windows)]
    pub fn hold(_window: &WindowHandles) -> Awake {
        Awake::of(held::by_windows())
    }

    #[cfg(any(target_os = "linux", windows))]
    fn of(held: Result<held::Held, String>) -> Awake {
        match held {
            Ok(held) => {
                let report = AwakeReport { by: Some(held.name()), why_not: None };
                Awake { report, _held: Some(held) }
            }
            Err(why) => Awake { report: AwakeReport { by: None, why_not: Some(why) }, _held: None },
        }
    }

    /// Not built for this system.
    #[cfg(not(any(target_os = "linux", windows)))]
    pub fn hold(_window: &WindowHandles) -> Awake {
        let why_not = Some("not built for this system".to_owned());
        Awake { report: AwakeReport { by: None, why_not } }
    }

    /// What became of it.
    pub fn report(&self) -> &AwakeReport {
        &self.report
    }
}

#[cfg(windows)]
#[expect(unsafe_code, reason = "power settings have no safe face in std")]
mod held {
    use windows_sys::Win32::System::Power::{
        ES_CONTINUOUS, ES_DISPLAY_REQUIRED, ES_SYSTEM_REQUIRED, SetThreadExecutionState,
    };

    /// The calling thread's wish.
    #[derive(Debug)]
    pub(super) struct Held;

    impl Held {
        pub(super) fn name(&self) -> &'static str {
            "execution_state"
        }
    }

    impl Drop for Held {
        fn drop(&mut self) {
            // SAFETY: takes flags only.
            unsafe { SetThreadExecutionState(ES_CONTINUOUS) };
        }
    }

    pub(super) fn by_windows() -> Result<Held, String> {
        let wish = ES_CONTINUOUS | ES_SYSTEM_REQUIRED | ES_DISPLAY_REQUIRED;
        // SAFETY: takes flags only. It answers with the state before, 0 for a refusal.
        let before = unsafe { SetThreadExecutionState(wish) };
        if before == 0 { Err("Windows refused".to_owned()) } else { Ok(Held) }
    }
}

#[cfg(target_os = "linux")]
mod held {
    use super::WindowHandles;
    use crate::display::wayland::Link;
    use crate::display::x11::Fault;
    use wayland_client::globals::{GlobalListContents, registry_queue_init};
    use wayland_client::protocol::wl_registry::{self, WlRegistry};
    use wayland_client::{Connection, Dispatch, QueueHandle, delegate_noop};
    use wayland_protocols::wp::idle_inhibit::zv1::client::zwp_idle_inhibit_manager_v1::ZwpIdleInhibitManagerV1;
    use wayland_protocols::wp::idle_inhibit::zv1::client::zwp_idle_inhibitor_v1::ZwpIdleInhibitorV1;
    use x11rb::connection::{Connection as _, RequestConnection as _};
    use x11rb::protocol::screensaver::{self, ConnectionExt as _};
    use x11rb::rust_connection::RustConnection;

    /// Who holds it off.
    #[derive(Debug)]
    pub(super) enum Held {
        /// The server, as long as this connection lasts.
        X11(Box<RustConnection>),
        /// The compositor, as long as the inhibitor lasts.
        Wayland { inhibitor: ZwpIdleInhibitorV1, connection: Connection },
    }

    impl Held {
        pub(super) fn name(&self) -> &'static str {
            match self {
                Held::X11(_) => "mit_screen_saver",
                Held::Wayland { .. } => "idle_inhibit",
            }
        }
    }

    impl Drop for Held {
        fn drop(&mut self) {
            match self {
                Held::X11(connection) => {
                    // The end of the connection says the same.
                    let _broken = connection.screensaver_suspend(0);
                    let _broken = connection.flush();
                }
                Held::Wayland { inhibitor, connection } => {
                    inhibitor.destroy();
                    // A connection that broke has no inhibitor any more.
                    let _broken = connection.flush();
                }
            }
        }
    }

    pub(super) fn nobody() -> String {
        "nobody to ask in this window system".to_owned()
    }

    /// `None`: the server that `DISPLAY` names.
    pub(super) fn by_x11(display: Option<&str>) -> Result<Held, String> {
        ask_x11(display).map_err(|fault| fault.to_string())
    }

    fn ask_x11(display: Option<&str>) -> Result<Held, Fault> {
        let (connection, _) = RustConnection::connect(display)?;
        let missing = Fault::NoExtension { name: "MIT-SCREEN-SAVER 1.1" };
        if connection.extension_information(screensaver::X11_EXTENSION_NAME)?.is_none() {
            return Err(missing);
        }
        // Suspending came with 1.1.
        let version = connection.screensaver_query_version(1, 1)?.reply()?;
        if (version.server_major_version, version.server_minor_version) < (1, 1) {
            return Err(missing);
        }
        connection.screensaver_suspend(1)?.check()?;
        Ok(Held::X11(Box::new(connection)))
    }

    pub(super) fn by_wayland(window: &WindowHandles) -> Result<Held, String> {
        let handles = window.wayland.ok_or_else(nobody)?;
        let Link { connection, surface } = Link::of(handles).map_err(|fault| fault.to_string())?;
        let (globals, queue) =
            registry_queue_init::<Nothing>(&connection).map_err(|error| error.to_string())?;
        let manager: ZwpIdleInhibitManagerV1 = globals
            .bind(&queue.handle(), 1..=1, ())
            .map_err(|error| format!("zwp_idle_inhibit_manager_v1: {error}"))?;
        let inhibitor = manager.create_inhibitor(&surface, &queue.handle(), ());
        manager.destroy();
        connection.flush().map_err(|error| error.to_string())?;
        Ok(Held::Wayland { inhibitor, connection })
    }

    /// Nothing is told back.
    struct Nothing;

    impl Dispatch<WlRegistry, GlobalListContents> for Nothing {
        fn event(
            _: &mut Nothing,
            _: &WlRegistry,
            _: wl_registry::Event,
            _: &GlobalListContents,
            _: &Connection,
            _: &QueueHandle<Nothing>,
        ) {
            // What comes and goes later is the window library's business.
        }
    }

    delegate_noop!(Nothing: ZwpIdleInhibitManagerV1);
    delegate_noop!(Nothing: ZwpIdleInhibitorV1);
}
