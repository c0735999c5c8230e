//! What the player is asked, and what an answer means.

/// A question's sentences.
#[derive(Debug, Clone, Copy)]
pub struct Asked {
    /// The question.
    pub question: &'static str,
    /// After "no".
    pub no: &'static str,
    /// After "yes".
    pub yes: &'static str,
    /// After "don't know".
    pub unknown: &'static str,
    /// What to do after "yes".
    pub mend: &'static str,
}

/// A question, by its name in files.
pub const fn asked(name: &str) -> Asked {
    match name.as_bytes() {
        b"hdr" => Asked {
            question: "Is HDR on for this display?",
            no: "HDR is off.",
            yes: "HDR is on: the display works on each picture for longer, and greys look different.",
            unknown: "Whether HDR is on is not known.",
            mend: "switch HDR off, or keep it as it is in every session",
        },
        b"variable_refresh" => Asked {
            question: "Is variable refresh (adaptive sync) on?",
            no: "Variable refresh is off.",
            yes: "Variable refresh is on in the settings; whether it acts here, the stamps say.",
            unknown: "Whether variable refresh is on is not known.",
            mend: "switch it off for sessions, unless the hardware tells each frame's moment",
        },
        b"strobe" => Asked {
            question: "Does the backlight flash (motion blur reduction)?",
            no: "The backlight does not flash.",
            yes: "The backlight flashes: all rows light at once, later than they were sent.",
            unknown: "Whether the backlight flashes is not known.",
            mend: "keep it as it is in every session: the lag is the same in every hold",
        },
        b"overlay" => Asked {
            question: "Does anything draw over other windows (overlay, chat, frame counter)?",
            no: "Nothing draws over the window.",
            yes: "Something draws over the window: it can hold frames back and force composition.",
            unknown: "Whether something draws over the window is not known.",
            mend: "switch overlays off for sessions",
        },
        b"recorder" => Asked {
            question: "Does anything record or stream the screen?",
            no: "Nothing records the screen.",
            yes: "Something records the screen: it takes time from the graphics card.",
            unknown: "Whether something records the screen is not known.",
            mend: "stop it for sessions; a camera beside the screen costs nothing",
        },
        _ => Asked {
            question: "Is the mouse wireless?",
            no: "The mouse has a cable.",
            yes: "The mouse is wireless: after a rest it may take longer to speak, which no program \
                  can see.",
            unknown: "Whether the mouse is wireless is not known.",
            mend: "use the cable, or switch its power saving off",
        },
    }
}
