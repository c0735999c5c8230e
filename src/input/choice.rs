//! Which source was asked for, why one was refused, and what to do about it.
//!
//! Knows no source from the inside: a source refuses with a [`Reason`], which is told here.

use crate::units::StampSource;
use crate::words::{Tell, Told};
use serde::Serialize;
use std::io;
use std::path::PathBuf;
use std::str::FromStr;

/// Which source the player asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum InputChoice {
    /// The best that is granted.
    #[default]
    Auto,
    /// Linux: the kernel's devices, with the kernel's stamps.
    Evdev,
    /// X11: raw events.
    Xinput,
    /// Wayland: relative pointer.
    Wayland,
    /// Windows: raw input.
    RawInput,
    /// What the window library passes on.
    Window,
}

impl InputChoice {
    /// Every choice, the default first.
    pub const ALL: [InputChoice; 6] = [
        InputChoice::Auto,
        InputChoice::Evdev,
        InputChoice::Xinput,
        InputChoice::Wayland,
        InputChoice::RawInput,
        InputChoice::Window,
    ];

    /// The word on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            InputChoice::Auto => "auto",
            InputChoice::Evdev => "evdev",
            InputChoice::Xinput => "xinput",
            InputChoice::Wayland => "wayland",
            InputChoice::RawInput => "rawinput",
            InputChoice::Window => "window",
        }
    }
}

/// A word that names no source.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{word}` is no input source: write auto, evdev, xinput, wayland, rawinput or window")]
pub struct UnknownChoice {
    /// What was written.
    pub word: String,
}

impl FromStr for InputChoice {
    type Err = UnknownChoice;
    fn from_str(word: &str) -> Result<InputChoice, UnknownChoice> {
        InputChoice::ALL
            .into_iter()
            .find(|choice| choice.name() == word)
            .ok_or_else(|| UnknownChoice { word: word.to_owned() })
    }
}

