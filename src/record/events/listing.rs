//! Events as a table, for eyes and for any statistics program.
//!
//! One row an event, in the order fed, nothing left out that the engine was told; what does not
//! apply is blank.

use super::encode::event_time;
use super::kind::event_name;
use crate::engine::{Answer, Event, Key};
use crate::record::table::{Table, table};
use crate::units::{Button, DeviceId, Stamp, StampSource};

table! {
    /// An event as a row.
    #[derive(Default)]
    pub struct EventRow {
        index: usize, "", "Place in the file, from 0.";
        t_ns: Option<i64>, "ns", "When, on the monotonic clock.";
        event: String, "", "What happened.";
        source: Option<StampSource>, "", "Where the stamp came from.";
        sd_ns: Option<i64>, "ns", "Standard deviation of the stamp's error.";
        device: Option<DeviceId>, "", "Whose.";
        button: Option<String>, "", "Which button; further ones by number.";
        dx: Option<i32>, "steps", "Rightwards.";
        dy: Option<i32>, "steps", "Downwards.";
        scene: Option<u64>, "", "Number of the scene.";
        frame: Option<u64>, "", "Number of the frame.";
        missed: Option<u16>, "", "Refreshes that went by without the frame that was due.";
        late: Option<bool>, "", "Whether the frame came late.";
        settled_ns: Option<i64>, "ns", "Nothing older will come.";
        span_ns: Option<i64>, "ns", "How late, how far, or the device's report interval.";
        detail: Option<String>, "", "Key, focus, answer, count of lost events, device name or apparatus.";
    }
}

/// The events as CSV text with a header.
pub fn to_csv(events: &[Event]) -> String {
    let rows: Vec<EventRow> = events.iter().enumerate().map(EventRow::of).collect();
    EventRow::file(&rows)
}

impl EventRow {
    /// The row of an event at a place in the file.
    pub fn of((index, event): (usize, &Event)) -> EventRow {
        let row = EventRow {
            index,
            t_ns: event_time(event).map(|t| t.0),
            event: event_name(event).to_owned(),
            ..EventRow::default()
        };
        match event {
            Event::Begin(begin) => row.with_detail(format!(
                "{} x {} px, {} px/mm, {} Hz, {} px/count, scan-out {} ms, lag {} ms, rules {} {}",
                begin.canvas.width_px,
                begin.canvas.height_px,
                shown_or_blank(begin.canvas.px_per_mm),
                begin.canvas.rate_hz,
                begin.px_per_count,
                shown_or_blank(begin.scanout_ms),
                shown_or_blank(begin.display_lag_ms),
                begin.engine_rule,
                begin.motion_rule
            )),
            Event::Device(device) => EventRow {
                device: Some(device.id),
                span_ns: device.report_interval.map(|interval| interval.0),
                ..row.with_detail(format!(
                    "{}: {}, {} steps a count",
                    device.name,
                    device.unit.name(),
                    device.steps_per_count
                ))
            },
            Event::Shown { scene, frame, stamp, missed, late } => EventRow {
                scene: Some(scene.0),
                frame: Some(*frame),
                missed: Some(*missed),
                late: Some(*late),
                ..row.with_stamp(stamp)
            },
            Event::NotShown { scene, frame, t: _ } => {
                EventRow { scene: Some(scene.0), frame: Some(*frame), ..row }
            }
            Event::Press { device, button, stamp } | Event::Release { device, button, stamp } => {
                EventRow {
                    device: Some(*device),
                    button: Some(button_text(*button)),
                    ..row.with_stamp(stamp)
                }
            }
            Event::Motion { device, dx, dy, stamp } => EventRow {
                device: Some(*device),
                dx: Some(*dx),
                dy: Some(*dy),
                ..row.with_stamp(stamp)
            },
            Event::Cue { stamp } => row.with_stamp(stamp),
            Event::Force { share, stamp } => {
                row.with_stamp(stamp).with_detail(format!("{share} of a comfortable strong grip"))
            }
            Event::Key { key, t: _ } => row.with_detail(key_text(*key).to_owned()),
            Event::Focus { focused, t: _ } => {
                row.with_detail(if *focused { "gained" } else { "lost" }.to_owned())
            }
            Event::Answered { answer, t: _ } => row.with_detail(answer_text(answer)),
            Event::Gap { lost, t: _ } => row.with_detail(format!("{lost} lost")),
            Event::Unplugged { device, t: _ } | Event::Replugged { device, t: _ } => {
                EventRow { device: Some(*device), ..row }
            }
            Event::DisplayLost { t: _ } | Event::DisplayBack { t: _ } => row,
            Event::Stalled { late: span, t: _ } | Event::ClockJump { by: span, t: _ } => {
                EventRow { span_ns: Some(span.0), ..row }
            }
            Event::ClockFallback { source, t: _ } => EventRow { source: Some(*source), ..row },
            Event::Looked { cycle, settled, t: _ } => {
                let found = if *settled { "settled" } else { "goes on" };
                row.with_detail(format!("after cycle {cycle}: {found}"))
            }
            Event::Tick { now: _, settled } => EventRow { settled_ns: Some(settled.0), ..row },
        }
    }

    fn with_stamp(self, stamp: &Stamp) -> EventRow {
        EventRow { source: Some(stamp.source), sd_ns: Some(stamp.sd.0), ..self }
    }

    fn with_detail(self, detail: String) -> EventRow {
        EventRow { detail: Some(detail), ..self }
    }
}

fn shown_or_blank(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |value| value.to_string())
}

fn button_text(button: Button) -> String {
    match button {
        Button::Left | Button::Right | Button::Middle => button.name().to_owned(),
        Button::Other(number) => number.to_string(),
    }
}

const fn key_text(key: Key) -> &'static str {
    match key {
        Key::Pause => "pause",
        Key::Stop => "stop",
        Key::Hurts => "hurts",
        Key::AskStop => "ask_stop",
    }
}

fn answer_text(answer: &Answer) -> String {
    match answer {
        Answer::GoOn => "go on".to_owned(),
        Answer::Rated(ratings) => {
            let one = |(rating, value): &(crate::protocol::Rating, u8)| {
                format!("{} {value}", rating.name())
            };
            ratings.iter().map(one).collect::<Vec<_>>().join(", ")
        }
        Answer::Expected { faster, sure } => match faster {
            Some(index) => format!("expects condition {index}, sure {sure}"),
            None => "no expectation".to_owned(),
        },
    }
}
