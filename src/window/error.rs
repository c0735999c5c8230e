//! Why a window could not be had.

use crate::display::DisplayError;
use crate::words::{Tell, Told};

/// Why a window could not be had, or ended.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// No window system can be reached.
    #[error("no window system can be reached: {}", told(source))]
    NoWindowSystem {
        /// The window library's own words.
        source: winit::error::EventLoopError,
    },
    /// The event loop broke off.
    #[error("the event loop broke off: {}", told(source))]
    Loop {
        /// The window library's own words.
        source: winit::error::EventLoopError,
    },
    /// The window system refused a window.
    #[error("the window system refused a window: {}", told(source))]
    Refused {
        /// The window library's own words.
        source: winit::error::OsError,
    },
    /// There is no such display.
    #[error("there is no display `{asked}`")]
    NoSuchDisplay {
        /// What was asked for.
        asked: String,
        /// Names of those there are.
        known: Vec<String>,
    },
    /// No graphics device can draw to the window.
    #[error(transparent)]
    Display(#[from] DisplayError),
    /// The system refused a thread.
    #[error("the system refused a thread: {source}")]
    NoThread {
        /// The system's own words.
        source: std::io::Error,
    },
}

impl Tell for WindowError {
    fn tell(&self) -> Told {
        let mend = match self {
            WindowError::NoWindowSystem { .. } => {
                "start it from a desktop (DISPLAY or WAYLAND_DISPLAY must be set); without a \
                 screen, `tautline rehearse` runs with a simulated player"
                    .to_owned()
            }
            WindowError::Loop { .. } => {
                "start it again; what was recorded is kept and can be taken up".to_owned()
            }
            WindowError::Refused { .. } => "try a plain window: `--window 1280x720`".to_owned(),
            WindowError::NoSuchDisplay { known, .. } => {
                format!("displays found: {}", known.join(", "))
            }
            WindowError::Display(error) => return error.tell(),
            WindowError::NoThread { .. } => "close other programs and start it again".to_owned(),
        };
        let place = match self {
            WindowError::NoWindowSystem { .. } => "the environment's DISPLAY and WAYLAND_DISPLAY",
            WindowError::NoSuchDisplay { .. } => "--display",
            _ => "the window",
        };
        Told { what: self.to_string(), place: Some(place.to_owned()), mend }
    }
}

/// The window library's own words without the place in its source that it puts in front.
fn told(error: &dyn std::fmt::Display) -> String {
    let text = error.to_string();
    let place = text.find(".rs:").map(|at| at + ".rs:".len());
    let rest = place.and_then(|at| text.get(at..)).and_then(|rest| rest.split_once(": "));
    rest.map_or_else(|| text.clone(), |(_, words)| words.to_owned())
}

#[cfg(test)]
mod tests {
    use super::told;

    #[test]
    fn the_librarys_words_come_without_its_place() {
        assert_eq!(told(&"os error at src/x11/mod.rs:12: no server"), "no server");
        assert_eq!(told(&"os error at src/x11/mod.rs:12: no: server"), "no: server");
        assert_eq!(told(&"no server"), "no server");
    }
}
