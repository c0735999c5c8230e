//! Whether two records were made on the same rig: what the display and the input said of themselves
//! then and now.
//!
//! Pure, from the values that stand in manifests and profiles. What one of them does not tell is no
//! change.

use super::display_facts::DisplayFacts;
use crate::words::rig as words;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Measured refreshes differ when they are further apart than this share.
const REFRESH_SHARE: f64 = 0.01;
/// Report intervals differ when they are further apart than this share.
const REPORT_SHARE: f64 = 0.25;

/// What a rig is known by.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Signs {
    display: DisplayFacts,
    source: Option<String>,
    mice: Vec<String>,
    report_interval_ms: Option<f64>,
}

/// One part that is another now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Change {
    /// Which part, by its name in files.
    pub part: String,
    /// Then.
    pub before: String,
    /// Now.
    pub now: String,
}

impl Change {
    /// As a person reads it.
    pub fn said(&self) -> String {
        words::change(&self.part, &self.before, &self.now)
    }
}

impl Signs {
    /// Reads what the display and the input report of themselves, as manifests hold it.
    pub fn of(display: &Value, input: &Value) -> Signs {
        let devices = || input.get("devices").and_then(Value::as_array).into_iter().flatten();
        let mut mice: Vec<String> = devices()
            .filter_map(|device| device.get("model").and_then(Value::as_str).map(str::to_owned))
            .collect();
        mice.sort();
        mice.dedup();
        // Where several mice speak, one interval stands for none of them.
        let mut intervals: Vec<f64> = devices()
            .filter_map(|device| device.get("report_interval_ms").and_then(Value::as_f64))
            .collect();
        let report_interval_ms = if intervals.len() == 1 { intervals.pop() } else { None };
        let source = input.get("source").and_then(Value::as_str).map(str::to_owned);
        Signs { display: DisplayFacts::of(display), source, mice, report_interval_ms }
    }
}

/// What is another now than before.
pub fn between(before: &Signs, now: &Signs) -> Vec<Change> {
    let mut changes = Vec::new();
    let [was, is] = [&before.display, &now.display];
    text(&mut changes, "gpu", was.gpu.as_deref(), is.gpu.as_deref());
    text(&mut changes, "driver", was.driver.as_deref(), is.driver.as_deref());
    text(&mut changes, "window_system", was.window_system.as_deref(), is.window_system.as_deref());
    let size = |facts: &DisplayFacts| facts.size.map(|[w, h]| format!("{w}x{h}"));
    text(&mut changes, "size", size(was).as_deref(), size(is).as_deref());
    let refresh = |facts: &DisplayFacts| facts.refresh_ms.or(facts.refresh_asked_ms);
    let hz = |ms: f64| format!("{:.1} Hz", 1e3 / ms);
    number(&mut changes, "refresh", refresh(was), refresh(is), REFRESH_SHARE, hz);
    text(&mut changes, "vsync", judged(was), judged(is));
    text(&mut changes, "mode", was.mode_granted.as_deref(), is.mode_granted.as_deref());
    text(&mut changes, "display_clock", was.clock.as_deref(), is.clock.as_deref());
    let outputs = |facts: &DisplayFacts| {
        let list: Vec<String> =
            facts.outputs.iter().map(|(id, rate)| words::output(id, *rate)).collect();
        (!list.is_empty()).then(|| list.join(", "))
    };
    text(&mut changes, "outputs", outputs(was).as_deref(), outputs(is).as_deref());
    text(&mut changes, "source", before.source.as_deref(), now.source.as_deref());
    // The names that a source has for mice are its own: X11 knows other ones than the kernel.
    if before.source == now.source {
        let mice = |signs: &Signs| (!signs.mice.is_empty()).then(|| signs.mice.join(", "));
        text(&mut changes, "mouse", mice(before).as_deref(), mice(now).as_deref());
    }
    let reports = |ms: f64| format!("{:.0} a second", 1e3 / ms);
    let [was, is] = [before.report_interval_ms, now.report_interval_ms];
    number(&mut changes, "report_rate", was, is, REPORT_SHARE, reports);
    changes
}

/// The state of vsync, where it was judged.
fn judged(facts: &DisplayFacts) -> Option<&str> {
    facts.vsync.as_deref().filter(|state| *state != "not_judged")
}

fn text(changes: &mut Vec<Change>, part: &str, before: Option<&str>, now: Option<&str>) {
    if let (Some(before), Some(now)) = (before, now)
        && before != now
    {
        let [part, before, now] = [part, before, now].map(str::to_owned);
        changes.push(Change { part, before, now });
    }
}

fn number(
    changes: &mut Vec<Change>,
    part: &str,
    before: Option<f64>,
    now: Option<f64>,
    share: f64,
    said: impl Fn(f64) -> String,
) {
    if let (Some(before), Some(now)) = (before, now)
        && (now / before - 1.0).abs() > share
    {
        let (before, now) = (said(before), said(now));
        changes.push(Change { part: part.to_owned(), before, now });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn display() -> Value {
        json!({
            "gpu": "Invented 1", "driver": "inv", "driver_version": "1.2",
            "window_system": "x11", "size": { "width": 2560, "height": 1440 },
            "present_mode_granted": "fifo", "refresh_asked_ms": 4.167,
            "outputs": [{ "id": "DP-1", "rate_hz": 239.97 }],
            "vsync": { "state": "locked", "refresh_ms": 4.168 },
            "clock": { "chosen": "present_complete", "sd_ms": 0.05 },
        })
    }

    fn input() -> Value {
        json!({ "source": "evdev",
                "devices": [{ "model": "1209:0001", "report_interval_ms": 1.0 }] })
    }

    fn parts(display_now: &Value, input_now: &Value) -> Vec<String> {
        let before = Signs::of(&display(), &input());
        let now = Signs::of(display_now, input_now);
        between(&before, &now).into_iter().map(|change| change.part).collect()
    }

    #[test]
    fn the_same_rig_has_not_changed() {
        assert_eq!(parts(&display(), &input()), [""; 0]);
        // A measured refresh wanders a little from day to day.
        let mut now = display();
        now["vsync"]["refresh_ms"] = json!(4.171);
        assert_eq!(parts(&now, &input()), [""; 0]);
    }

    #[test]
    fn each_part_that_changes_is_named() {
        let with = |path: &str, value: Value| {
            let (mut display, mut input) = (display(), input());
            let place = display.pointer_mut(path).or_else(|| input.pointer_mut(path));
            *place.unwrap() = value;
            parts(&display, &input)
        };
        assert_eq!(with("/driver_version", json!("1.3")), ["driver"]);
        assert_eq!(with("/size/width", json!(1920)), ["size"]);
        assert_eq!(with("/vsync/refresh_ms", json!(16.67)), ["refresh"]);
        assert_eq!(with("/vsync/state", json!("unlocked")), ["vsync"]);
        assert_eq!(with("/devices/0/model", json!("1209:0002")), ["mouse"]);
        assert_eq!(with("/devices/0/report_interval_ms", json!(8.0)), ["report_rate"]);
        assert_eq!(with("/source", json!("xinput")), ["source"]);
        let told = between(
            &Signs::of(&display(), &input()),
            &Signs::of(&display(), &json!({ "source": "xinput" })),
        );
        assert_eq!(told[0].said(), "source of presses: evdev before, xinput now");
    }

    #[test]
    fn what_is_not_told_is_no_change() {
        assert_eq!(parts(&json!({}), &json!({})), [""; 0]);
        let mut now = display();
        now["vsync"]["state"] = json!("not_judged");
        assert_eq!(parts(&now, &input()), [""; 0]);
    }
}
