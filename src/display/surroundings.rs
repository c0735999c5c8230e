//! What stands between the window and the screen: a compositor, the images of the swapchain, and
//! whether the system's word on the outputs holds here.

use super::report::Bypass;
use super::survey::Output;
use super::{Stage, WindowSystem};

/// What the system tells of the window's surroundings.
pub(super) struct Surroundings {
    /// Whether a compositor owns the screen; `None` where nobody tells.
    pub(super) compositor: Option<bool>,
    /// Whether it was asked to leave the window out.
    pub(super) bypass: Bypass,
}

impl Surroundings {
    /// Asks, and asks to be left out of composition.
    #[cfg(target_os = "linux")]
    pub(super) fn ask(stage: &Stage) -> Surroundings {
        use super::x11;
        let Some(xid) = stage.window.xid else {
            return Surroundings { compositor: None, bypass: Bypass::NotAttempted };
        };
        let Ok(link) = x11::Link::open() else {
            return Surroundings { compositor: None, bypass: Bypass::Refused };
        };
        let owner = x11::compositor(&link.connection, link.screen.number);
        let bypass = match x11::bypass_compositor(&link, xid) {
            Ok(()) => Bypass::Asked,
            Err(_) => Bypass::Refused,
        };
        Surroundings { compositor: owner.ok().map(|owner| owner.is_some()), bypass }
    }

    /// Windows composes always; how a window's own pictures fare is told as `composition`.
    #[cfg(not(target_os = "linux"))]
    pub(super) fn ask(_: &Stage) -> Surroundings {
        let compositor = cfg!(windows).then_some(true);
        Surroundings { compositor, bypass: Bypass::NotAttempted }
    }
}

/// Whether the outputs that the X11 server lists are the real ones: not those of a server inside a
/// Wayland session, which makes up its modes.
pub(super) fn outputs_are_real(system: WindowSystem, outputs: &[Output]) -> bool {
    system == WindowSystem::X11
        && !outputs.is_empty()
        && outputs.iter().all(|output| !output.id.starts_with("XWAYLAND"))
}
