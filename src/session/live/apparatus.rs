//! What a session is measured with: for the record, and in a sentence for the card.

use crate::display::{Awake, DisplayReport};
use crate::engine::Begin;
use crate::input::{self, Hands, Raised, Rank};
use crate::record::{LatencyNote, Priority, RigNote};
use crate::units::Span;
use crate::window::Age;
use crate::words;
use serde_json::{Value, json};

/// What the session was measured with.
#[derive(Debug, Clone)]
pub struct Apparatus {
    /// The display: clock, vsync, sizes.
    pub display: Value,
    /// The mouse: source, why not a better one, devices.
    pub input: Value,
    /// The priorities that the threads asked for, and whether they were granted.
    pub priorities: Vec<Priority>,
    /// The rig as it was before, and what is another now.
    pub rig: RigNote,
    /// The lag by camera, where it fits the clock and the source in use.
    pub camera_lag: Option<LatencyNote>,
    /// The first event.
    pub begin: Begin,
    /// The age band told at the first start, if this was one.
    pub age: Option<Age>,
}

/// What the display reports of itself, and who holds the screen saver off, for the record.
pub(super) fn display_value(report: &DisplayReport, awake: &Awake) -> Value {
    let mut value = json!(report);
    value["screen_saver_off"] = json!(awake.report());
    value
}

/// The input source, and why not a better one, for the record.
pub(super) fn input_value(hands: &Hands) -> Value {
    let refused: Vec<Value> = hands
        .refused()
        .iter()
        .map(|r| json!({ "source": r.source.name(), "why": r.why, "mend": r.mend }))
        .collect();
    let devices: Vec<Value> = hands
        .devices()
        .iter()
        .map(|d| {
            json!({
                "number": d.id.0,
                "name": d.name,
                "model": d.ident,
                "unit": d.unit.name(),
                "report_interval_ms": d.report_interval.map(Span::ms),
            })
        })
        .collect();
    json!({
        "source": hands.chosen().name(),
        "refused": refused,
        "devices": devices,
        "priority": hands.priority().map(|p| format!("{p:?}")),
    })
}

/// What the input thread asked of the scheduler.
pub(super) fn input_priority(hands: &Hands) -> Priority {
    let granted = hands.priority().unwrap_or(input::Priority::NotAttempted);
    priority("input", Rank::Input, granted)
}

/// Raises this thread, the stimulus thread, for as long as what comes back is kept; never where the
/// processor draws the pictures, since whoever draws would starve.
pub(super) fn raise_stimulus(software: bool) -> (Priority, Option<Raised>) {
    if software {
        let note = Some("pictures are drawn by the processor".to_owned());
        let not = priority("stimulus", Rank::Stimulus, input::Priority::NotAttempted);
        return (Priority { note, ..not }, None);
    }
    let raised = input::raise(Rank::Stimulus);
    (priority("stimulus", Rank::Stimulus, raised.granted.clone()), Some(raised))
}

/// For the record.
fn priority(thread: &str, rank: Rank, granted: input::Priority) -> Priority {
    let thread = thread.to_owned();
    let asked = if cfg!(windows) {
        "multimedia class or time critical".to_owned()
    } else {
        format!("real time, {}", rank.fifo())
    };
    match granted {
        input::Priority::Fifo(_) => Priority { thread, asked, granted: Some(true), note: None },
        of_windows @ (input::Priority::Multimedia(_) | input::Priority::TimeCritical) => {
            Priority { thread, asked, granted: Some(true), note: Some(of_windows.to_string()) }
        }
        refused @ (input::Priority::Nice { .. } | input::Priority::Refused { .. }) => {
            let note = Some(refused.to_string());
            Priority { thread, asked, granted: Some(false), note }
        }
        input::Priority::NotAttempted => {
            Priority { thread, asked: "none".to_owned(), granted: None, note: None }
        }
    }
}

/// The presentation clock in a sentence, and whether vsync holds.
pub(super) fn display_words(report: &DisplayReport) -> String {
    let judged = json!(report.vsync.state);
    let judged = judged.as_str().unwrap_or("not_judged");
    words::display_source(report.clock.chosen.name(), report.clock.onset_sd_ms, judged)
}

/// The input source in a sentence, with how to get the better one.
pub(super) fn input_words(hands: &Hands) -> String {
    let better = hands.refused().first().map(|r| (r.source.name(), r.why.as_str()));
    words::input_source(hands.chosen().name(), better)
}