/// Why a source cannot be used here.
#[cfg_attr(not(target_os = "linux"), expect(dead_code, reason = "some are of Linux's sources"))]
#[derive(Debug, thiserror::Error)]
pub(crate) enum Reason {
    /// The folder of the kernel's devices cannot be read.
    #[error("{} cannot be read: {source}", path.display())]
    NoFolder {
        /// The folder.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
    /// No mouse is there.
    #[error("the system tells of no mouse")]
    NoMouse,
    /// A mouse is there but may not be read.
    #[error("{name} ({}) may not be read: {source}", path.display())]
    NotReadable {
        /// The mouse.
        name: String,
        /// Its file.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
    /// The kernel would not stamp on our clock.
    #[error("{name} does not take the monotonic clock: {source}")]
    NoClock {
        /// The mouse.
        name: String,
        /// Why not.
        source: io::Error,
    },
    /// The window is shown by a Wayland compositor.
    #[error("the window belongs to Wayland, which keeps raw X11 events from it")]
    WaylandWindow,
    /// No X server answers.
    #[error("no X server answers: {detail}")]
    NoServer {
        /// As the library says it.
        detail: String,
    },
    /// The X server has no raw events.
    #[error("the X server has no raw events (XInput 2.1 or later): {detail}")]
    NoRawEvents {
        /// As the library says it.
        detail: String,
    },
    /// No Wayland compositor answers.
    #[error("no Wayland compositor answers: {detail}")]
    NoCompositor {
        /// As the library says it.
        detail: String,
    },
    /// There is no window of ours on Wayland.
    #[error("the window does not belong to Wayland")]
    NoWaylandWindow,
    /// The compositor gives no motion before acceleration.
    #[error("the compositor gives no relative motion: {detail}")]
    NoRelativeMotion {
        /// As the library says it.
        detail: String,
    },
    /// The compositor has no pointer.
    #[error("the compositor tells of no pointer")]
    NoPointer,
    /// The mouse asked for is not among those of this source.
    #[error("there is no mouse `{wanted}` here; there are: {}", list(present))]
    NoSuchMouse {
        /// What was asked.
        wanted: String,
        /// The idents that are there.
        present: Vec<String>,
    },
    /// The system gave no thread.
    #[error("its thread `{name}` could not be started: {source}")]
    NoThread {
        /// The thread's name.
        name: &'static str,
        /// Why not.
        source: io::Error,
    },
    /// Windows did not take the registration, or does not list its mice.
    #[cfg(windows)]
    #[error("Windows refuses raw input: {source}")]
    NotRegistered {
        /// As the system says it.
        source: io::Error,
    },
    /// The source belongs to another system.
    #[error("it exists on {system} only")]
    OtherSystem {
        /// Where it exists.
        system: &'static str,
    },
}

fn list(idents: &[String]) -> String {
    if idents.is_empty() { "none".to_owned() } else { idents.join(", ") }
}

impl Reason {
    /// What to do about it.
    fn mend(&self) -> String {
        match self {
            Reason::NotReadable { source, .. }
                if source.kind() == io::ErrorKind::PermissionDenied =>
            {
                udev_mend()
            }
            Reason::NotReadable { .. } => "unplug the mouse and plug it in again".to_owned(),
            Reason::NoFolder { .. } => {
                "run where the system's devices can be seen (a container hides them)".to_owned()
            }
            Reason::NoMouse => {
                "plug a mouse in; pads, tablets and touchscreens do not serve".into()
            }
            Reason::NoClock { .. } => "use --input xinput; the kernel is too old".to_owned(),
            Reason::WaylandWindow => {
                "let the kernel's devices be read (see evdev), or log in to an X11 session".into()
            }
            Reason::NoServer { .. } => "start it in a graphical session, with DISPLAY set".into(),
            Reason::NoCompositor { .. } | Reason::NoWaylandWindow => {
                "log in to a Wayland session, or use --input auto".to_owned()
            }
            Reason::NoRelativeMotion { .. } => {
                "let the kernel's devices be read (see evdev), or use a compositor that offers \
                 zwp_relative_pointer_manager_v1"
                    .to_owned()
            }
            Reason::NoPointer => "plug a mouse in".to_owned(),
            Reason::NoRawEvents { .. } => "use an X server with XInput 2.1 or later".to_owned(),
            Reason::NoSuchMouse { .. } => {
                "`tautline devices` lists them; give one, or leave --mouse out".to_owned()
            }
            Reason::NoThread { .. } => "end other programs and try again".to_owned(),
            #[cfg(windows)]
            Reason::NotRegistered { .. } => {
                "sign in at the machine itself (not by remote desktop), or use --input window"
                    .into()
            }
            Reason::OtherSystem { .. } => "use --input auto".to_owned(),
        }
    }
}

#[cfg(target_os = "linux")]
fn udev_mend() -> String {
    format!(
        "as root, write this line to /etc/udev/rules.d/70-tautline-mouse.rules, then run \
         `udevadm control --reload && udevadm trigger --subsystem-match=input`; it opens mice, and \
         nothing else, to whoever sits at the machine: {}",
        super::UDEV_RULE
    )
}

#[cfg(not(target_os = "linux"))]
fn udev_mend() -> String {
    "use --input auto".to_owned()
}

/// A source that was not used, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Which.
    pub source: StampSource,
    /// Why.
    pub why: String,
    /// What to do about it.
    pub mend: String,
}

impl Refusal {
    pub(crate) fn new(source: StampSource, reason: &Reason) -> Refusal {
        Refusal { source, why: reason.to_string(), mend: reason.mend() }
    }
}

/// Why no source could be opened.
#[derive(Debug, thiserror::Error)]
pub enum InputError {
    /// The source that was asked for cannot be used.
    #[error("input by {} was asked for and cannot be used: {}", refusal.source.name(), refusal.why)]
    Refused {
        /// It, and why.
        refusal: Refusal,
    },
    /// The mouse that was asked for is in no source that can tell mice apart.
    #[error("the mouse `{wanted}` was asked for, and no source here can tell it from others")]
    NoSuchMouse {
        /// What was asked.
        wanted: String,
        /// What each source said.
        refused: Vec<Refusal>,
    },
}

impl Tell for InputError {
    fn tell(&self) -> Told {
        let mend = match self {
            InputError::Refused { refusal } => refusal.mend.clone(),
            InputError::NoSuchMouse { refused, .. } => {
                let said: Vec<String> =
                    refused.iter().map(|r| format!("{}: {}", r.source.name(), r.why)).collect();
                format!(
                    "`tautline devices` lists the mice; give one, or leave --mouse out ({})",
                    said.join("; ")
                )
            }
        };
        let place = match self {
            InputError::NoSuchMouse { .. } => "--mouse",
            InputError::Refused { .. } => "--input",
        };
        Told { what: self.to_string(), place: Some(place.to_owned()), mend }
    }
}
